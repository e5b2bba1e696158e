"""Air bled into the main jet's well: which way the mixture goes, and about how far. A model nobody has checked."""

from __future__ import annotations

import math
from typing import Final

from floatbowl.engine.compensating import with_air_bleed
from floatbowl.quantities import rounded
from floatbowl.work_out.calculation import DIRECTION_ONLY, Answer, Asked, Calculation, Curve, Figure
from floatbowl.work_out.main_jet import NEVER_DRILL, PETROL_OPEN

#: Air at 15 C and sea level (US Standard Atmosphere 1976), and petrol: as ``engine.air`` and ``fuels.csv`` have them.
AIR_KG_M3: Final = 1.225
PETROL_KG_M3: Final = 745.0
CD: Final = 0.7
#: A change smaller than this is none for such a model (estimate).
NOTHING: Final = 0.005
SUCTIONS_PA: Final = (500.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0)


def _change(suction_pa: float, main_m: float, nozzle_m: float, bleed_m: float, lip_m: float) -> float:
    main, nozzle, bleed = (math.pi / 4 * bore**2 for bore in (main_m, nozzle_m, bleed_m))
    found = with_air_bleed(
        suction_pa, main, nozzle, bleed, cd=CD, fuel_kg_m3=PETROL_KG_M3, air_kg_m3=AIR_KG_M3, lip_m=lip_m
    )
    return found.change


def _work(*, suction_pa: float, main_m: float, nozzle_m: float, bleed_m: float, lip_m: float) -> Answer:
    change = _change(suction_pa, main_m, nozzle_m, bleed_m, lip_m)
    points = tuple((pa / 1000, 100 * _change(pa, main_m, nozzle_m, bleed_m, lip_m)) for pa in SUCTIONS_PA)
    return Answer(
        says=_says(change),
        figures=(Figure("change", "Fuel, more or less than without the bleed", change, "share", "in 100"),),
        curve=Curve("suction, kPa", "fuel more than without it, in 100", points, (suction_pa / 1000, 100 * change)),
        notes=("A blocked bleed does the opposite: the mixture goes to what it would be without it.",),
    )


def _says(change: float) -> str:
    if abs(change) < NOTHING:
        return f"The bleed hardly changes the mixture. {DIRECTION_ONLY}"
    way, more = ("leaner", "less") if change < 0 else ("richer", "more")
    return f"The bleed makes it {way}: some {rounded(100 * abs(change), 1)} in 100 {more} fuel. {DIRECTION_ONLY}"


AIR_BLEED: Final = Calculation(
    key="air-bleed",
    title="Air bled into the jet's well",
    about="Which way a drilled or blocked air bleed moves the mixture.",
    asks=(
        Asked("suction_pa", "Suction in the throat", "pressure", "kPa", usual=2000.0, spread=300.0),
        Asked("main_m", "Bore of the main jet", "length", "mm", usual=0.0013, spread=0.00001, how="By pin gauges."),
        Asked("nozzle_m", "Bore of the nozzle", "length", "mm", usual=0.003, spread=0.00005),
        Asked("bleed_m", "Bore of the air bleed", "length", "mm", usual=0.0008, spread=0.00002),
        Asked("lip_m", "Height of the nozzle's lip over the fuel", "length", "mm", usual=0.0025, spread=0.0005),
    ),
    work=_work,
    equation="at the well's p: Cd A_j sqrt(2 rho_f p) and Cd A_b sqrt(2 rho_a p) leave by the nozzle as one mixture",
    holds="Suction 50 Pa to 50 kPa, a bleed no wider than the nozzle. Bubbles slip, so the real nozzle does otherwise.",
    source="The project's own model, after the energy equation; not held against any measurement.",
    validated=False,
    cautions=(NEVER_DRILL, PETROL_OPEN),
    drawing="jet",
)

CALCULATIONS: Final = (AIR_BLEED,)
