"""How a mark gets unreadable and is misread: a patch of wear in millimetres, a torn corner, scratches, slips of the
finger and of the ear. Written for the simulator alone, and deliberately unlike a chain of clean, worn and dropped
states. Every rate is an estimate from memory of the trade; ``factor`` multiplies them.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from math import exp
from typing import Final

from floatbowl.reference.observed import Cell

PITCH_MM: Final = {"stamped": 3.2, "cast": 4.5, "printed": 2.2, "": 3.2}
PATCHES: Final = 0.55  # worn patches a mark, mean of a Poisson law
TORN: Final = 0.05
SCRATCHES: Final = 0.04
UPSIDE_DOWN: Final = 0.012
SLIP: Final = 0.035
MISHEARD: Final = 0.04  # per character that has a soundalike
LINES_SWAPPED: Final = 0.07

#: What a glyph looks like when strokes are gone (first) or dirt fills it; an estimate from stroke shapes.
LOOKALIKE: Final = {
    "8": "3B6", "3": "8", "B": "8R", "0": "OQD", "O": "0", "D": "0O", "5": "S6", "S": "5", "6": "5G", "G": "6C",
    "1": "7I", "7": "1", "2": "Z", "Z": "2", "R": "PK", "K": "RX", "P": "F", "F": "P", "E": "F", "C": "G", "9": "4",
    "4": "A", "A": "4", "M": "N", "N": "M", "V": "YU", "W": "V", "H": "N", "L": "1", "T": "7", "X": "K",
    "Y": "V", "J": "1",
}  # fmt: skip
SOUNDALIKE: Final = {
    "B": "DPVE", "D": "BPT", "P": "BTD", "T": "PD", "V": "BP", "F": "S", "S": "F", "M": "N", "N": "M", "5": "9",
    "9": "5", "C": "Z", "Z": "C", "A": "K", "K": "A", "G": "JT", "J": "GK",
}  # fmt: skip
TURNED: Final = {"0": "0", "1": "1", "6": "9", "8": "8", "9": "6", "H": "H", "N": "N", "S": "S", "X": "X", "Z": "Z"}
KEYBOARD: Final = ("1234567890", "QWERTYUIOP", "ASDFGHJKL", "ZXCVBNM")
LETTERS_AND_DIGITS: Final = "ABCDEFGHJKLMNPRSTVWXYZ0123456789"


@dataclass(slots=True)
class Place:
    """One character of a mark as the caller has it: what is there, how worn (0 to 1), and what is written for it."""

    true: str
    damage: float = 0.0
    written: str = ""


@dataclass(slots=True)
class Line:
    """A mark on its way to becoming a reading, and the kinds of trouble it met."""

    places: list[Place]
    troubles: set[str] = field(default_factory=set)

    def text(self) -> str:
        return "".join(place.written for place in self.places)


def poisson(mean: float, rng: random.Random) -> int:
    """A draw by Knuth's multiplication (small means only)."""
    limit, product, count = exp(-mean), rng.random(), 0
    while product > limit:
        product *= rng.random()
        count += 1
    return count


def worn(text: str, form: str, factor: float, rng: random.Random) -> Line:
    """The line with patches of wear laid over it; a patch may lie half beside the line."""
    pitch = PITCH_MM.get(form, 3.2)
    line = Line([Place(c) for c in text])
    length = pitch * len(text)
    for _ in range(poisson(PATCHES * factor, rng)):
        centre = rng.uniform(-4.0, length + 4.0)
        width = rng.lognormvariate(1.2, 0.5)
        depth = min(1.0, rng.expovariate(1 / 0.7))
        for i, place in enumerate(line.places):
            gone = depth * exp(-0.5 * ((pitch * (i + 0.5) - centre) / width) ** 2)
            place.damage = 1 - (1 - place.damage) * (1 - gone)
    if any(place.damage > 0.3 for place in line.places):
        line.troubles.add("worn patch")
    return line


def tear(line: Line, factor: float, rng: random.Random) -> None:
    """A corner is gone: characters at one end are lost outright, and the caller may or may not say so."""
    if len(line.places) < 4 or rng.random() >= TORN * factor:
        return
    gone = min(len(line.places) - 2, 1 + int(rng.expovariate(1 / 1.2)))
    says = rng.random()
    sign = "*" if says < 0.4 else "?" * gone if says < 0.6 else ""
    if rng.random() < 0.6:
        line.places[-gone:] = [Place("", 0.0, sign)]
    else:
        line.places[:gone] = [Place("", 0.0, sign)]
    line.troubles.add("torn end")


def read(line: Line, rng: random.Random) -> None:
    """What the caller makes of each character; some are more honest about doubt than others."""
    honesty = rng.betavariate(3, 2)
    for place in line.places:
        if place.true and not place.written:
            place.written = _glyph(place, honesty, line.troubles, rng)
    _give_up_on_runs(line, rng)


