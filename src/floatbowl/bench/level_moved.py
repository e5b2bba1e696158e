"""How a float, a seat or a level that is off moves the fuel in the bowl, and what that does to the mixture."""

from __future__ import annotations

import math
from typing import Final

from floatbowl.bench.case import SIZE_ORDER, Case, Consequence, in_100, span, unknown
from floatbowl.bench.float_needle import level_rise_by_mass_m, level_rise_by_seat_m
from floatbowl.bench.runs_on import missing, taken_as_typical
from floatbowl.engine.doubt import Doubtful, first_order
from floatbowl.engine.metering import level_effect
from floatbowl.quantities import show_quantity

#: A float is taken for a drum of its recorded diameter. How far the level's rise for each gram is off so, as a part of
#: it (estimate).
RISE_PART: Final = 0.2
#: Spread of the needle's arm over the float's, where it is not measured (estimate).
ARM_RATIO_SD: Final = 0.05
#: Spread of the nozzle's height over the fuel where it is not measured (estimate).
LIP_SD_M: Final = 0.001
#: Nearer than this nobody sets a float.
LEVEL_RIGHT_M: Final = 0.2e-3
#: Less than this part nobody feels in a mixture.
HARDLY: Final = 0.005
#: What of the engine a wrong level, and a wrong seat, is judged by.
AT_THE_NOZZLE: Final = ("level_below_lip_m", "small_depression_pa")
AT_THE_SEAT: Final = ("head_pa", "needle_over_float_arm")


def by_weight(case: Case) -> Consequence:
    """How far a float that is heavier or lighter than recorded moves the level."""
    across = case.known.size_si("float", "outside diameter")
    if not case.wanted or not across:
        return unknown("shifts the level", ["the float's weight and diameter on record"])
    rise = weight_rise(case.figure, case.wanted, across, case.engine.fuel_kg_m3 if case.engine else 745.0)
    return _level(rise)


def weight_rise(weight: Doubtful, record_kg: float, across_m: float, fuel_kg_m3: float) -> Doubtful:
    """How much higher (m) the fuel stands for a float so much heavier than recorded: ``m/(rho A)``, a round drum.

    ``A`` is that of the recorded diameter; the rise for each gram may be a fifth off. Raises ``Refused`` past 20 mm.
    """
    area = math.pi / 4 * across_m**2
    return first_order(
        lambda weight_kg, shape: shape * level_rise_by_mass_m(weight_kg - record_kg, area, fuel_kg_m3),
        {"weight_kg": weight.value, "shape": 1.0},
        {"weight_kg": weight.sd, "shape": RISE_PART},
    )


def by_seat(case: Case) -> Consequence:
    """How far a seat of another bore moves the level under this head."""
    engine, across = case.engine, case.known.size_si("float", "outside diameter")
    gaps = [*missing(engine, *AT_THE_SEAT)]
    gaps += [] if across else ["the float's diameter"]
    if gaps or engine is None or not across or case.wanted is None:
        return unknown("shifts the level", gaps)
    area, record, fuel = math.pi / 4 * across**2, case.wanted, engine.fuel_kg_m3
    values = {
        "seat_m": case.figure.value,
        "pa": engine.head_pa or 0.0,
        "arms": engine.needle_over_float_arm or 0.0,
        "shape": 1.0,
    }
    sds = {"seat_m": case.figure.sd, "arms": ARM_RATIO_SD, "shape": RISE_PART}

    def rise(*, seat_m: float, pa: float, arms: float, shape: float) -> float:
        return shape * level_rise_by_seat_m(record, seat_m, pa, arms, area, fuel)

    return _level(first_order(rise, values, sds), taken_as_typical(engine, *AT_THE_SEAT))


def by_float_level(case: Case) -> Consequence:
    """A greater reading is a lower fuel: every datum measures down from lid, gasket or edge."""
    if case.wanted is None or not case.judged.row.datum:
        return unknown("shifts the level", ["a figure with its datum"])
    return _mixture(case, case.wanted, case.engine.level_below_lip_m if case.engine else None, AT_THE_NOZZLE)


def by_wet_level(case: Case) -> Consequence | None:
    """What a fuel level that stands wrong below the nozzle's lip does to the mixture."""
    return None if case.wanted is None else _mixture(case, case.wanted, case.wanted, AT_THE_NOZZLE[1:])


def _mixture(case: Case, wanted_m: float, lip_m: float | None, needed: tuple[str, ...]) -> Consequence:
    lower_m, engine = case.figure.value - wanted_m, case.engine
    if abs(lower_m) < LEVEL_RIGHT_M:
        return Consequence("leaves the fuel where it should stand", 0.0, trust=SIZE_ORDER)
    stands = f"leaves the fuel about {abs(lower_m) * 1e3:.1f} mm {'lower' if lower_m > 0 else 'higher'}"
    if engine is None or lip_m is None or engine.small_depression_pa is None:
        return unknown(stands, missing(engine, *needed), "what that does to the mixture")
    assumed = taken_as_typical(engine, *needed)
    if lip_m + lower_m <= 0:
        return Consequence(f"{stands}, over the nozzle's lip, and it drips", trust=SIZE_ORDER, assumed=assumed)
    pa = engine.small_depression_pa
    change = level_change(Doubtful(lower_m, case.figure.sd), lip_m, pa, engine.fuel_kg_m3)
    says = f"{stands}, {_richer(change, pa, bool(assumed))}"
    return Consequence(says, change.value, change.low, change.high, SIZE_ORDER, assumed=assumed)


def _richer(change: Doubtful, pa: float, typical: bool) -> str:
    if abs(change.value) < HARDLY:
        return "which hardly changes the mixture"
    low, high = map(in_100, span(change))
    suction = show_quantity(pa, "pressure", "Pa") + " of suction" + (" as on a typical engine" if typical else "")
    way = "richer" if change.value > 0 else "leaner"
    return f"at {suction} about {in_100(change.value)} in 100 ({low} to {high}) {way}"


def level_change(lower: Doubtful, lip_m: float, depression_pa: float, fuel_kg_m3: float) -> Doubtful:
    """Part by which fuel flow changes for a level so much lower (m), at one small suction. Raises ``Refused``."""

    def change(*, lower_m: float, lip: float) -> float:
        return level_effect(depression_pa, lip, lip + lower_m, fuel_kg_m3)

    return first_order(change, {"lower_m": lower.value, "lip": lip_m}, {"lower_m": lower.sd, "lip": LIP_SD_M})


def _level(rise: Doubtful, assumed: tuple[str, ...] = ()) -> Consequence:
    way = "lifts" if rise.value >= 0 else "lowers"
    if abs(rise.value) < 0.1e-3 and rise.high < 0.3e-3:
        says = "hardly moves the fuel level"
    else:
        low, high = span(rise)
        says = f"{way} the fuel about {abs(rise.value) * 1e3:.1f} mm ({low * 1e3:.1f} to {high * 1e3:.1f})"
    return Consequence(says, rise.value, rise.low, rise.high, SIZE_ORDER, assumed=assumed)
