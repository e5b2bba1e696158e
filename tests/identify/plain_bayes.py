"""The posterior in plain Python: Bayes' rule over a handful of carburettors, from the stated assumptions."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from plain_numbers import PlainNumbers

from floatbowl.identify import features as stated_for_features
from floatbowl.identify import machines as stated_for_machines
from floatbowl.identify.assumptions import Assumptions
from floatbowl.identify.wear import ErrorModel
from floatbowl.reference.facts import CameOn, FeatureKind, Reference
from floatbowl.reference.observed import UNINFORMATIVE, Enquiry, Look, Reading

#: A hypothesis: a carburettor's key, ``("like", key)`` for an unlisted one like it, or ``("by", maker or None)``.
Hypothesis = str | tuple[str, str | None]
WHOLE, TAG = "whole", "tag"


@dataclass(frozen=True)
class Evidence:
    casting: str
    number: bool
    subject: str
    group: str
    given: Mapping[Hypothesis, float]


@dataclass(frozen=True)
class Plain:
    """What plain arithmetic makes of an enquiry."""

    prior: dict[Hypothesis, float]
    posterior: dict[Hypothesis, float]
    mixed: float
    evidence: tuple[Evidence, ...]


class PlainBayes:
    """Weighs enquiries against a small reference, one hypothesis at a time."""

    def __init__(self, reference: Reference, model: ErrorModel, assumptions: Assumptions) -> None:
        self.reference, self.assume = reference, assumptions
        self.numbers = PlainNumbers(reference, model, assumptions)
        self.keys = [c.carburettor for c in reference.carburettors]
        self.makers = [m.maker for m in reference.makers]
        self.hypotheses: list[Hypothesis] = [
            *self.keys,
            *(("like", key) for key in self.keys),
            *(("by", m) for m in (*self.makers, None)),
        ]
        shares = {c.carburettor: 1.0 if c.share is None else c.share for c in reference.carburettors}
        self.share = {key: share / sum(shares.values()) for key, share in shares.items()}

    def maker(self, hypothesis: Hypothesis) -> str | None:
        if not isinstance(hypothesis, str) and hypothesis[0] == "by":
            return hypothesis[1]
        return self.numbers.maker_of[self._like(hypothesis)]

    def _like(self, hypothesis: Hypothesis) -> str:
        """The recorded carburettor it is, or is like; empty for others."""
        if isinstance(hypothesis, str):
            return hypothesis
        return (hypothesis[1] or "") if hypothesis[0] == "like" else ""

    def weigh(self, enquiry: Enquiry) -> Plain:
        prior = self._after_purchases(self.prior(enquiry), enquiry)
        evidence = tuple(self._evidence(enquiry))
        castings = {name: self._casting(name, evidence) for name in dict.fromkeys(e.casting for e in evidence)}
        if TAG in castings:
            castings[TAG] = self._moved(castings[TAG], prior, enquiry)
        whole = {h: prior[h] * math.prod(c[h] for c in castings.values()) for h in self.hypotheses}
        mixed = self._mixed(castings, prior)
        total = (1 - self.assume.mixed) * sum(whole.values()) + self.assume.mixed * mixed
        posterior = {h: (1 - self.assume.mixed) * p / total for h, p in whole.items()}
        return Plain(prior, posterior, self.assume.mixed * mixed / total, evidence)

    def prior(self, enquiry: Enquiry) -> dict[Hypothesis, float]:
        rows = [
            row for row in self.reference.came_on if row.machine == enquiry.machine and row.carburettor in self.keys
        ]
        came = dict.fromkeys(self.keys, 0.0)
        for row in rows:
            came[row.carburettor] += (1.0 if row.share is None else row.share) * _in_range(row, enquiry)
        total = sum(came.values())
        swapped = self.assume.swapped if total > 0 else 1.0
        recorded = {
            key: swapped * self.share[key] + ((1 - swapped) * came[key] / total if total else 0.0) for key in self.keys
        }
        known = bool(rows) or not (enquiry.machine or enquiry.machine_text)
        out = self.assume.unlisted if known else self.assume.unlisted_machine
        prior: dict[Hypothesis, float] = {key: (1 - out) * p for key, p in recorded.items()}
        prior |= {("like", key): out * self.assume.unlisted_sibling * p for key, p in recorded.items()}
        out *= 1 - self.assume.unlisted_sibling
        for maker in self.makers:
            own = sum(p for key, p in recorded.items() if self.maker(key) == maker)
            prior["by", maker] = out * (1 - self.assume.unlisted_maker) * own
        prior["by", None] = out * self.assume.unlisted_maker
        return prior

    def _after_purchases(self, prior: dict[Hypothesis, float], enquiry: Enquiry) -> dict[Hypothesis, float]:
        fits = {f.carburettor for f in self.reference.kit_fits if f.kit in enquiry.bought}
        total = sum(p for h, p in prior.items() if h in fits)
        if not total:
            return prior
        again = self.assume.bought_again
        return {h: (1 - again) * p + (again * p / total if h in fits else 0.0) for h, p in prior.items()}

    def _evidence(self, enquiry: Enquiry) -> list[Evidence]:
        found = []
        for reading in enquiry.readings:
            given = {h: self._reading(reading, h) for h in self.hypotheses}
            found.append(Evidence(_casting(reading.part), True, "", reading.group, given))
        kinds = {kind.feature: kind for kind in self.reference.feature_kinds}
        for look in enquiry.looks:
            kind = kinds.get(look.feature)
            if kind is None or look.value in UNINFORMATIVE:
                continue
            given = self._choice(kind, look) if kind.kind == "choice" else self._measure(kind, look)
            found.append(Evidence(_casting(look.part or kind.part), False, kind.feature, look.group, given))
        return found

    def _reading(self, reading: Reading, hypothesis: Hypothesis) -> float:
        if isinstance(hypothesis, str):
            return self.numbers.given_carburettor(reading, hypothesis)
        if hypothesis[0] == "like":
            return self.numbers.given_sibling(reading, self._like(hypothesis))
        return self.numbers.given_maker(reading, hypothesis[1])

    def _recorded(self, feature: str) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for row in self.reference.features:
            if row.feature == feature:
                found.setdefault(row.carburettor, []).append(row.value)
        return found

    def wrong(self, kind: FeatureKind, look: Look) -> float:
        careful = look.coached or look.via == "bench"
        if careful:
            rate = next((r for r in (kind.wrong_coached, kind.wrong_untold) if r is not None), None)
            rate = self.assume.look_wrong_coached if rate is None else rate
        else:
            rate = self.assume.look_wrong_untold if kind.wrong_untold is None else kind.wrong_untold
        rate *= self.assume.bench_care if look.via == "bench" else 1.0
        return min(max(rate, 0.002), 0.95)

    def said(self, kind: FeatureKind, true: str, answer: str, wrong: float) -> float:
        """P(answer | true choice): the usual wrong answers by their weight, the rest evenly."""
        choices = self.choices(kind)
        if true == answer:
            return 1 - wrong
        usual = {c.said: c.weight for c in self.reference.confusions if c.feature == kind.feature and c.true == true}
        even = 1 / (len(choices) - 1)
        if not usual:
            return wrong * even
        share = self.assume.usual_wrong_share
        return wrong * (share * usual.get(answer, 0.0) / sum(usual.values()) + (1 - share) * even)

    def choices(self, kind: FeatureKind) -> list[str]:
        seen = [row.value for row in self.reference.features if row.feature == kind.feature]
        return list(dict.fromkeys([*kind.choice_list, *seen]))

    def frequencies(self, kind: FeatureKind, maker: str | None) -> dict[str, float]:
        """Of a carburettor whose choice nobody recorded: its maker's, with two carburettors' worth of everybody's."""
        firsts = {key: values[0] for key, values in self._recorded(kind.feature).items()}
        choices = self.choices(kind)
        everybody = {c: sum(v == c for v in firsts.values()) + 0.5 for c in choices}
        whole = sum(everybody.values())
        own = {c: float(sum(v == c and self.maker(key) == maker for key, v in firsts.items())) for c in choices}
        mixed = {c: own[c] + stated_for_features._OVERALL_WORTH * everybody[c] / whole for c in choices}
        return {c: weight / sum(mixed.values()) for c, weight in mixed.items()}

    def _choice(self, kind: FeatureKind, look: Look) -> dict[Hypothesis, float]:
        wrong, answer = self.wrong(kind, look), str(look.value)
        recorded = self._recorded(kind.feature)

        known = {
            key: _mean([self.said(kind, true, answer, wrong) for true in values]) for key, values in recorded.items()
        }

        def by_maker(maker: str | None) -> float:
            often = self.frequencies(kind, maker)
            return sum(p * self.said(kind, true, answer, wrong) for true, p in often.items())

        return self._with_siblings(known, by_maker)

    def _with_siblings(
        self, known: dict[str, float], by_maker: Callable[[str | None], float]
    ) -> dict[Hypothesis, float]:
        """As recorded, else as the maker's others; an unlisted one mostly as the one it is like."""
        differs = stated_for_features._SIBLING_DIFFERS

        def given(h: Hypothesis) -> float:
            others = by_maker(self.maker(h))
            like = known.get(self._like(h), others)
            return like if isinstance(h, str) else (1 - differs) * like + differs * others

        return {h: given(h) for h in self.hypotheses}

    def _measure(self, kind: FeatureKind, look: Look) -> dict[Hypothesis, float]:
        measured = float(look.value)
        recorded = {key: [float(v) for v in values] for key, values in self._recorded(kind.feature).items()}
        firsts = [values[0] for values in recorded.values()]
        spread = self.spread(kind, look)
        rate = kind.wrong_coached if look.coached else kind.wrong_untold
        wrong = self.assume.measure_wrong if rate is None else self.wrong(kind, look)
        reach = max(max(firsts) - min(firsts), 6 * spread)

        def density(value: float) -> float:
            wide = _normal(measured - value, self.assume.measure_wide * spread)
            gross = (1 - self.assume.measure_wild) * wide + self.assume.measure_wild / reach
            return (1 - wrong) * _normal(measured - value, spread) + wrong * gross

        known = {key: _mean([density(v) for v in values]) for key, values in recorded.items()}
        worth, overall = stated_for_features._OVERALL_WORTH, _mean(list(known.values()))

        def by_maker(maker: str | None) -> float:
            own = [p for key, p in known.items() if self.maker(key) == maker]
            return (sum(own) + worth * overall) / (len(own) + worth)

        return self._with_siblings(known, by_maker)

    def spread(self, kind: FeatureKind, look: Look) -> float:
        tools = {t.tool: t for t in self.reference.tools}
        if look.spread is not None:
            tool = look.spread
        elif look.tool in tools:
            unit, wanted = tools[look.tool].unit or kind.unit, kind.unit
            factor = 25.4 if (unit, wanted) == ("in", "mm") else 1 / 25.4 if (unit, wanted) == ("mm", "in") else 1.0
            tool = tools[look.tool].spread * factor
        else:
            tool = 0.0 if kind.spread else 0.02 * abs(float(look.value))
        return max(math.sqrt((kind.spread or 0.0) ** 2 + tool**2), 1e-3, 1e-4 * abs(float(look.value)))

    def _casting(self, name: str, evidence: tuple[Evidence, ...]) -> dict[Hypothesis, float]:
        own = [e for e in evidence if e.casting == name]
        numbers = _groups([e for e in own if e.number])
        looks = _groups([e for e in own if not e.number])
        worth = (1 + self.assume.repeat_worth * (len(numbers) - 1)) / max(1, len(numbers))
        found = dict.fromkeys(self.hypotheses, 1.0)
        for group in numbers:
            found = {h: p * _geometric([e.given[h] for e in group]) ** worth for h, p in found.items()}
        for group in looks:
            together = self._answered_together(group)
            found = {h: p * together[h] for h, p in found.items()}
        return found

    def _answered_together(self, group: list[Evidence]) -> dict[Hypothesis, float]:
        """One photograph or call: a question answered twice counts once, and all of it may be off together."""
        by_subject: dict[str, list[Evidence]] = {}
        for e in group:
            by_subject.setdefault(e.subject, []).append(e)
        each = [{h: _geometric([e.given[h] for e in es]) for h in self.hypotheses} for es in by_subject.values()]
        right = {h: math.prod(one[h] for one in each) for h in self.hypotheses}
        if len(each) < 2:
            return right
        off = math.prod(_mean(list(one.values())) for one in each)
        fault = self.assume.group_fault
        return {h: (1 - fault) * p + fault * off for h, p in right.items()}

    def _moved(
        self, tag: dict[Hypothesis, float], prior: dict[Hypothesis, float], enquiry: Enquiry
    ) -> dict[Hypothesis, float]:
        loose = any("tag" in look.feature and "loose" in str(look.value).split() for look in enquiry.looks)
        moved = self.assume.loose_tag_moved if loose else self.assume.tag_moved
        anyone = sum(prior[h] * tag[h] for h in self.hypotheses)
        return {h: (1 - moved) * p + moved * anyone for h, p in tag.items()}

    def _mixed(self, castings: Mapping[str, Mapping[Hypothesis, float]], prior: dict[Hypothesis, float]) -> float:
        """P(evidence | built from two): over every way to divide the castings, and over whose they are."""
        apart = [name for name in castings if name != WHOLE]
        ways = [
            {name for name, first in zip(apart, mine, strict=True) if first}
            for mine in itertools.product((True, False), repeat=len(apart))
        ]
        told = [way for way in ways if way - {TAG} and set(apart) - way - {TAG}]
        return _mean([self._divided(way, castings, prior) for way in told]) if told else 0.0

    def _divided(
        self, mine: set[str], castings: Mapping[str, Mapping[Hypothesis, float]], prior: dict[Hypothesis, float]
    ) -> float:
        total = 0.0
        same = self.assume.mixed_same_maker
        for first in self.keys:
            own = prior[first] * math.prod(c[first] for name, c in castings.items() if name in mine or name == WHOLE)
            of_maker = sum(self.share[key] for key in self.keys if self.maker(key) == self.maker(first))
            for second in self.keys:
                if second == first:
                    continue
                chance = (1 - same) * self.share[second]
                if self.maker(second) == self.maker(first):
                    chance += same * self.share[second] / of_maker
                others = [c[second] for name, c in castings.items() if name not in mine and name != WHOLE]
                total += own * chance * math.prod(others)
        return total


