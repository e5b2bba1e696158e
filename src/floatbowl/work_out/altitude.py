"""Another height, another weather: what the same jet does, and what jet keeps the mixture."""

from __future__ import annotations

from typing import Final

from floatbowl.engine.air import MoistAir, air_from_humidity, standard_atmosphere
from floatbowl.engine.metering import JetFactor, altitude_jet_factor, same_mixture_factor
from floatbowl.quantities import rounded, show_quantity
from floatbowl.work_out.air import RUNNING
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure
from floatbowl.work_out.main_jet import NEVER_DRILL, drill_table

#: A change of mixture smaller than this asks for nothing (estimate: within the reach of the adjusting needle).
NO_MATTER: Final = 0.02
_HEIGHTS_M: Final = tuple(250.0 * n for n in range(17))


def _work(
    *,
    altitude_m: float,
    temperature_k: float,
    humidity: float,
    before_altitude_m: float,
    before_temperature_k: float,
    before_humidity: float,
    jet_m: float | None = None,
) -> Answer:
    here = _air(altitude_m, temperature_k, humidity)
    before = _air(before_altitude_m, before_temperature_k, before_humidity)
    factor = _factor(here, before)
    thinner = here.dry_density_kg_m3 / before.dry_density_kg_m3
    jet = () if jet_m is None else (Figure("jet", "Jet for the same mixture", jet_m * factor.diameter, "length", "mm"),)
    return Answer(
        says=_says(1 / factor.area - 1, altitude_m),
        figures=(
            Figure("richer", "Fuel of the same jet, too much or too little", 1 / factor.area - 1, "share", "in 100"),
            Figure("bore_factor", "Bore of the jet, times", factor.diameter),
            Figure("area_factor", "Area of the jet, times", factor.area),
            Figure("air", "Air that burns fuel, against before", thinner, "share", "in 100"),
            Figure("density", "Density of the air", here.density_kg_m3, "density", "kg/m3"),
            *jet,
        ),
        tables=() if jet_m is None else (drill_table(jet_m * factor.diameter),),
        curve=_over_height(altitude_m, before_altitude_m),
        notes=(
            "The engine also loses about as much power as it loses air; no jet gives that back.",
            "Where there is a main adjusting needle, turn that and leave the jet.",
        ),
    )


def _air(altitude_m: float, temperature_k: float, humidity: float) -> MoistAir:
    return air_from_humidity(temperature_k, standard_atmosphere(altitude_m).pressure_pa, humidity)


def _factor(here: MoistAir, before: MoistAir) -> JetFactor:
    return same_mixture_factor(
        here.density_kg_m3,
        before.density_kg_m3,
        dry_kg_m3=here.dry_density_kg_m3,
        dry_before_kg_m3=before.dry_density_kg_m3,
    )


def _says(richer: float, altitude_m: float) -> str:
    height = show_quantity(altitude_m, "length", "m")
    if abs(richer) < NO_MATTER:
        return f"At {height} the same jet runs as before, within what the needle sets."
    than = "richer" if richer > 0 else "leaner"
    return f"At {height} the same jet runs {rounded(100 * abs(richer), 2)} in 100 {than} than where it was set."


def _over_height(altitude_m: float, before_altitude_m: float) -> Curve:
    """Bore factor in the standard atmosphere, whatever the weather."""
    points = tuple((height, altitude_jet_factor(height, before_altitude_m).diameter) for height in _HEIGHTS_M)
    here = (altitude_m, altitude_jet_factor(altitude_m, before_altitude_m).diameter)
    return Curve("height, m (standard air)", "bore of the jet, times", points, here)


def _weather(prefix: str, where: str, altitude_m: float) -> tuple[Asked, ...]:
    return (
        Asked(f"{prefix}altitude_m", f"Height above the sea {where}", "length", "m", usual=altitude_m, spread=25.0),
        Asked(f"{prefix}temperature_k", f"Air at the intake {where}", "temperature", "C", usual=288.15, spread=3.0),
        Asked(f"{prefix}humidity", f"Relative humidity {where}", "share", "%", usual=0.6, spread=0.1),
    )


ALTITUDE: Final = Calculation(
    key="altitude",
    title="Another height or weather",
    about="A carburettor set in one place and used in another: how rich it runs there and what jet keeps the mixture.",
    asks=(
        *_weather("", "where it is used", 1500.0),
        *_weather("before_", "where it was set", 100.0),
        Asked("jet_m", "Main jet", "length", "mm", spread=0.00001, optional=True),
    ),
    work=_work,
    equation="area, times = (rho_dry/rho_dry0)/sqrt(rho/rho0); in dry air sqrt(rho/rho0)",
    holds="Heights from the sea to 6000 m, one plain jet, bowl open to the outside air, the engine drawing the same "
    "volume. The pressure is that of the standard atmosphere.",
    source="US Standard Atmosphere 1976; ASHRAE Fundamentals 2017 for moist air; the rule follows from suction in "
    "proportion to density (checked against Rajput, example 11.11).",
    cautions=(NEVER_DRILL, RUNNING),
    drawing="weather",
)

CALCULATIONS = (ALTITUDE,)
