"""P(reading | mark) in plain Python, written from the description of the error model and not from its kernels.

The story of one reading, told character by character: perhaps the start of the mark is lost; extra characters may
stand anywhere between the mark's own; at each character the rest may be lost; else the character is clean or worn, and
is read right, read wrong, given up, leaves nothing, or (clean) changes places with the next. :func:`add_up` adds the
stories up by a recursion that remembers; :func:`add_up_story_by_story` tells every one and is for tiny cases only.
"""

from __future__ import annotations

import csv
import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from floatbowl.identify import wear as stated
from floatbowl.identify.numbers import DIGITS_AND_LETTERS, FIRST_DEVICE, Place, Places
from floatbowl.identify.wear import Rates

CLEAN, WORN = 0, 1
STATES = (CLEAN, WORN)
#: What half a turn makes of a character; the others are not characters upside down.
TURNED = dict(zip("01896HIMNOSWXZ", "0186" + "9HIWNOSMXZ", strict=True))
#: Share of a device's misreadings that name another device (stated in the model's source as an estimate).
DEVICE_FOR_DEVICE = 0.8
KEYBOARD = ("1234567890", "QWERTYUIOP", "ASDFGHJKL", "ZXCVBNM")

Emission = Callable[[int, int, int], float]


@dataclass(frozen=True)
class Story:
    """All that the sum needs: ``gives(i, j, state)`` is the probability that character ``i`` gives place ``j``."""

    characters: int
    places: int
    gives: Emission
    stray: tuple[float, ...]
    lost: tuple[bool, ...]
    rates: Rates

    def nothing(self, j: int, state: int) -> float:
        if self.lost[j]:
            return self.rates.star
        return self.rates.gone_clean if state == CLEAN else self.rates.gone_worn

    def chain(self, before: int, now: int) -> float:
        worn = self.rates.go_worn if before == CLEAN else self.rates.stay_worn
        return worn if now == WORN else 1.0 - worn

    def first(self, state: int) -> float:
        return self.rates.start_worn if state == WORN else 1.0 - self.rates.start_worn

    def swaps(self, i: int, state: int) -> float:
        return self.rates.swap if state == CLEAN and i + 1 < self.characters else 0.0

    def exchanged(self, i: int, j: int) -> float:
        """Both neighbours are read, in the other order, given that both leave something."""
        both = self.gives(i + 1, j, CLEAN) * self.gives(i, j + 1, CLEAN)
        return both / (1.0 - self.rates.gone_clean) ** 2

    def start_lost(self, count: int) -> float:
        """The first ``count`` characters are lost; the whole mark is the end of it."""
        if count == 0:
            return 1.0 - self.rates.lost_start
        more = self.rates.lost_more ** (count - 1)
        return self.rates.lost_start * more * (1.0 if count == self.characters else 1.0 - self.rates.lost_more)


def add_up(story: Story) -> float:
    """The sum over all stories, by a recursion over (characters used, places used, state of the last character)."""
    rates, n = story.rates, story.places

    @cache
    def between(i: int, j: int, state: int) -> float:
        further = story.stray[j] * between(i, j + 1, state) if j < n else 0.0
        return further + (1.0 - rates.extra) * onward(i, j, state)

    @cache
    def onward(i: int, j: int, state: int) -> float:
        if i == story.characters:
            return 1.0 if j == n else 0.0
        goes_on = sum(story.chain(state, now) * character(i, j, now) for now in STATES)
        return (rates.lost_end if j == n else 0.0) + (1.0 - rates.lost_end) * goes_on

    @cache
    def character(i: int, j: int, state: int) -> float:
        swaps = story.swaps(i, state)
        found = (1.0 - swaps) * story.nothing(j, state) * between(i + 1, j, state)
        if j < n:
            found += (1.0 - swaps) * story.gives(i, j, state) * between(i + 1, j + 1, state)
        if swaps and j + 1 < n:
            found += swaps * story.exchanged(i, j) * between(i + 2, j + 2, CLEAN)
        return found

    return sum(
        story.start_lost(count) * story.first(state) * between(count, 0, state)
        for count in range(story.characters + 1)
        for state in STATES
    )


def add_up_story_by_story(story: Story) -> float:
    """The same sum, every story written out from its first event to its last; for very short marks and readings."""
    total = 0.0
    for count in range(story.characters + 1):
        for begun in STATES:
            start = story.start_lost(count) * story.first(begun)
            total += start * sum(_told(story, events, count, begun) for events in _events(story, count))
    return total