def _glyph(place: Place, honesty: float, troubles: set[str], rng: random.Random) -> str:
    true, like = place.true, LOOKALIKE.get(place.true, "")
    if not true.isalnum():
        return true
    if rng.random() >= place.damage:
        if like and rng.random() < 0.006:
            troubles.add("look-alike")
            return rng.choice(like)
        return true
    if place.damage < 0.55 and like and rng.random() < 0.6:
        return _doubtful(true, like, honesty, troubles, rng)
    if rng.random() < honesty:
        return "?"
    if rng.random() < 0.35:
        troubles.add("dropped")
        return ""
    troubles.add("guessed")
    return rng.choice(like) if like and rng.random() < 0.6 else rng.choice(LETTERS_AND_DIGITS)


def _doubtful(true: str, like: str, honesty: float, troubles: set[str], rng: random.Random) -> str:
    """A half-worn glyph: offered as one of two, or settled silently (right three times in five)."""
    seen = rng.choices(like, weights=[1 / (i + 1) for i in range(len(like))])[0]
    if rng.random() < 0.7 * honesty:
        pair = [true, seen] if rng.random() < 0.6 else [seen, true]
        if rng.random() < 0.08:
            pair = [seen, rng.choice(LETTERS_AND_DIGITS)]
            troubles.add("wrong choice offered")
        return f"[{pair[0]}{pair[1]}]" if pair[0] != pair[1] else pair[0]
    if rng.random() < 0.6:
        return true
    troubles.add("look-alike")
    return seen


def _give_up_on_runs(line: Line, rng: random.Random) -> None:
    """Three or more unreadable characters in a row are often written as one star."""
    run: list[Place] = []
    for place in [*line.places, Place("", 0.0, "end")]:
        if place.written == "?":
            run.append(place)
            continue
        if len(run) >= 3 and rng.random() < 0.5:
            run[0].written = "*"
            for other in run[1:]:
                other.written = ""
        run = []


def scratch(line: Line, factor: float, rng: random.Random) -> None:
    """A scratch or a rivet's dent is read as a character."""
    for _ in range(poisson(SCRATCHES * factor, rng)):
        line.places.insert(rng.randint(0, len(line.places)), Place("", 0.0, rng.choice("11I7/-L4")))
        line.troubles.add("scratch")


def turn_over(line: Line, factor: float, rng: random.Random) -> None:
    """A tag read the wrong way up, where every character has a reading that way; or a single stamped 6 or 9."""
    if rng.random() >= UPSIDE_DOWN * factor:
        return
    if all(p.written in TURNED or p.written in "/-. ?" for p in line.places if p.written):
        for place in line.places:
            place.written = TURNED.get(place.written, place.written)
        line.places.reverse()
        line.troubles.add("upside down")
    elif nines := [p for p in line.places if p.written in ("6", "9")]:
        place = rng.choice(nines)
        place.written = TURNED[place.written]
        line.troubles.add("upside down")


def mishear(line: Line, factor: float, rng: random.Random) -> None:
    """Said by telephone, written down by somebody else."""
    for place in line.places:
        if place.written in SOUNDALIKE and rng.random() < MISHEARD * factor:
            place.written = rng.choice(SOUNDALIKE[place.written])
            line.troubles.add("misheard")


def slip(line: Line, factor: float, rng: random.Random) -> None:
    """A slip of the typing finger: a key beside, two changed round, one doubled, one left out."""
    at = [i for i, p in enumerate(line.places) if len(p.written) == 1 and p.written.isalnum()]
    if len(at) < 2 or rng.random() >= SLIP * factor:
        return
    i = rng.choice(at)
    place, kind = line.places[i], rng.randrange(4)
    if kind == 0:
        place.written = _key_beside(place.written, rng)
    elif kind == 1 and i + 1 < len(line.places):
        after = line.places[i + 1]
        place.written, after.written = after.written, place.written
    elif kind == 2:
        line.places.insert(i, Place("", 0.0, place.written))
    else:
        place.written = ""
    line.troubles.add("typing slip")


def _key_beside(key: str, rng: random.Random) -> str:
    for row in KEYBOARD:
        if key in row:
            at = row.index(key)
            return rng.choice([row[i] for i in (at - 1, at + 1) if 0 <= i < len(row)])
    return key


def photographed(line: Line, rng: random.Random) -> tuple[Cell, ...]:
    """What a reader of photographs gives: chances per place, sharper than it should be where the mark is worn."""
    cells = []
    for place in line.places:
        if not place.true.isalnum():
            continue
        sure = min(0.99, max(0.05, 1 - place.damage * rng.uniform(0.6, 1.2)))
        others = [*LOOKALIKE.get(place.true, ""), rng.choice(LETTERS_AND_DIGITS)]
        top = place.true if rng.random() < sure else rng.choice(others)
        chances = {top: sure**0.8, "": 0.01 + 0.1 * place.damage}
        left = max(0.0, 1 - sum(chances.values())) * 0.8
        for other in {place.true, *others} - {top}:
            chances[other] = left / (len({place.true, *others} - {top}) or 1)
        total = max(1.0, sum(chances.values()))
        cells.append(tuple(sorted((c, round(p / total, 4)) for c, p in chances.items())))
    return tuple(cells)
