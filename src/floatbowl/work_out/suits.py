"""Does this carburettor suit this engine: a swapped one beside the right one."""

from __future__ import annotations

from typing import Final, Unpack

from floatbowl.engine.fuels import fuel
from floatbowl.engine.suits import Comparison, Throat, compare
from floatbowl.quantities import rounded, show_quantity
from floatbowl.work_out.air import ENGINE_ASKS, RUNNING, Engine, breathing
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure
from floatbowl.work_out.main_jet import FUEL_ASK, LIP_ASK, NEVER_DRILL, drill_table
from floatbowl.work_out.venturi import BAND_SAYS, BAND_SOURCE, suction_curve, throat_asks

#: A change of fuel smaller than this is not told from none (about what a careful ear and plug notice; estimate).
ALIKE: Final = 0.03


def _work(
    *,
    this_throat_m: float,
    this_tube_m: float,
    this_cd: float,
    right_throat_m: float,
    right_tube_m: float,
    right_cd: float,
    lip_m: float,
    fuel_name: str,
    jet_m: float | None = None,
    **engine: Unpack[Engine],
) -> Answer:
    drawn = breathing(**engine)
    this = Throat(throat_m=this_throat_m, tube_m=this_tube_m, cd=this_cd, cd_sd=0.0)
    right = Throat(throat_m=right_throat_m, tube_m=right_tube_m, cd=right_cd, cd_sd=0.0)
    found = compare(drawn, this, right, lip_m=lip_m, fuel_kg_m3=fuel(fuel_name).density_kg_m3)
    bore_factor = found.jet_area_factor**0.5
    jet = (
        () if jet_m is None else (Figure("jet", "Jet for the right mixture here", jet_m * bore_factor, "length", "mm"),)
    )
    return Answer(
        says=_says(found),
        figures=(
            Figure("speed", "Mean air speed in this one", found.this.speed_m_s, "speed", "m/s"),
            Figure("right_speed", "Mean air speed in the right one", found.right.speed_m_s, "speed", "m/s"),
            Figure("suction", "Suction in this one", found.this.depression_pa.value, "pressure", "kPa"),
            Figure("right_suction", "Suction in the right one", found.right.depression_pa.value, "pressure", "kPa"),
            Figure("change", "Fuel of the same jet, more or less", found.fuel_change.value, "share", "in 100"),
            Figure("bore_factor", "Bore of the jet, times", bore_factor),
            *jet,
        ),
        tables=() if jet_m is None else (drill_table(jet_m * bore_factor),),
        curve=suction_curve(drawn, this, (found.this.speed_m_s, found.this.depression_pa.value / 1000)),
        notes=(
            BAND_SOURCE,
            "For one plain jet. A compensated carburettor, an air bleed or an adjusting needle changes less.",
            "Two carburettors of one make are alike in their coefficients, so the doubt shown is then too wide.",
        ),
    )


def _says(found: Comparison) -> str:
    speed = show_quantity(found.this.speed_m_s, "speed", "m/s")
    return f"At {speed} the throat is {BAND_SAYS[found.this.band]}; {_mixture_says(found.fuel_change.value)}."


def _mixture_says(change: float) -> str:
    if abs(change) < ALIKE:
        return "the same jet runs about as rich as in the right one"
    than = "richer" if change > 0 else "leaner"
    return f"the same jet runs about {rounded(100 * abs(change), 2)} in 100 {than} than in the right one"


SUITS: Final = Calculation(
    key="suits",
    title="Does this carburettor suit this engine?",
    about="A carburettor off another engine beside the right one: too wide or too narrow, and how much richer or "
    "leaner the same jet runs in it.",
    asks=(
        *throat_asks("this_", "this carburettor"),
        *throat_asks("right_", "the right one"),
        LIP_ASK,
        FUEL_ASK,
        Asked("jet_m", "Main jet of the right one", "length", "mm", spread=0.00001, optional=True),
        *ENGINE_ASKS,
    ),
    work=_work,
    equation="fuel, this over right = sqrt((dp_this - rho g z)/(dp_right - rho g z)) at the same air; dp from each "
    "throat's equation",
    holds="One plain jet in both, the bowl open to the outside air; refused where a throat lifts no fuel or can never "
    "pass the air.",
    source="The throat's and the jet's equations, each checked against worked examples (Rajput, chapter 11). No pair "
    "of carburettors was measured.",
    cautions=(NEVER_DRILL, RUNNING),
    drawing="venturi",
)

CALCULATIONS = (SUITS,)
