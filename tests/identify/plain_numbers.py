"""P(reading | carburettor) in plain Python: one carburettor, one mark, one maker at a time, by the slow forward sum."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from plain_families import Missing, expected, missing_beside
from slow_forward import add_up, over_any_order, probability_any_order, story_of_profile

from floatbowl.identify import readings as stated_for_readings
from floatbowl.identify import siblings as stated_for_siblings
from floatbowl.identify import unlisted as stated_for_unlisted
from floatbowl.identify import ways as stated_for_marks
from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.numbers import (
    DIGITS_AND_LETTERS,
    FIRST_DEVICE,
    Alphabet,
    Places,
    devices_in,
    places_of,
    separators_in,
    symbols_of_mark,
)
from floatbowl.identify.wear import ErrorModel
from floatbowl.reference.check_letter import passes
from floatbowl.reference.facts import FORMS, ROLES, Mark, Reference
from floatbowl.reference.observed import PLACE_BOOK, Reading


@dataclass(frozen=True)
class Way:
    """One way a mark on a carburettor is given: the characters said, its part in its role, its separators."""

    symbols: tuple[int, ...]
    mark: Mark
    share: float
    separators: frozenset[str]


class PlainNumbers:
    """Probabilities of one reading, true ones and not scaled."""

    def __init__(self, reference: Reference, model: ErrorModel, assumptions: Assumptions) -> None:
        self.reference, self.model, self.assume = reference, model, assumptions
        self.alphabet = Alphabet(devices_in(m.text for m in reference.marks))
        self.parts = sorted({m.part for m in reference.marks if m.part})
        self.makers = [m.maker for m in reference.makers]
        self.maker_of = {c.carburettor: c.maker for c in reference.carburettors}
        self._sums: dict[object, float] = {}
        self._borne: dict[str, list[Way]] = {}
        self._numbers_of: dict[str, set[tuple[int, ...]]] = {}
        self._mean: list[tuple[float, float]] = []

    def given_carburettor(self, reading: Reading, key: str) -> float:
        """Over all marks it bears and over a number that nobody recorded."""
        return sum(self._spoken(reading, way) for way in self._ways(key)) + self._unrecorded(reading, key)

    def given_sibling(self, reading: Reading, key: str) -> float:
        """Of an unlisted one like it: the same foundry and family marks, but a changed number."""
        total = self._unrecorded(reading, key)
        for way in self._ways(key):
            own = way.mark.role == "identifies"
            total += self._spoken(reading, way, changed=True) if own else self._spoken(reading, way)
        return total

    def given_maker(self, reading: Reading, maker: str | None) -> float:
        """Of a carburettor nobody recorded, by a maker we know or by another."""
        places = places_of(reading, self.alphabet)
        identifies = self.assume.read_identifies
        own = self._of_grammar(reading, places, maker) if maker else self._of_no_grammar(places, reading)
        elsewhere = self._elsewhere(reading, places, maker)
        total = (identifies * own + (1 - identifies) * elsewhere) * self._anywhere(reading)
        weight = sum(self._share(key) for key in self._of_maker(maker))
        for key in self._of_maker(maker):
            others = sum(self._spoken(reading, way) for way in self._ways(key) if way.mark.role != "identifies")
            total += self._share(key) / weight * others
        return total

    def _spoken(self, reading: Reading, way: Way, changed: bool = False) -> float:
        """That this mark was the one given, and was read so."""
        places = places_of(reading, self.alphabet)
        weight = way.share * self._role_share(reading, way.mark.role) * self._where(reading, way, places)
        if not changed:
            return weight * self._straight(way, places, reading.via)
        letter = self._check_letter(reading, places, self.maker_of[way.mark.carburettor])
        return weight * self._changed(way, places, reading.via, letter)

    def _straight(self, way: Way, places: Places, via: str) -> float:
        rates, size = self.model.rates(via), self.alphabet.size
        return self._once(
            (way.symbols, places, via), lambda: probability_any_order(way.symbols, places, rates, size, via)
        )

    def _once(self, key: object, total: Callable[[], float]) -> float:
        """A sum that was added up before is remembered: plain Python is slow."""
        if key not in self._sums:
            self._sums[key] = total()
        return self._sums[key]

    def _changed(self, way: Way, places: Places, via: str, letter: float) -> float:
        """Read from an unlisted one's number: one missing beside this one, or the very same on another build."""
        maker = self.maker_of[way.mark.carburettor]
        found = 0.0
        for one in self._missing(maker, way.symbols):
            likely = [{s: w / sum(at.values()) for s, w in at.items()} for at in one.profile]
            total = math.prod(sum(at.values()) for at in one.profile) * self._any_of(likely, places, via)
            for number, weight in one.taken_off:
                total -= weight * self._straight(replace(way, symbols=number), places, via)
            found += one.weight * total * (letter if one.letter_open else 1.0)
        build = self._same_number(maker)
        return (1 - build) * found / self._mean_missing() + build * self._straight(way, places, via)

    def _same_number(self, maker: str) -> float:
        """How often a number of this maker is borne by another of its carburettors, too."""
        borne = [way.symbols for key, owner in self.maker_of.items() if owner == maker
                 for way in self._ways(key) if way.mark.role == "identifies"]  # fmt: skip
        shared = sum(borne.count(symbols) > 1 for symbols in borne)
        worth = stated_for_siblings.SAME_WORTH
        return (shared + worth * stated_for_siblings.SAME_NUMBER) / (len(borne) + worth)

    def _missing(self, maker: str, number: tuple[int, ...]) -> list[Missing]:
        rule = next((m.check for m in self.reference.makers if m.maker == maker), "")
        return missing_beside(self._numbers()[maker], number, rule, self.alphabet.size)

    def _numbers(self) -> dict[str, set[tuple[int, ...]]]:
        """Each maker's identifying numbers, in every way they are given."""
        if not self._numbers_of:
            for key, maker in self.maker_of.items():
                own = {way.symbols for way in self._ways(key) if way.mark.role == "identifies"}
                self._numbers_of.setdefault(maker, set()).update(own)
        return self._numbers_of

    def _mean_missing(self) -> float:
        """What is missing beside a recorded carburettor's number, on average by how common they are."""
        if not self._mean:
            for key, maker in self.maker_of.items():
                for way in self._ways(key):
                    if way.mark.role == "identifies":
                        own = self._share(key) * way.share
                        self._mean.append((own, own * expected(self._missing(maker, way.symbols))))
        return sum(weight for _, weight in self._mean) / sum(own for own, _ in self._mean)

    def _any_of(self, profile: list[dict[int, float]], places: Places, via: str) -> float:
        rates, size = self.model.rates(via), self.alphabet.size
        key = (tuple(tuple(position.items()) for position in profile), places, via)
        return self._once(
            key,
            lambda: over_any_order(places, rates, lambda p: add_up(story_of_profile(profile, p, rates, size, via))),
        )

    def _unrecorded(self, reading: Reading, key: str) -> float:
        present = {way.mark.role for way in self._ways(key)}
        left = 1.0 - sum(self._role_share(reading, role) for role in present)
        found = self._elsewhere(reading, places_of(reading, self.alphabet), self.maker_of[key])
        return max(left, self.assume.read_elsewhere) * self._anywhere(reading) * found

    def _elsewhere(self, reading: Reading, places: Places, maker: str | None) -> float:
        """A number nobody recorded, on a carburettor of this maker."""
        share, own = stated_for_readings._NO_GRAMMAR, stated_for_readings._OWN_GRAMMAR
        ours = sum(self._of_grammar(reading, places, each) for each in self.makers) / max(1, len(self.makers))
        if maker in self.makers:
            ours = own * self._of_grammar(reading, places, str(maker)) + (1 - own) * ours
        return share * self._of_no_grammar(places, reading) + (1 - share) * ours

    def _share(self, key: str) -> float:
        told = next(c.share for c in self.reference.carburettors if c.carburettor == key)
        return 1.0 if told is None else told

    def _of_maker(self, maker: str | None) -> list[str]:
        return [key for key, owner in self.maker_of.items() if owner == maker]

    def _ways(self, key: str) -> list[Way]:
        if key not in self._borne:
            self._borne[key] = self._ways_to_read(key)
        return self._borne[key]

    def _ways_to_read(self, key: str) -> list[Way]:
        plain: list[Way] = []
        together: dict[str, list[Mark]] = {}
        for m in self.reference.marks:
            if m.carburettor != key:
                continue
            if m.with_:
                together.setdefault(m.with_, []).append(m)
            else:
                plain += list(self._with_or_without_device(m))
        for members in together.values():
            plain += list(self._together(members))
        totals = {role: sum(w.share for w in plain if w.mark.role == role) for role in ROLES}
        return [replace(w, share=w.share / totals[w.mark.role]) for w in plain]

    def _with_or_without_device(self, m: Mark) -> Iterator[Way]:
        symbols = symbols_of_mark(m.text, self.alphabet)
        number = tuple(s for s in symbols if s < FIRST_DEVICE)
        separators = separators_in(m.text)
        left_out = stated_for_marks._DEVICE_LEFT_OUT if number and len(number) < len(symbols) else 0.0
        yield Way(symbols, m, 1.0 - left_out, separators)
        if left_out:
            yield Way(number, m, left_out, separators)

    def _together(self, members: list[Mark]) -> Iterator[Way]:
        devices_first = [m for m in members if "{" in m.text] + [m for m in members if "{" not in m.text]
        number = next((m for m in devices_first if "{" not in m.text), devices_first[0])
        joined = " ".join(m.text for m in devices_first)
        both = stated_for_marks._READ_TOGETHER
        yield Way(symbols_of_mark(joined, self.alphabet), number, both, separators_in(joined))
        for m in devices_first:
            symbols = symbols_of_mark(m.text, self.alphabet)
            yield Way(symbols, m, (1 - both) / len(members), separators_in(m.text))

    def _role_share(self, reading: Reading, role: str) -> float:
        plain = self.assume.read_role(role)
        if reading.part != PLACE_BOOK:
            return plain
        return self.assume.book_cross if role == "cross" else plain * (1 - self.assume.book_cross)

    def _where(self, reading: Reading, way: Way, places: Places) -> float:
        """Place, form and separators, each told right or not."""
        factor = 1.0
        if reading.part and reading.part != PLACE_BOOK:
            factor *= _told(way.mark.part, reading.part, len(self.parts), self.assume.part_told_right)
        if reading.form:
            factor *= _told(way.mark.form, reading.form, len(FORMS), self.assume.form_told_right)
        if places.separators:
            same = self.assume.same_separators
            factor *= same if way.separators == places.separators else 1 - same
        return factor

    def _anywhere(self, reading: Reading) -> float:
        factor = 1.0
        if reading.part and reading.part != PLACE_BOOK:
            factor /= max(2, len(self.parts))
        return factor / len(FORMS) if reading.form else factor

    def _of_no_grammar(self, places: Places, reading: Reading) -> float:
        rates = self.model.rates(reading.via)
        unread = (rates.unread_clean + rates.unread_worn) / 2
        doubt = (rates.doubt_clean + rates.doubt_worn) / 2
        one = 1 / 37
        each = {"unread": unread, "set": one * doubt, "plain": one * (1 - unread), "cell": one}
        return stated_for_unlisted._ANY_LENGTH * math.prod(each[place.kind] for place in places.places)

    def _of_grammar(self, reading: Reading, places: Places, maker: str) -> float:
        lengths = self._lengths(maker)
        whole = sum(share for _, share in lengths.values())
        found = sum(
            share / whole * self._any_of(_profile(marks, self.alphabet.size), places, reading.via)
            for marks, share in lengths.values()
        )
        return found * self._check_letter(reading, places, maker)

    def _lengths(self, maker: str) -> dict[int, tuple[list[tuple[int, ...]], float]]:
        """The maker's identifying marks by length, with how common their carburettors are."""
        found: dict[int, tuple[list[tuple[int, ...]], float]] = {}
        for m in self.reference.marks:
            if m.role == "identifies" and self.maker_of[m.carburettor] == maker:
                symbols = symbols_of_mark(m.text, self.alphabet)
                marks, weight = found.get(len(symbols), ([], 0.0))
                found[len(symbols)] = ([*marks, symbols], weight + self._share(m.carburettor))
        return found

    def _check_letter(self, reading: Reading, places: Places, maker: str) -> float:
        rule = next(m.check for m in self.reference.makers if m.maker == maker)
        if not rule or not reading.text or any(place.kind != "plain" for place in places.places):
            return 1.0
        right = passes(reading.text, rule)
        if right is None:
            return 1.0
        modulus = int(rule.removeprefix("mod").split(":")[0])
        return float(modulus) if right else stated_for_unlisted._WRONG_LETTER


def _told(recorded: str, told: str, choices: int, right: float) -> float:
    choices = max(2, choices)
    if not recorded:
        return 1 / choices
    return right if recorded == told else (1 - right) / (choices - 1)


def _profile(marks: list[tuple[int, ...]], symbols: int) -> list[dict[int, float]]:
    """Frequencies of characters at each position, filled in with the kinds (digits, letters) seen there."""
    profile = []
    digits, letters = range(10), range(10, len(DIGITS_AND_LETTERS))
    for at in range(len(marks[0])):
        counts = dict.fromkeys(range(symbols), stated_for_unlisted._ANY_COUNTS / symbols)
        for kind in (digits, letters):
            share = sum(m[at] in kind for m in marks) / len(marks)
            for s in kind:
                counts[s] += stated_for_unlisted._CLASS_COUNTS * share / len(kind)
        for m in marks:
            counts[m[at]] += 1.0
        whole = sum(counts.values())
        profile.append({s: count / whole for s, count in counts.items()})
    return profile
