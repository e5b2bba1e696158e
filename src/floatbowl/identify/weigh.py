"""The posterior: every piece of evidence together, for whole carburettors, for ones built from two, and for kits.

Bayes' rule over hypotheses. Evidence about a casting is kept apart from evidence about the others, so that a
carburettor built from two shows as castings that disagree: its likelihood sums over pairs (one for some castings, one
for the rest). Evidence on the tag may be another carburettor's, since tags are moved.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property, wraps
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt

from floatbowl.identify.answer import Chance
from floatbowl.identify.assumptions import Assumptions, shipped_assumptions
from floatbowl.identify.castings import Item, by_casting, gather, tag_factor
from floatbowl.identify.catalogue import Catalogue, compile_catalogue, same_tables
from floatbowl.identify.compiled import Ints, Numbers
from floatbowl.identify.features import (
    ChoiceColumn,
    Column,
    Shown,
    answer_table,
    compile_features,
    shown,
    wrong_rate,
)
from floatbowl.identify.kits import kit_groups, wanted_kits
from floatbowl.identify.machines import Machines, compile_machines, machine_prior
from floatbowl.identify.mixed import mixed_likelihood
from floatbowl.identify.told import Told
from floatbowl.identify.wear import ErrorModel, Floats, shipped_error_model
from floatbowl.reference.facts import ROLES, Reference
from floatbowl.reference.observed import Enquiry, Look

T = TypeVar("T")


class Weigher:
    """One version of a reference, compiled; weighs any number of enquiries. Safe to use from several threads.

    What an ``earlier`` weigher worked out from the very same tables (the same tuples) is taken from it, so that after
    an edit only what it touches is compiled again.
    """

    def __init__(
        self,
        reference: Reference,
        error_model: ErrorModel | None = None,
        assumptions: Assumptions | None = None,
        earlier: Weigher | None = None,
    ) -> None:
        self.reference = reference
        self.error_model = error_model or shipped_error_model()
        self.assumptions = assumptions or shipped_assumptions()
        before = earlier if earlier is not None and earlier.error_model == self.error_model else None
        self.catalogue: Catalogue = compile_catalogue(reference, self.error_model, before.catalogue if before else None)
        same = _same_tables(before, reference, "machines", "came_on")
        self.machines: Machines = same.machines if same else compile_machines(reference)
        self.features: dict[str, Column] = self._features(before)
        same = _same_tables(before, reference, "marks", "carburettor_parts", "settings", "part_sizes", "parts")
        self._told: Told = same._told if same else Told(reference)
        rows = self.catalogue.rows
        identifying = np.unique(rows.part[(rows.role == ROLES.index("identifies")) & (rows.part >= 0)])
        #: Parts that bear an identifying mark on some carburettor.
        self.identifying_parts: tuple[str, ...] = tuple(self.catalogue.parts[i] for i in identifying)
        self._groups: dict[tuple[str, str], Ints] = {}
        self._mark_on: dict[str, Ints] = {}
        self._marks_and_kits: dict[tuple[str, str, str], tuple[Numbers, Numbers]] = {}
        self._told_rightly: dict[str, Shown] = {}
        self._wanted: dict[tuple[str, str], npt.NDArray[np.bool_]] = {}
        self.tools: dict[str, tuple[float, str]] = {t.tool: (t.spread, t.unit) for t in reference.tools}

        has_kit = np.zeros(self.catalogue.recorded, dtype=bool)
        has_kit[self.catalogue.kits.fits_hypothesis] = True
        #: The recorded carburettors for which there is no kit.
        self.without_kit: npt.NDArray[np.intp] = np.flatnonzero(~has_kit)

    def _features(self, before: Weigher | None) -> dict[str, Column]:
        catalogue = self.catalogue
        same = _same_tables(before, self.reference, "features", "feature_kinds", "confusions")
        if same and same.catalogue.at is catalogue.at and np.array_equal(same.catalogue.maker_of, catalogue.maker_of):
            return same.features
        return compile_features(
            self.reference, catalogue.at, catalogue.maker_of, len(catalogue.makers), catalogue.siblings
        )

    def name(self, hypothesis: int) -> str:
        """What a person calls a recorded carburettor."""
        key = self.catalogue.keys[hypothesis]
        return self.catalogue.names.get(key, key)

    def marks_of(self, hypothesis: int) -> tuple[str, ...]:
        """The identifying marks of a recorded carburettor, as recorded."""
        return self._told.marks(self.catalogue.keys[hypothesis])

    def came_on(self, machine: str) -> frozenset[int]:
        """The recorded carburettors a machine came with."""
        rows = self.machines.came_on.get(machine, ())
        return frozenset(self.catalogue.at[row.carburettor] for row in rows if row.carburettor in self.catalogue.at)

    def mark_on(self, part: str) -> Ints:
        """The identifying mark each hypothesis bears on a part, as a place of the index; -1 where it bears none."""
        if part not in self._mark_on:
            catalogue, rows = self.catalogue, self.catalogue.rows
            mine = (rows.role == ROLES.index("identifies")) & (rows.part == catalogue.parts.index(part))
            found = np.full(catalogue.hypotheses, -1, np.int32)
            found[rows.hypothesis[mine]] = rows.mark[mine]
            self._mark_on[part] = found
        return self._mark_on[part]

    def marks_and_kits(self, part: str, level: str, fuel: str) -> tuple[Numbers, Numbers]:
        """Two numbers from 0 for each hypothesis: of its identifying mark on a part, and of that with its kit group."""
        if (part, level, fuel) not in self._marks_and_kits:
            mark = self.mark_on(part).astype(np.intp) + 1
            groups = self.kit_groups(level, fuel)
            _, both = np.unique(mark * (int(groups.max(initial=0)) + 1) + groups, return_inverse=True)
            self._marks_and_kits[part, level, fuel] = mark, both
        return self._marks_and_kits[part, level, fuel]

    def told_rightly(self, column: ChoiceColumn) -> Shown:
        """P(answer | code of a hypothesis) of a choice that is asked for with instruction."""
        feature = column.kind.feature
        if feature not in self._told_rightly:
            wrong = wrong_rate(column.kind, Look(feature, "", coached=True), self.assumptions)
            table = answer_table(column, wrong, self.assumptions)
            self._told_rightly[feature] = shown(np.vstack([table, column.by_maker @ table]))
        return self._told_rightly[feature]

    def fitted(self, hypothesis: int) -> Mapping[str, str]:
        """Parts by position and settings of a recorded carburettor, as shown to people."""
        return self._told.fitted(self.catalogue.keys[hypothesis])

    def wanted_kits(self, level: str, fuel: str) -> npt.NDArray[np.bool_]:
        """Which kits are of the wanted level and fuel (empty: not said)."""
        if (level, fuel) not in self._wanted:
            self._wanted[level, fuel] = wanted_kits(self.reference, level, fuel)
        return self._wanted[level, fuel]

    def kit_groups(self, level: str, fuel: str) -> Ints:
        """A number for each hypothesis, equal where the same wanted kits fit."""
        if (level, fuel) not in self._groups:
            self._groups[level, fuel] = kit_groups(self.catalogue, self.wanted_kits(level, fuel))
        return self._groups[level, fuel]

    def weigh(self, enquiry: Enquiry) -> Standing:
        """The posterior of one enquiry. Raises ``ReadingError`` when a reading is too long to be a number."""
        catalogue, assumptions = self.catalogue, self.assumptions
        prior, machine = machine_prior(
            self.machines,
            enquiry,
            catalogue.at,
            catalogue.share,
            catalogue.maker_of,
            len(catalogue.makers),
            assumptions,
        )
        prior = _after_purchases(prior, catalogue, enquiry, assumptions)
        items = gather(catalogue, self.features, self.tools, enquiry, self.error_model, assumptions)
        castings = by_casting(items, assumptions)
        as_they_stand = dict(castings)
        if "tag" in castings:
            castings["tag"] = tag_factor(castings["tag"], prior, enquiry, assumptions)
        logs = sum(castings.values(), np.zeros(catalogue.hypotheses))
        mixed = mixed_likelihood(castings, prior, catalogue, assumptions)
        top = max(_highest(logs, prior), mixed)
        # In place: copies of long arrays would take a third of the time.
        weights = np.exp(np.minimum(np.subtract(logs, top, out=logs), 0.0, out=logs), out=logs)
        weights *= (1 - assumptions.mixed) * prior
        mixed_weight = float(np.exp(mixed - top)) * assumptions.mixed
        total = float(weights.sum()) + mixed_weight
        weights /= total
        return Standing(
            self, enquiry, machine, prior, tuple(items), castings, as_they_stand, weights, mixed_weight / total
        )


@dataclass(frozen=True)
class Standing:
    """Where an enquiry stands: ``posterior`` over hypotheses (recorded carburettors first), and ``mixed``."""

    weigher: Weigher
    enquiry: Enquiry
    machine: str | None
    prior: Floats
    items: tuple[Item, ...]
    castings: Mapping[str, Floats]
    #: Each casting's own evidence; the tag's, too, as if it had never been moved.
    as_they_stand: Mapping[str, Floats]
    posterior: Floats
    mixed: float
    #: What was worked out from it already (see ``once``).
    found: dict[Callable[..., Any], Any] = field(default_factory=dict, repr=False, compare=False)

    @property
    def recorded(self) -> Floats:
        """Probability of each recorded carburettor."""
        return self.posterior[: self.weigher.catalogue.recorded]

    @property
    def not_listed(self) -> float:
        """Probability that the carburettor is in nobody's records here."""
        return float(self.posterior[self.weigher.catalogue.recorded :].sum())

    def carburettors(self, cut_off: float = 0.0) -> tuple[Chance, ...]:
        """Recorded carburettors with their probabilities, likeliest first."""
        return _chances(self.weigher.catalogue.keys, self.recorded, cut_off)

    @cached_property
    def kit_chances(self) -> Floats:
        """Probability that each kit fits what is in the hand."""
        kits = self.weigher.catalogue.kits
        found = np.bincount(kits.fits_kit, self.posterior[kits.fits_hypothesis], minlength=len(kits.keys))
        return found.astype(np.float64)

    def kits(self, cut_off: float = 0.0) -> tuple[Chance, ...]:
        """Kits with the probability that they fit, likeliest first."""
        return _chances(self.weigher.catalogue.kits.keys, self.kit_chances, cut_off)

    @property
    def no_kit(self) -> float:
        """Probability that it is a recorded carburettor for which there is no kit."""
        return float(self.recorded[self.weigher.without_kit].sum())


