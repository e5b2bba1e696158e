"""What a caller tells of the carburettor in hand: the numbers read and the answers to looks.

Every method takes the carburettor that the upper castings are from and the one that the lower are from (the same for a
whole carburettor), and notes the troubles met. For the simulator alone; every rate is an estimate.
"""

from __future__ import annotations

import random
from collections import defaultdict
from typing import Final, Literal

from benchmarks import answers, damage
from benchmarks.world import World
from floatbowl.reference.facts import FeatureKind, Mark
from floatbowl.reference.observed import Look, Reading

Richness = Literal["little", "plentiful", "castings"]

CASTING_GIVEN: Final = 0.10
FROM_A_BOOK: Final = 0.03
PREFIX_ONLY: Final = 0.03
#: Castings that come from each of the two carburettors a hybrid is built from.
UPPER: Final = frozenset({"throttle body", "air horn", ""})
LOWER: Final = frozenset({"bowl", "lid", "tag"})


class Evidence:
    """Draws evidence with one random source; each method draws one thing."""

    def __init__(self, world: World, rng: random.Random, richness: Richness, factor: float) -> None:
        self.world, self.rng, self.richness, self.factor = world, rng, richness, factor
        #: Each feature's own factor on its rate of wrong answers, which the catalogue does not know.
        self.kinds = world.truth.feature_kinds
        self.own = {k.feature: rng.lognormvariate(0.0, 0.3) for k in world.truth.feature_kinds}

    def draw(self, upper: str, lower: str, troubles: set[str]) -> tuple[tuple[Reading, ...], tuple[Look, ...]]:
        """The readings and the looks of one caller."""
        if self.richness == "castings":
            return self.on_two_castings(upper, lower, troubles)
        first = self.number_given(upper, troubles)
        out = [self.reading(first, troubles)]
        if self.richness == "plentiful" and self.rng.random() < 0.35:
            others = [m for m in self.world.marks[upper] if m.part and m is not first]
            out.append(self.reading(self.rng.choice(others), troubles))
        return tuple(out), self.looks(upper, lower, self.how_many_looks(), self.kinds, troubles)

    def on_two_castings(
        self, upper: str, lower: str, troubles: set[str]
    ) -> tuple[tuple[Reading, ...], tuple[Look, ...]]:
        """Evidence on the throttle body and on the bowl or lid: mostly a number on each (the tag's too, where there is
        one, half the time) and any looks; one time in five a number on the one and all looks on the other."""
        numbers = {"upper": self.on_castings(upper, UPPER), "lower": self.on_castings(lower, LOWER)}
        count, kinds = self.how_many_looks(), self.kinds
        if self.rng.random() < 0.2:
            side = self.rng.choice(("upper", "lower"))
            other = LOWER if side == "upper" else UPPER - {""}
            marks, kinds = [numbers[side]], tuple(k for k in self.kinds if k.part in other)
        else:
            tags = [m for m in self.world.marks[lower] if m.part == "tag" and self.rng.random() < 0.5]
            marks = [*numbers.values(), *tags]
        readings = tuple(self.reading(mark, troubles, sure_place=True) for mark in marks)
        return readings, self.looks(upper, lower, count, kinds, troubles)

    def on_castings(self, carburettor: str, parts: frozenset[str]) -> Mark:
        """The mark likeliest to be read on these castings: the identifying one if there, else a foundry number."""
        there = [m for m in self.world.marks[carburettor] if m.part in parts - {"tag", ""} and m.role != "family"]
        identifying = [m for m in there if m.role == "identifies"]
        return identifying[0] if identifying and self.rng.random() < 0.85 else self.rng.choice(there)

    def how_many_looks(self) -> int:
        return self.rng.choice((0, 1, 1, 1, 2)) if self.richness == "little" else self.rng.randint(4, 6)

    def number_given(self, carburettor: str, troubles: set[str]) -> Mark:
        """The mark a caller gives as "the number"."""
        by_role: dict[str, list[Mark]] = defaultdict(list)
        for mark in self.world.marks[carburettor]:
            by_role[mark.role].append(mark)
        at = self.rng.random()
        if at < min(0.4, CASTING_GIVEN * self.factor) or not by_role["identifies"]:
            troubles.add("casting number given")
            return self.rng.choice(by_role["casting"])
        if by_role["cross"] and at > 1 - 5 * FROM_A_BOOK:
            troubles.add("number from a book")
            return by_role["cross"][0]
        return by_role["identifies"][0]

    def reading(self, mark: Mark, troubles: set[str], sure_place: bool = False) -> Reading:
        """One mark as it reaches the shop."""
        rng = self.rng
        via = rng.choices(("seen", "heard", "photo", "bench"), weights=(45, 35, 15, 5))[0]
        factor = self.factor * (0.3 if via == "bench" else 1.0)
        if mark.text.startswith("{"):
            return Reading(mark.text, part=mark.part, form=mark.form, via=via)
        line = damage.worn(self.as_given(mark, troubles), mark.form, factor if mark.role != "cross" else 0.2, rng)
        if mark.part == "tag":
            damage.tear(line, factor, rng)
        part, form = self.place(mark, troubles, sure_place)
        if via == "photo" and rng.random() < 0.35:
            troubles.update(line.troubles)
            return Reading(cells=damage.photographed(line, rng), part=part, form=form, via=via)
        damage.read(line, rng)
        damage.scratch(line, factor, rng)
        damage.turn_over(line, factor, rng)
        if via == "heard":
            damage.mishear(line, factor, rng)
        damage.slip(line, factor, rng)
        troubles.update(line.troubles)
        return Reading(self.as_typed(line.text()) or "?", part=part, form=form, via=via)

    def as_given(self, mark: Mark, troubles: set[str]) -> str:
        """The mark's text, in the wrong order of lines, or only its family part."""
        rng, text = self.rng, mark.text
        grammar = self.world.grammar[self.world.maker[mark.carburettor]]
        if mark.role != "identifies":
            return text
        cut = next((i for i, c in enumerate(text) if not c.isalnum()), 0)
        if grammar.two_lines and cut and rng.random() < damage.LINES_SWAPPED * self.factor:
            troubles.add("lines in wrong order")
            return text[cut + 1 :] + text[cut] + text[:cut]
        if rng.random() < PREFIX_ONLY * self.factor:
            troubles.add("prefix only")
            return text[:cut] if cut >= 2 else text[:3]
        return text

    def place(self, mark: Mark, troubles: set[str], sure: bool) -> tuple[str, str]:
        """The casting and the form of the characters as told: often not said, now and then wrong."""
        rng = self.rng
        part = mark.part if mark.role != "cross" else "book"
        if not sure and rng.random() < 0.4:
            part = ""
        elif part != "book" and rng.random() < 0.05 * self.factor * (0.3 if sure else 1.0):
            part = rng.choice(("tag", "throttle body", "bowl", "lid"))
            troubles.add("wrong place told")
        form = mark.form if rng.random() < 0.4 else ""
        if form and rng.random() < 0.08 * self.factor:
            form = rng.choice(("stamped", "cast", "printed"))
            troubles.add("wrong form told")
        return part, form

    def as_typed(self, text: str) -> str:
        """Separators and capitals as people type them."""
        way = self.rng.random()
        if way < 0.2:
            text = "".join(c for c in text if c not in "-/. ")
        elif way < 0.35:
            text = text.replace("-", " ").replace("/", "-")
        return text.lower() if self.rng.random() < 0.2 else text

    def looks(
        self, upper: str, lower: str, count: int, kinds: tuple[FeatureKind, ...], troubles: set[str]
    ) -> tuple[Look, ...]:
        """Answers about so many features of these kinds, quick ones likelier; some from one photograph."""
        rng = self.rng
        weights = [1.0 / ((k.minutes or 1.0) + 0.5) for k in kinds]
        chosen = dict.fromkeys(rng.choices(range(len(kinds)), weights=weights, k=count * 3))
        one_photo = self.richness != "little" and rng.random() < 0.3
        out: list[Look] = []
        spoilt = False
        for i in list(chosen)[:count]:
            kind = kinds[i]
            grouped = one_photo and len(out) < 3
            via = "photo" if grouped else rng.choices(("seen", "heard"), weights=(55, 45))[0]
            true = self.world.values[upper if kind.part in UPPER else lower][kind.feature]
            asked = answers.Asked(kind, true, via, rng.random() < 0.5, "photo 1" if grouped else "")
            own = self.own[kind.feature]
            look, wrong = answers.answer(asked, self.world.confusions, self.factor, own, spoilt and grouped, rng)
            spoilt = spoilt or (wrong and grouped)
            if wrong:
                troubles.add("wrong measure" if kind.kind == "measure" else "wrong look")
            out.append(look)
        return tuple(out)
