"""Tunes the baseline's sharpness (and its "not listed" distance) on a catalogue that no result is measured on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from benchmarks.simulator import Case
from benchmarks.soft_edit_distance import SoftEditDistance

SHARPNESSES = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0)
FAR = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 5.0)


#: So far that nothing is ever taken for not listed.
NEVER = 1000.0


def tune(
    model: SoftEditDistance, cases: Sequence[Case], fars: Sequence[float] = FAR
) -> tuple[tuple[float, float], float]:
    """The (sharpness, not-listed distance) with the least mean log loss of the true kit, and that loss in nats."""
    settings = [(sharpness, far) for sharpness in SHARPNESSES for far in fars]
    loss = np.zeros(len(settings))
    kit_at = {name: i for i, name in enumerate(model.kit_names)}
    used = 0
    for case in cases:
        if case.truth is not None and not case.kits:
            continue
        used += 1
        for i, (chances, unlisted) in enumerate(model.posteriors(case.enquiry, settings)):
            right = unlisted if case.truth is None else model.kits(chances)[[kit_at[k] for k in case.kits]].max()
            loss[i] -= np.log(max(right, 1e-6))
    best = int(np.argmin(loss))
    return settings[best], float(loss[best] / max(used, 1))