def _same_tables(before: Weigher | None, reference: Reference, *tables: str) -> Weigher | None:
    return before if before is not None and same_tables(before.catalogue, reference, *tables) else None


def _highest(logs: Floats, prior: Floats) -> float:
    """The highest logarithm, unless one that no prior stands behind is so far above the rest that they would vanish."""
    at = int(np.argmax(logs))
    if prior[at] > 0:
        return float(logs[at])
    return float(logs[prior > 0].max(initial=-np.inf))


def likeliest(chances: Floats, at_least: float) -> npt.NDArray[np.intp]:
    """Places of the chances that are at least so likely, likeliest first; of equal ones the first recorded first."""
    chosen = np.flatnonzero(chances >= at_least)
    return chosen[np.argsort(-chances[chosen], kind="stable")]


def _chances(keys: tuple[str, ...], chances: Floats, cut_off: float) -> tuple[Chance, ...]:
    order = likeliest(chances, cut_off)
    return tuple(Chance(keys[i], p) for i, p in zip(order.tolist(), chances[order].tolist(), strict=True))


def once(work: Callable[[Standing], T]) -> Callable[[Standing], T]:
    """Keeps what a function finds about a standing, so that it is worked out once."""

    @wraps(work)
    def kept(standing: Standing) -> T:
        if work not in standing.found:
            standing.found[work] = work(standing)
        found: T = standing.found[work]
        return found

    return kept


def _after_purchases(prior: Floats, catalogue: Catalogue, enquiry: Enquiry, assumptions: Assumptions) -> Floats:
    """A caller who bought a kit before is the likelier to own a carburettor it fits."""
    if not enquiry.bought:
        return prior
    kits = catalogue.kits
    bought = [i for i, key in enumerate(kits.keys) if key in enquiry.bought]
    if not bought:
        return prior
    fits = np.zeros(catalogue.hypotheses)
    fits[kits.fits_hypothesis[np.isin(kits.fits_kit, bought)]] = 1.0
    again = prior * fits
    total = float(again.sum())
    if total <= 0:
        return prior
    return (1 - assumptions.bought_again) * prior + assumptions.bought_again * again / total


__all__ = ["Reference", "Standing", "Weigher", "likeliest", "once"]
