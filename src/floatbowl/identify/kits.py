"""Which kits are wanted, and which carburettors take the same ones."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from floatbowl.identify.catalogue import Catalogue
from floatbowl.identify.compiled import Ints
from floatbowl.reference.facts import Reference


def wanted_kits(reference: Reference, level: str, fuel: str) -> npt.NDArray[np.bool_]:
    """Which kits are of the wanted level and fuel; a kit that does not say counts, and so do all when none match."""
    found = np.array(
        [(not level or kit.level in ("", level)) and (not fuel or kit.fuel in ("", fuel)) for kit in reference.kits],
        dtype=bool,
    )
    return found if found.any() else np.ones(len(reference.kits), dtype=bool)


def kit_groups(catalogue: Catalogue, wanted: npt.NDArray[np.bool_]) -> Ints:
    """A number for each hypothesis, equal where the same wanted kits fit. Unlisted ones have a group of their own."""
    sets: dict[int, list[int]] = {}
    for kit, hypothesis in zip(catalogue.kits.fits_kit.tolist(), catalogue.kits.fits_hypothesis.tolist(), strict=True):
        if wanted[kit]:
            sets.setdefault(hypothesis, []).append(kit)
    groups: dict[tuple[int, ...], int] = {(): 1}
    found = np.ones(catalogue.hypotheses, np.int32)
    for hypothesis, kits in sets.items():
        found[hypothesis] = groups.setdefault(tuple(kits), len(groups) + 1)
    found[catalogue.recorded :] = 0
    return found
