"""What a reading means for the engine: a phrase that follows what was found, and the figure behind it with its doubt.

Doubt is carried through first order (``floatbowl.engine.doubt``); the shaft's leak bends too much for a slope and
carries it in whole swings (``floatbowl.bench.shaft``). What has no model says so; what a model says that nobody has
held against a measurement is "direction and size order only".
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from floatbowl.bench.air_let_in import air_let_in
from floatbowl.bench.case import NO_MODEL, Case, Consequence, in_100, span, unknown
from floatbowl.bench.float_needle import seat_force_n
from floatbowl.bench.judging import UNLIKELY, Judged
from floatbowl.bench.level_moved import by_float_level, by_seat, by_weight, by_wet_level
from floatbowl.bench.on_record import OnRecord
from floatbowl.bench.runs_on import RunsOn, missing, taken_as_typical
from floatbowl.bench.taking import Taken
from floatbowl.engine.doubt import Doubtful, first_order
from floatbowl.engine.metering import bore_change
from floatbowl.engine.refusal import Refused
from floatbowl.quantities import show_quantity

#: Rows whose consequence no model here tells.
WITHOUT_MODEL: Final[Mapping[str, str]] = {
    "plate_gap": "lets air past at idle, how much cannot be worked out here",
    "plate_light": "how much air that is cannot be worked out here",
    "plate_idle_hole": "what it does to the mixture cannot be worked out here",
    "flange_gap": "lets in air under the flange, how much cannot be worked out here",
    "flange_ears": "lets in air under the flange, how much cannot be worked out here",
    "joint_gap": "lets fuel and air past the joint, how much cannot be worked out here",
    "idle_needle_tip": "what it does to the mixture cannot be worked out here",
    "main_needle_tip": "what it does to the mixture cannot be worked out here",
    "bush_inset": "lets air past the plate's edge, how much cannot be worked out here",
    "passages_blocked": "what it does to the mixture cannot be worked out here",
    "choke_gap": "spoils a cold start, how much cannot be worked out here",
}


def consequence(
    judged: Judged, taken: Iterable[Taken], known: OnRecord, engine: RunsOn | None = None
) -> Consequence | None:
    """What a judged row means for this engine; None where nothing more can be said than the limit does.

    Nothing is assumed that ``engine`` does not hold: use ``runs_on.filled_up`` to take a typical engine's figures.
    """
    case = Case(judged, tuple(taken), known, engine)
    if judged.worst is None:
        return None
    if judged.row.key in WITHOUT_MODEL:
        return Consequence(WITHOUT_MODEL[judged.row.key], trust=NO_MODEL) if judged.chance > UNLIKELY else None
    work = _MODELS.get(judged.row.key)
    try:
        return work(case) if work else None
    except Refused as refused:
        return Consequence(f"means more than can be worked out here ({refused})", trust=NO_MODEL)


def _jet(case: Case) -> Consequence:
    if case.wanted is None:
        return unknown("changes the mixture", ["the bore on record"])
    change = jet_change(case.figure, case.wanted)
    way = "more" if change.value >= 0 else "less"
    if abs(change.value) < max(0.02, 1.96 * change.sd):
        says = f"passes the fuel it should, within {in_100(abs(change.value) + 1.96 * change.sd)} in 100"
    else:
        low, high = map(in_100, span(change))
        record = show_quantity(case.wanted, "length", "mm")
        says = f"passes about {in_100(change.value)} in 100 ({low} to {high}) {way} fuel than one of {record}"
    return Consequence(says, change.value, change.low, change.high)


def jet_change(bore: Doubtful, record_m: float) -> Doubtful:
    """Part by which a jet passes more than as recorded, ``(d/d0)^2 - 1``, with the gauge's doubt. Raises ``Refused``.

    >>> change = jet_change(Doubtful(1.26e-3, 0.01e-3), 1.10e-3)
    >>> round(change.value, 2), round(change.sd, 3)
    (0.31, 0.021)
    """
    return first_order(lambda bore_m: bore_change(bore_m, record_m), {"bore_m": bore.value}, {"bore_m": bore.sd})


def _head(case: Case) -> Consequence | None:
    if case.judged.chance <= UNLIKELY:
        return None
    bore = case.known.size_si("needle and seat", "bore")
    gaps = [*missing(case.engine, "head_pa")] + ([] if bore else ["the seat's bore"])
    if gaps or case.engine is None or not bore or case.engine.head_pa is None:
        return Consequence("drips until the tap is shut", missing=tuple(gaps))
    force = seat_force_n(bore, case.engine.head_pa)
    pushed = f"{show_quantity(force, 'force', 'N', 2)} by {show_quantity(case.engine.head_pa, 'pressure', 'kPa', 2)}"
    return Consequence(
        f"drips though pushed with only {pushed} of head", force, assumed=taken_as_typical(case.engine, "head_pa")
    )


_MODELS: Final[Mapping[str, Callable[[Case], Consequence | None]]] = {
    "shaft_play": air_let_in,
    "main_jet_bore": _jet,
    "float_weight": by_weight,
    "seat_bore": by_seat,
    "head_hold": _head,
    "float_level": by_float_level,
    "wet_level": by_wet_level,
}