#: One event a character: (its state, what happened to it, how many strays follow).
_Event = tuple[int, str, int]


def _events(story: Story, count: int) -> Iterator[tuple[int, tuple[_Event, ...], bool]]:
    """Every series of events after a lost start: strays before it, the characters' events, whether the end is lost."""
    strays = range(story.places + 1)
    one = list(itertools.product(STATES, ("read", "nothing", "swap"), strays))
    for before in strays:
        for length in range(story.characters - count + 1):
            for events in itertools.product(one, repeat=length):
                for end_lost in (False, True):
                    yield before, events, end_lost


def _told(story: Story, series: tuple[int, tuple[_Event, ...], bool], count: int, state: int) -> float:
    before, events, end_lost = series
    rates = story.rates
    at, j, weight = count, 0, 1.0

    def strays(number: int) -> None:
        nonlocal j, weight
        if j + number > story.places:
            weight = 0.0
            return
        weight *= math.prod(story.stray[j : j + number]) * (1.0 - rates.extra)
        j += number

    strays(before)
    for now, kind, after in events:
        if weight == 0.0 or at >= story.characters:
            return 0.0
        weight *= (1.0 - rates.lost_end) * story.chain(state, now)
        swaps = story.swaps(at, now)
        if kind == "swap":
            if not swaps or j + 2 > story.places:
                return 0.0
            weight *= swaps * story.exchanged(at, j)
            at, j = at + 2, j + 2
        elif kind == "read":
            if j >= story.places:
                return 0.0
            weight *= (1.0 - swaps) * story.gives(at, j, now)
            at, j = at + 1, j + 1
        else:
            weight *= (1.0 - swaps) * story.nothing(j, now)
            at += 1
        state = now
        strays(after)
    if weight == 0.0 or j != story.places:
        return 0.0
    if end_lost:
        return weight * rates.lost_end if at < story.characters else 0.0
    return weight if at == story.characters else 0.0


