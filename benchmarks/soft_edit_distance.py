"""The baseline: a soft edit distance that holds the same evidence as the weighing, and knows nothing of wear.

A reading scores every mark by ``exp(-sharpness * distance)``; ``?`` matches any character, ``[83]`` any of these, ``*``
is a gap of no cost, and a place of a photograph costs one less its chance of the character. Machine, looks and
measures weigh in by the rates of the catalogue. What is not listed stands for a distance no listed mark should
need; that distance and the sharpness are tuned on a catalogue of their own.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchmarks.edit_distance import Floats, coded, distances, tokens
from benchmarks.grammar import normalised
from floatbowl.reference.facts import FeatureKind, Reference
from floatbowl.reference.observed import UNINFORMATIVE, Enquiry, Look, Reading

#: Chance that the mark given is of this role (identifying marks: the rest).
ROLE_WEIGHT: Final = {"identifies": 1.0, "casting": 0.10, "family": 0.03, "cross": 0.05}
SWAPPED: Final = 0.15
OUTLIER: Final = 0.05
OUTLIER_RANGE_MM: Final = 60.0
UNLISTED_PRIOR: Final = 0.05


class SoftEditDistance:
    """Weighs enquiries over one catalogue."""

    def __init__(self, reference: Reference) -> None:
        self.names = [c.carburettor for c in reference.carburettors]
        self.at = {name: i for i, name in enumerate(self.names)}
        share = np.array([1.0 if c.share is None else c.share for c in reference.carburettors])
        self.share: Floats = share / share.sum()
        self._index_marks(reference)
        self._index_machines(reference)
        self._index_features(reference)
        self._index_kits(reference)

    # --- what is known, as arrays ---------------------------------------------------------------------------------

    def _index_marks(self, reference: Reference) -> None:
        texts: dict[str, int] = {}
        rows = []
        for mark in reference.marks:
            text = normalised(mark.text)
            if text:
                rows.append((self.at[mark.carburettor], texts.setdefault(text, len(texts)), ROLE_WEIGHT[mark.role]))
        rows.sort()
        self.table, self.lengths = coded(list(texts))
        self.mark_owner = np.array([r[0] for r in rows], dtype=np.int64)
        self.mark_text = np.array([r[1] for r in rows], dtype=np.int64)
        self.mark_weight = np.array([r[2] for r in rows])

    def _index_machines(self, reference: Reference) -> None:
        self.came_on: dict[str, list[tuple[int, float, float, float]]] = defaultdict(list)
        for row in reference.came_on:
            low = float(row.serial_from) - (row.serial_doubt or 0.0) if row.serial_from.isdigit() else -np.inf
            high = float(row.serial_to) + (row.serial_doubt or 0.0) if row.serial_to.isdigit() else np.inf
            self.came_on[row.machine].append((self.at[row.carburettor], row.share or 1.0, low, high))

    def _index_features(self, reference: Reference) -> None:
        self.kinds = {k.feature: k for k in reference.feature_kinds}
        self.tools = {t.tool: t.spread for t in reference.tools}
        makers = sorted({c.maker for c in reference.carburettors})
        maker_at = {m: i for i, m in enumerate(makers)}
        self.maker = np.array([maker_at[c.maker] for c in reference.carburettors])
        self.values: dict[str, NDArray[np.int64]] = {}
        self.known: dict[str, list[str]] = defaultdict(list)
        for feature in self.kinds:
            self.values[feature] = np.full(len(self.names), -1, dtype=np.int64)
        places: dict[tuple[str, str], int] = {}
        for row in reference.features:
            place = places.get((row.feature, row.value))
            if place is None:
                place = places[row.feature, row.value] = len(self.known[row.feature])
                self.known[row.feature].append(row.value)
            self.values[row.feature][self.at[row.carburettor]] = place
        self.usual: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)
        for confusion in reference.confusions:
            self.usual[confusion.feature, confusion.true][confusion.said] = confusion.weight

    def _index_kits(self, reference: Reference) -> None:
        self.kit_names = [k.kit for k in reference.kits]
        kit_at = {k: i for i, k in enumerate(self.kit_names)}
        self.fit_kit = np.array([kit_at[f.kit] for f in reference.kit_fits], dtype=np.int64)
        self.fit_owner = np.array([self.at[f.carburettor] for f in reference.kit_fits], dtype=np.int64)

    # --- evidence -------------------------------------------------------------------------------------------------

    def prior(self, enquiry: Enquiry) -> Floats:
        """Chance of each carburettor by the machine (with swaps) and the counter's shares."""
        options = self.came_on.get(enquiry.machine, [])
        if enquiry.serial.isdigit():
            serial = float(enquiry.serial)
            within = [o for o in options if o[2] <= serial <= o[3]]
            options = within or options
        total = sum(weight for _, weight, _, _ in options)
        if not total:
            return self.share
        out: Floats = SWAPPED * self.share
        for at, weight, _, _ in options:
            out[at] += (1 - SWAPPED) * weight / total
        return out

    def mark_distances(self, reading: Reading) -> Floats | None:
        """Distance of every different mark from the reading; None when nothing was read."""
        taken = tokens(reading)
        if not len(taken.star):
            return None
        found: Floats = distances(taken.costs, taken.dropped, taken.star, self.table, self.lengths)
        return found

    def reading_likelihood(self, distance: Floats, sharpness: float) -> Floats:
        """A carburettor's best mark, by distance and by how often its role is given as the number."""
        by_mark = self.mark_weight * np.exp(-sharpness * distance)[self.mark_text]
        out: Floats = np.full(len(self.names), 1e-12)
        np.maximum.at(out, self.mark_owner, by_mark)
        return out

    def look_likelihood(self, look: Look) -> Floats | None:
        """Chance of the answer for every carburettor; features not recorded by the maker's frequencies."""
        kind = self.kinds.get(look.feature)
        if kind is None or look.value in UNINFORMATIVE or not self.known[look.feature]:
            return None
        by_value = np.array([self._said(kind, true, look) for true in self.known[look.feature]])
        values = self.values[look.feature]
        out: Floats = np.where(values >= 0, by_value[values], np.nan)
        gaps = np.isnan(out)
        seen = np.bincount(self.maker[~gaps], minlength=self.maker.max() + 1) + 1e-9
        mean = np.bincount(self.maker[~gaps], weights=out[~gaps], minlength=self.maker.max() + 1) / seen
        out[gaps] = np.maximum(mean, 1e-6)[self.maker[gaps]]
        return out

    def _said(self, kind: FeatureKind, true: str, look: Look) -> float:
        wrong = (kind.wrong_coached if look.coached else kind.wrong_untold) or 0.1
        if kind.kind == "measure":
            tool = look.spread if look.spread is not None else self.tools.get(look.tool, 1.0)
            spread = float(np.hypot(tool, kind.spread or 0.5))
            off = (float(look.value) - float(true)) / spread
            normal = float(np.exp(-0.5 * off * off)) / (spread * 2.5066)
            return (1 - wrong) * normal + wrong / OUTLIER_RANGE_MM
        if look.value == true:
            return 1.0 - wrong
        others = [c for c in kind.choice_list if c != true]
        usual = self.usual.get((kind.feature, true), {})
        total = sum(usual.get(c, 1.0) for c in others)
        return wrong * usual.get(str(look.value), 1.0) / total

    # --- weighing -------------------------------------------------------------------------------------------------

    def posteriors(self, enquiry: Enquiry, settings: Sequence[tuple[float, float]]) -> list[tuple[Floats, float]]:
        """For each (sharpness, distance of what is not listed): carburettors' chances, and that of "not listed"."""
        rest, rest_unlisted = self.prior(enquiry).copy(), UNLISTED_PRIOR
        for look in enquiry.looks:
            chance = self.look_likelihood(look)
            if chance is not None:
                rest *= chance
                rest_unlisted *= float(np.dot(chance, self.share))
        rest *= 1 - UNLISTED_PRIOR
        read = [d for d in (self.mark_distances(r) for r in enquiry.readings) if d is not None]
        out = []
        by_sharpness: dict[float, Floats] = {}
        for sharpness, far in settings:
            if sharpness not in by_sharpness:
                weight = rest
                for distance in read:
                    weight = weight * self.reading_likelihood(distance, sharpness)
                by_sharpness[sharpness] = weight
            weight = by_sharpness[sharpness]
            unlisted = rest_unlisted * float(np.exp(-sharpness * far * len(read)))
            total = weight.sum() + unlisted
            out.append((weight / total, unlisted / total))
        return out

    def kits(self, carburettors: Floats) -> Floats:
        """Chance that each kit fits."""
        by_fit = carburettors[self.fit_owner]
        fits: Floats = np.bincount(self.fit_kit, weights=by_fit, minlength=len(self.kit_names)).astype(float)
        return fits
