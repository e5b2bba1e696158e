"""Air: what an engine breathes, and how heavy the air is."""

from __future__ import annotations

from typing import Final, TypedDict, Unpack

from floatbowl.engine.air import air_demand_kg_s, air_from_humidity, displacement_m3, standard_atmosphere
from floatbowl.engine.suits import Breathing
from floatbowl.quantities import show_quantity
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure, MindThis

FOUR_STROKE: Final = "four-stroke"
TWO_STROKE: Final = "two-stroke"
_STROKES: Final = {FOUR_STROKE: 4, TWO_STROKE: 2}

RUNNING: Final = MindThis(
    "A running engine: only outdoors or with its exhaust led out (carbon monoxide kills); keep clear of fan and belt; "
    "never with the governor's rod off or held by hand; air cleaner fitted, for a backfire throws flame; no pump "
    "on a carburettor made for gravity feed, it floods; extinguisher at hand.",
    "The machine's own handbook and the workplace air rules decide.",
)

WEATHER_ASKS: Final = (
    Asked("altitude_m", "Height above the sea", "length", "m", usual=100.0, spread=50.0, how="From any map."),
    Asked("temperature_k", "Air at the intake", "temperature", "C", usual=288.15, spread=3.0),
    Asked("humidity", "Relative humidity of the air", "share", "%", usual=0.6, spread=0.1),
)
_HOW_ENGINE_RUNS: Final = (
    Asked("speed_turns_s", "Rated engine speed", "rotation", "rpm", usual=30.0, spread=0.4, how="At the crank."),
    Asked(
        "filled",
        "How full each stroke fills the cylinder",
        "share",
        "%",
        usual=0.75,
        spread=0.04,
        how="Volumetric efficiency at full throttle: 70 to 80 % for an old side-valve or low-speed engine (common "
        "practice, from memory).",
    ),
    Asked("cycle", "Cycle", choices=(FOUR_STROKE, TWO_STROKE), usual=FOUR_STROKE),
    Asked(
        "carburettors",
        "Carburettors on the engine",
        usual=1.0,
        how="Count them. Twins share the air: with 2 each passes half.",
    ),
)
ENGINE_ASKS: Final = (
    Asked(
        "displacement_m3",
        "Swept volume of the engine",
        "volume",
        "cm3",
        usual=0.002,
        spread=0.00002,
        how="From the plate or the handbook; or work it out from bore and stroke under 'air'.",
    ),
    *_HOW_ENGINE_RUNS,
    *WEATHER_ASKS,
)


class Running(TypedDict):
    """How an engine runs and the air it stands in; the asks of ``ENGINE_ASKS`` but its size."""

    speed_turns_s: float
    filled: float
    cycle: str
    carburettors: float
    altitude_m: float
    temperature_k: float
    humidity: float


class Engine(Running):
    """The asks of ``ENGINE_ASKS``."""

    displacement_m3: float


def breathing(**engine: Unpack[Engine]) -> Breathing:
    """What one carburettor passes, and the air around it. Raises ``Refused`` outside the ranges of ``engine.air``."""
    pressure_pa = standard_atmosphere(engine["altitude_m"]).pressure_pa
    air = air_from_humidity(engine["temperature_k"], pressure_pa, engine["humidity"])
    flow = air_demand_kg_s(
        engine["displacement_m3"],
        60 * engine["speed_turns_s"],
        engine["filled"],
        air.density_kg_m3,
        strokes=_STROKES[engine["cycle"]],
        n_carbs=engine["carburettors"],
    )
    return Breathing(
        air_kg_s=flow, air_kg_m3=air.density_kg_m3, pressure_pa=pressure_pa, temperature_k=engine["temperature_k"]
    )


def _work(*, bore_m: float, stroke_m: float, cylinders: float, **running: Unpack[Running]) -> Answer:
    size_m3 = displacement_m3(bore_m, stroke_m, cylinders)
    drawn = breathing(displacement_m3=size_m3, **running)
    air = air_from_humidity(running["temperature_k"], drawn.pressure_pa, running["humidity"])
    each = "each carburettor" if running["carburettors"] > 1 else "its carburettor"
    speed = show_quantity(running["speed_turns_s"], "rotation", "rpm")
    return Answer(
        says=f"At {speed} the engine of {show_quantity(size_m3, 'volume', 'cm3')} draws "
        f"{show_quantity(drawn.air_kg_s, 'mass flow', 'kg/h')} of air through {each}.",
        figures=(
            Figure("air", "Air through each carburettor", drawn.air_kg_s, "mass flow", "kg/h"),
            Figure("displacement", "Swept volume", size_m3, "volume", "cm3"),
            Figure("density", "Density of the air", air.density_kg_m3, "density", "kg/m3"),
            Figure("dry", "Part of it that burns fuel", air.dry_density_kg_m3, "density", "kg/m3"),
            Figure("pressure", "Air pressure at that height", drawn.pressure_pa, "pressure", "kPa"),
        ),
        curve=_over_speed(drawn.air_kg_s, running["speed_turns_s"]),
        notes=(
            "This is the mean over a cycle. With one or two cylinders to a carburettor the air comes in gulps whose "
            "peak is several times the mean.",
        ),
    )


def _over_speed(air_kg_s: float, speed_turns_s: float) -> Curve:
    """Air at other engine speeds, filled alike."""
    shares = [share / 4 for share in range(6)]
    points = tuple((60 * speed_turns_s * share, 3600 * air_kg_s * share) for share in shares)
    return Curve("engine speed, rpm", "air, kg/h", points, (60 * speed_turns_s, 3600 * air_kg_s))


AIR: Final = Calculation(
    key="air",
    title="The air an engine draws",
    about="How much air goes through each carburettor, and how heavy the air is at that height and in that weather.",
    asks=(
        Asked("bore_m", "Bore of a cylinder", "length", "mm", usual=0.095, spread=0.0002, how="Across the cylinder."),
        Asked("stroke_m", "Stroke", "length", "mm", usual=0.105, spread=0.0005, how="Lowest to highest place."),
        Asked("cylinders", "Cylinders", usual=4.0),
        *_HOW_ENGINE_RUNS,
        *WEATHER_ASKS,
    ),
    work=_work,
    equation="m = V N/60 * 2/strokes * filling * rho / carburettors; rho = (p - p_v)/(R_dry T) + p_v/(R_vapour T)",
    holds="Engines of 20 cm3 to 60 l up to 10000 rpm, heights to 6000 m, air from -50 to 100 C. The pressure is that "
    "of the standard atmosphere; a day's weather shifts it by some 3 in 100.",
    source="Any engine textbook (checked against Rajput, Internal Combustion Engines, example 11.1); US Standard "
    "Atmosphere 1976; ASHRAE Fundamentals 2017, chapter 1, for moist air (checked against psychrolib and CoolProp).",
    cautions=(RUNNING,),
    drawing="engine",
)

CALCULATIONS = (AIR,)
