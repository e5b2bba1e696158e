"""Families of numbers in plain Python: which numbers are missing beside each recorded one, and how likely each is."""

from __future__ import annotations

from dataclasses import dataclass

from floatbowl.identify import families as stated
from floatbowl.identify.numbers import DIGITS_AND_LETTERS

Number = tuple[int, ...]
LETTERS = range(10, len(DIGITS_AND_LETTERS))


@dataclass(frozen=True)
class Missing:
    """Numbers missing beside a recorded one: chances of characters for each place, what of that is recorded all the
    same (to be taken off), whether the check letter was left open, and the weight of it all."""

    profile: tuple[dict[int, float], ...]
    taken_off: tuple[tuple[Number, float], ...]
    letter_open: bool
    weight: float


def missing_beside(numbers: set[Number], number: Number, rule: str, size: int) -> list[Missing]:
    """What is missing beside one of a maker's numbers, not yet scaled so that families share the prior out."""
    alike = sorted(n for n in numbers if len(n) == len(number))
    modulus = int(rule.removeprefix("mod").split(":")[0]) if rule else 0
    first = LETTERS[0] + ord(rule.split(":")[1][0]) - ord("A") if rule else 0
    check = _check_place(alike) if rule else None
    found = []
    for place in range(len(number)):
        seen = {n[place] for n in alike}
        if place == check or max(seen) >= len(DIGITS_AND_LETTERS):
            continue
        letter = check if check is not None and place < check < len(number) else None
        usual = _usual(alike, place, letter, _may_stand(seen, size))
        found.append((usual, place, letter, _may_stand(seen, size)))
    found.sort(key=lambda one: -one[0])
    kept = [one for i, one in enumerate(found) if i < stated.OPEN_AT_LEAST or one[0] >= stated.OPEN_FROM]
    letters = {first + i: 1 / modulus for i in range(modulus)} if rule else {}
    return [_missing(alike, number, *one, letters) for one in kept]


def expected(missing: list[Missing]) -> float:
    """The weight of all that is missing beside one number: what a sure reading of each would add up to."""
    return sum(one.weight * _room(one) for one in missing)


def _room(one: Missing) -> float:
    whole = 1.0
    for position in one.profile:
        whole *= sum(position.values())
    # A number with an open check letter is really missing with one letter only, so its letters count as one.
    return max(0.0, whole - sum(weight for _, weight in one.taken_off) * (_letters(one) if one.letter_open else 1))


def _letters(one: Missing) -> float:
    return 1 / one.taken_off[0][1]


def _missing(
    alike: list[Number],
    number: Number,
    usual: float,
    place: int,
    letter: int | None,
    may: dict[int, float],
    letters: dict[int, float],
) -> Missing:
    covered = [n for n in alike if _fits(n, number, place, letter)]
    density = (len(covered) - 1 + stated.USUAL_WORTH * usual) / (_others(may) + stated.USUAL_WORTH)
    profile = [{s: 1.0} for s in number]
    taken_off: tuple[tuple[Number, float], ...] = ()
    if letter is None:
        profile[place] = {s: w for s, w in may.items() if s not in {n[place] for n in covered}}
    else:
        profile[place], profile[letter] = may, letters
        taken_off = tuple((n, max(letters.values())) for n in covered)
    return Missing(tuple(profile), taken_off, letter is not None, density / len(covered))


def _usual(alike: list[Number], place: int, letter: int | None, may: dict[int, float]) -> float:
    neighbours = sum(_fits(a, b, place, letter) for a in alike for b in alike if a != b)
    before = stated.LAST_PLACE * stated.PLACE_BEFORE ** (len(alike[0]) - 1 - place)
    return (neighbours + stated.WORTH * before) / (len(alike) * _others(may) + stated.WORTH)


def _fits(a: Number, b: Number, place: int, letter: int | None) -> bool:
    return all(x == y for i, (x, y) in enumerate(zip(a, b, strict=True)) if i not in (place, letter))


def _others(may: dict[int, float]) -> float:
    return max(sum(may.values()) - 1, 1.0)


def _may_stand(seen: set[int], size: int) -> dict[int, float]:
    weights = {}
    for kind in (range(10), LETTERS):
        if seen & set(kind):
            weights |= dict.fromkeys(kind, stated.NEVER_SEEN)
    return weights | dict.fromkeys(seen, 1.0)


def _check_place(alike: list[Number]) -> int:
    """Where most of them have the first letter after the first digit; the earlier place when as many have another."""
    places = [_letter_after_digits(n) for n in alike]
    return max(sorted(set(places)), key=places.count)


def _letter_after_digits(number: Number) -> int:
    digit = next((i for i, s in enumerate(number) if s < 10), len(number))
    return next((i for i, s in enumerate(number) if i > digit and s in LETTERS), len(number))