def _in_range(row: CameOn, enquiry: Enquiry) -> float:
    """How much of a row's share is left at this serial number and in this year."""
    factor = 1.0
    if enquiry.serial and (row.serial_from or row.serial_to):
        low = float(row.serial_from) if row.serial_from else -math.inf
        high = float(row.serial_to) if row.serial_to else math.inf
        factor *= _left_inside(float(enquiry.serial), low, high, row.serial_doubt or 0.0)
    if enquiry.year is not None and (row.year_from is not None or row.year_to is not None):
        low = -math.inf if row.year_from is None else row.year_from - 0.5
        high = math.inf if row.year_to is None else row.year_to + 0.5
        factor *= _left_inside(enquiry.year, low, high, stated_for_machines._YEAR_DOUBT)
    return factor


def _left_inside(value: float, low: float, high: float, doubt: float) -> float:
    inside = 1.0
    for distance in (value - low, high - value):
        if doubt > 0:
            inside *= (1 + math.erf(distance / doubt / math.sqrt(2))) / 2
        else:
            inside *= float(distance >= 0)
    outside = stated_for_machines._OUTSIDE
    return outside + (1 - outside) * inside


def _casting(part: str) -> str:
    return WHOLE if part in ("", "book", "joint", "shaft", "machine") else part


def _groups(evidence: list[Evidence]) -> list[list[Evidence]]:
    found: dict[object, list[Evidence]] = {}
    for at, e in enumerate(evidence):
        found.setdefault(e.group or at, []).append(e)
    return list(found.values())


def _normal(distance: float, spread: float) -> float:
    return math.exp(-((distance / spread) ** 2) / 2) / (spread * math.sqrt(2 * math.pi))


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)


def _geometric(values: list[float]) -> float:
    return math.exp(_mean([math.log(v) for v in values]))
