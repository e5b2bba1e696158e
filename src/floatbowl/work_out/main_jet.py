"""The main jet for a wanted mixture, and the drills nearest to it with their errors."""

from __future__ import annotations

from typing import Final, Unpack

from floatbowl.engine.drills import nearest_drills
from floatbowl.engine.fuels import fuel, fuels
from floatbowl.engine.metering import jet_diameter_m
from floatbowl.engine.refusal import within
from floatbowl.engine.suits import Throat, signal
from floatbowl.quantities import rounded
from floatbowl.units import show_length
from floatbowl.work_out.air import ENGINE_ASKS, RUNNING, Engine, breathing
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure, MindThis, Table
from floatbowl.work_out.venturi import throat_asks

NEVER_DRILL: Final = MindThis(
    "Never drill, ream or wire a jet that is to be kept: it is spoilt at the first touch. Drills are not gauges: "
    "measure with pin gauges and clean with air, solvent and a bristle. A drill is for a new jet made from a blank.",
    "The carburettor maker's own sheet for that number goes before any sum.",
)
PETROL_OPEN: Final = MindThis(
    "Petrol vapour: cold engine, tap off, outdoors or with extraction, no flame or spark, metal can, extinguisher; "
    "never petrol as a cleaning bath.",
    "The fire rules and the fuel storage law decide.",
)
FUEL_ASK: Final = Asked("fuel_name", "Fuel", choices=tuple(fuels()), usual="petrol")
LIP_ASK: Final = Asked(
    "lip_m",
    "Height of the nozzle's lip over the fuel",
    "length",
    "mm",
    usual=0.0025,
    spread=0.0005,
    how="With a clear tube from the drain held up outside the bowl: 1.5 to 3 mm is usual.",
)
#: Air over what just burns the fuel, for the curve.
_SHARES: Final = tuple(0.75 + 0.025 * n for n in range(17))


def drill_table(bore_m: float) -> Table:
    """The drills nearest to a bore, best first, and what each does to the flow."""
    rows = tuple(
        (
            choice.name,
            f"{show_length(choice.diameter_m * 1000, 'mm')} ({show_length(choice.diameter_m * 1000, 'inch')})",
            choice.series,
            f"{100 * choice.area_error:+.1f} in 100",
        )
        for choice in nearest_drills(bore_m)
    )
    return Table(
        ("Size", "Across", "Series", "Area, and so fuel, against the wanted bore"),
        rows,
        "For a new jet: the nearest sizes. The nearest number drill is often too far off; a hole also comes out a "
        "little larger than its drill.",
    )


def _work(
    *,
    throat_m: float,
    tube_m: float,
    cd: float,
    fuel_name: str,
    air_share: float,
    lip_m: float,
    cd_fuel: float,
    **engine: Unpack[Engine],
) -> Answer:
    drawn, burnt = breathing(**engine), fuel(fuel_name)
    suction_pa = signal(drawn, Throat(throat_m=throat_m, tube_m=tube_m, cd=cd, cd_sd=0.0)).depression_pa.value

    within(
        "air, of what just burns the fuel", air_share, 0.5, 1.6, why="other mixtures do not burn; write 88 % as 0.88"
    )
    mixture = air_share * burnt.air_fuel_ratio
    bore_m = jet_diameter_m(
        drawn.air_kg_s / mixture, suction_pa, cd=cd_fuel, fuel_kg_m3=burnt.density_kg_m3, lip_m=lip_m
    )
    return Answer(
        says=f"A plain main jet of {rounded(bore_m * 1000)} mm gives {rounded(mixture)} parts of air to one of "
        f"{burnt.name}, by weight.",
        figures=(
            Figure("bore", "Bore of the main jet", bore_m, "length", "mm"),
            Figure("mixture", "Parts of air to one of fuel", mixture, "ratio"),
            Figure("fuel", "Fuel through it", drawn.air_kg_s / mixture, "mass flow", "kg/h"),
            Figure("suction", "Suction in the throat", suction_pa, "pressure", "kPa"),
        ),
        tables=(drill_table(bore_m),),
        curve=Curve(
            "parts of air to one of fuel",
            "bore of the main jet, mm",
            tuple((share * burnt.air_fuel_ratio, 1000 * bore_m * (air_share / share) ** 0.5) for share in _SHARES),
            (mixture, 1000 * bore_m),
        ),
        notes=(
            "For one plain jet that carries all the fuel. Where an idle jet, a well-fed jet or an adjusting needle "
            "shares the work, the main jet is smaller.",
            "Both coefficients are doubtful, so this is where to begin, not where to end: the figure on record, or a "
            "jet known to be good, goes before it.",
        ),
    )


MAIN_JET: Final = Calculation(
    key="main-jet",
    title="The main jet for a mixture",
    about="Where to begin when no record names the jet: its bore for a wanted mixture, and the nearest sizes.",
    asks=(
        FUEL_ASK,
        Asked(
            "air_share",
            "Air, of what just burns the fuel",
            "share",
            "%",
            usual=0.88,
            spread=0.02,
            how="85 to 90 % for most power, 100 to 105 % for least fuel (common practice, from memory).",
        ),
        LIP_ASK,
        Asked(
            "cd_fuel",
            "Coefficient of discharge of the jet",
            usual=0.7,
            spread=0.05,
            how="0.6 for a sharp thin plate to 0.8 for a bore a few times as long as wide; best by its flow.",
        ),
        *throat_asks("", "the carburettor"),
        *ENGINE_ASKS,
    ),
    work=_work,
    equation="A_j = m_f/(Cd_f sqrt(2 rho_f (dp - rho_f g z))), m_f = m_air/AFR; dp from the throat's equation",
    holds="One plain jet of 0.2 to 10 mm, bowl open to the outside air, a steady stream of air.",
    source="Rajput, Internal Combustion Engines, chapter 11 (checked against examples 11.3 and 11.8); fuels as listed "
    "in the table of fuels with their sources. No engine was measured.",
    cautions=(NEVER_DRILL, PETROL_OPEN, RUNNING),
    drawing="jet",
)

CALCULATIONS = (MAIN_JET,)