@cache
def _pairs(by: str) -> dict[int, dict[int, float]]:
    found: dict[int, dict[int, float]] = {}
    text = resources.files("floatbowl.identify").joinpath("data", "lookalikes.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        if row["by"] == by:
            a, b = DIGITS_AND_LETTERS.index(row["a"]), DIGITS_AND_LETTERS.index(row["b"])
            for one, other in ((a, b), (b, a)):
                found.setdefault(one, {})[other] = found.get(one, {}).get(other, 0.0) + float(row["weight"])
    return found


@cache
def _likeness(by: str, true: int, said: int, symbols: int) -> float:
    """What share of a character's look-alikes (or sound-alikes) another one is."""
    if true == said:
        return 0.0
    devices = symbols - FIRST_DEVICE
    if true >= FIRST_DEVICE and devices > 1:
        return DEVICE_FOR_DEVICE / (devices - 1) if said >= FIRST_DEVICE else (1 - DEVICE_FOR_DEVICE) / FIRST_DEVICE
    pairs = _pairs(by).get(true)
    if not pairs:
        return 1.0 / (symbols - 1)
    return pairs.get(said, 0.0) / sum(pairs.values())


def _slip_of_the_finger(true: int, said: int, symbols: int) -> float:
    """The keys to the left and right; what has no key is taken for any of its class."""
    name = DIGITS_AND_LETTERS[true] if true < len(DIGITS_AND_LETTERS) else ""
    row = next((row for row in KEYBOARD if name and name in row), "")
    if not row:
        return _any_of_class(true, said, symbols)
    at = row.index(name)
    beside = [DIGITS_AND_LETTERS.index(key) for key in (*row[max(0, at - 1) : at], *row[at + 1 : at + 2])]
    return (said in beside) / len(beside)


def _any_of_class(true: int, said: int, symbols: int) -> float:
    """Any other digit for a digit, letter for a letter, and so on; any other symbol for one alone in its class."""
    kinds = (range(10), range(10, len(DIGITS_AND_LETTERS)), range(len(DIGITS_AND_LETTERS), symbols))
    kind = next(kind for kind in kinds if true in kind)
    others = [symbol for symbol in (kind if len(kind) > 1 else range(symbols)) if symbol != true]
    return (said in others) / len(others)


@cache
def taken_for(rates: Rates, via: str, true: int, said: int, symbols: int, state: int) -> float:
    """P(a character is read as another | it is read as something)."""
    name = "clean" if state == CLEAN else "worn"
    wrong, alike = getattr(rates, f"wrong_{name}"), getattr(rates, f"alike_{name}")
    if true == said:
        return float(1.0 - wrong)
    like = _likeness("eye", true, said, symbols)
    if via == "heard":
        like = (like + _likeness("ear", true, said, symbols)) / 2
    typed, anything = stated._TYPED, stated._ANY_OF_CLASS
    like *= 1.0 - typed - anything
    like += typed * _slip_of_the_finger(true, said, symbols) + anything * _any_of_class(true, said, symbols)
    return float(wrong * (alike * like + (1.0 - alike) / (symbols - 1)))


def _given(rates: Rates, via: str, true: int, place: Place, symbols: int, state: int) -> float:
    unread = rates.unread_clean if state == CLEAN else rates.unread_worn
    gone = rates.gone_clean if state == CLEAN else rates.gone_worn
    if place.kind == "unread":
        return unread
    doubt = 1.0
    if place.kind == "set":
        doubt = rates.doubt_clean if state == CLEAN else rates.doubt_worn
    said = sum(weight * taken_for(rates, via, true, symbol, symbols, state) for symbol, weight in place.weights)
    return (1.0 - unread - gone) * doubt * said


def _stray(rates: Rates, place: Place, symbols: int) -> float:
    """A place that no character of the mark gave: a scratch, or (photographs) no character at all."""
    if place.kind == "unread":
        return rates.extra * rates.extra_unread + place.empty
    return rates.extra * (1.0 - rates.extra_unread) * sum(w for _, w in place.weights) / symbols + place.empty


def story_of(mark: Sequence[int], places: Places, rates: Rates, symbols: int, via: str = "seen") -> Story:
    """The story of a mark (as symbols) read as these places."""
    profile = [{symbol: 1.0} for symbol in mark]
    return story_of_profile(profile, places, rates, symbols, via)


def story_of_profile(
    profile: Sequence[dict[int, float]], places: Places, rates: Rates, symbols: int, via: str = "seen"
) -> Story:
    """The same for a number of which only the frequencies of characters at each position are known."""

    @cache
    def gives(i: int, j: int, state: int) -> float:
        place = places.places[j]
        return sum(share * _given(rates, via, true, place, symbols, state) for true, share in profile[i].items())

    stray = tuple(_stray(rates, place, symbols) for place in places.places)
    return Story(len(profile), len(places.places), gives, stray, places.lost, rates)


def probability(mark: Sequence[int], places: Places, rates: Rates, symbols: int, via: str = "seen") -> float:
    """P(reading | mark), read the right way up and in the right order of lines."""
    return add_up(story_of(mark, places, rates, symbols, via))


def probability_any_order(mark: Sequence[int], places: Places, rates: Rates, symbols: int, via: str = "seen") -> float:
    """P(reading | mark), perhaps upside down, or the two lines of a tag in the wrong order."""
    return over_any_order(places, rates, lambda p: probability(mark, p, rates, symbols, via))


def over_any_order(places: Places, rates: Rates, straight: Callable[[Places], float]) -> float:
    """A probability of a reading, mixed over the ways it may have been held and its lines taken."""
    turned, orders = half_turn(places), line_orders(places)
    as_it_stands = 1.0 - (rates.inverted if turned else 0.0) - (rates.lines if orders else 0.0)
    total = as_it_stands * straight(places)
    if turned:
        total += rates.inverted * straight(turned)
    return total + sum(rates.lines / len(orders) * straight(order) for order in orders)


def half_turn(places: Places) -> Places | None:
    """The reading upside down, where every character that was read is one upside down."""
    code = {DIGITS_AND_LETTERS.index(a): DIGITS_AND_LETTERS.index(b) for a, b in TURNED.items()}
    if any(place.kind == "cell" or any(s not in code for s, _ in place.weights) for place in places.places):
        return None
    turned = [Place(p.kind, tuple((code[s], w) for s, w in p.weights), p.empty) for p in places.places[::-1]]
    return Places(tuple(turned), places.lost[::-1])


def line_orders(places: Places) -> list[Places]:
    """The reading with what stands before and after each break exchanged.

    Characters lost before the first place, after the last one, or at the break stay lost on either side of the new
    break and at the new ends.
    """
    found = []
    for at in places.breaks:
        n = len(places.places)
        lost = [places.lost[at + j] for j in range(n - at)]
        lost += [places.lost[n] or places.lost[0]]
        lost += [places.lost[j] for j in range(1, at + 1)]
        found.append(Places(places.places[at:] + places.places[:at], tuple(lost)))
    return found
