"""What play in the shaft's bores lets in, as a share of the idle air."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from floatbowl.bench.case import SIZE_ORDER, Case, Consequence, unknown
from floatbowl.bench.judging import Judged
from floatbowl.bench.runs_on import RunsOn, missing, taken_as_typical, whose
from floatbowl.bench.shaft import LeakSpreads, Share, idle_air_kg_s, share_of_idle_air
from floatbowl.bench.shares import LEAST, about
from floatbowl.engine.doubt import Doubtful

#: What of the engine a share of its idle air needs.
NEEDED: Final = ("displacement_m3", "idle_rpm", "idle_manifold_pa")


def shaft_ends(judged: Judged) -> dict[str, Doubtful]:
    """The greatest play at each end that was read."""
    ends: dict[str, Doubtful] = {}
    for place in judged.places:
        end = place.place.partition(",")[0]
        if end not in ends or place.figure.value > ends[end].value:
            ends[end] = place.figure
    return ends


def air_let_in(case: Case) -> Consequence:
    known, engine = case.known, case.engine
    shaft_m, boss_m = _shaft_diameter_m(case), known.size_si("bush", "length")
    gaps = [word for word, value in (("the shaft's diameter", shaft_m), ("the boss's length", boss_m)) if value is None]
    gaps += missing(engine, *NEEDED)
    if gaps or engine is None or shaft_m is None or boss_m is None:
        return unknown("lets in air", gaps)
    share = _shares(shaft_ends(case.judged), shaft_m, boss_m, engine)
    of = f"of the idle air of {whose(engine, *NEEDED)}"
    says = f"lets in {about(share.share, share.low, share.high)} {of}"
    if share.high < LEAST:
        says = f"lets in hardly any {of}"
    return Consequence(says, share.share, share.low, share.high, SIZE_ORDER, assumed=taken_as_typical(engine, *NEEDED))


def _shares(ends: Mapping[str, Doubtful], shaft_m: float, boss_m: float, engine: RunsOn) -> Share:
    """The ends' shares added; what is in doubt (suction, idle air) is the same at both, so the bands add too."""
    pa = engine.idle_manifold_pa or 0.0
    idle = idle_air_kg_s(engine.displacement_m3 or 0.0, engine.idle_rpm or 0.0, pa, strokes=engine.strokes)
    shares = [
        share_of_idle_air(
            shaft_m, play.value, boss_m, pa, idle / engine.carburettors, ends=1, spreads=LeakSpreads(play_m=play.sd)
        )
        for play in ends.values()
    ]
    return Share(sum(s.share for s in shares), sum(s.low for s in shares), sum(s.high for s in shares))


def _shaft_diameter_m(case: Case) -> float | None:
    """As measured where it never ran, else what a bush for it measures inside."""
    measured = [t.value for t in case.taken if t.measure == "shaft_wear" and t.place == "unworn part"]
    return math.fsum(sorted(measured)) / len(measured) if measured else case.known.size_si("bush", "inside diameter")
