"""The throat: air speed and suction at rated speed, and the throat that a wanted speed asks for."""

from __future__ import annotations

from typing import Final, Unpack

from floatbowl.engine.suits import (
    STRANGLED_ABOVE,
    USUAL_CD,
    USUAL_CD_SD,
    USUAL_FROM,
    USUAL_TO,
    WEAK_BELOW,
    Band,
    Breathing,
    Throat,
    signal,
)
from floatbowl.engine.venturi import (
    CRITICAL_RATIO,
    air_kg_s,
    choke_for_actual_speed_m,
    choke_for_theoretical_speed_m,
    mean_speed_m_s,
    most_air_kg_s,
)
from floatbowl.quantities import show_quantity
from floatbowl.work_out.air import ENGINE_ASKS, RUNNING, Engine, breathing
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure

ON_SPEED: Final = "on the speed"
ON_AREA: Final = "on the area"
_POINTS: Final = 16
#: How the trade's bands of mean air speed are said.
BAND_SAYS: Final[dict[Band, str]] = {
    "weak": "too slow: the suction is weak and the fuel badly broken up",
    "low": "on the slow side",
    "usual": "within the usual band",
    "high": "on the fast side",
    "strangled": "too fast: the engine is strangled",
}
BAND_SOURCE: Final = (
    "Bands of mean speed at rated engine speed: weak below 40, usual 60 to 110, strangled above 120 m/s (common "
    "practice, from memory)."
)


def throat_asks(prefix: str, says: str) -> tuple[Asked, ...]:
    """Throat, tube in it and coefficient of discharge of one carburettor; names begin with ``prefix``."""
    return (
        Asked(
            f"{prefix}throat_m",
            f"Throat of {says}",
            "length",
            "mm",
            usual=0.022,
            spread=0.00005,
            how="Across the narrowest place, twice at right angles; a small bore gauge or the shank of a drill.",
        ),
        Asked(
            f"{prefix}tube_m",
            f"Nozzle or tube standing in the throat of {says}",
            "length",
            "mm",
            usual=0.0,
            how="Its outside diameter where it crosses the throat; nothing if it does not.",
        ),
        Asked(
            f"{prefix}cd",
            f"Coefficient of discharge of the throat of {says}",
            usual=USUAL_CD,
            spread=USUAL_CD_SD,
            how="0.75 to 0.90 is usual (common practice); pipe standards do not hold for so small a throat.",
        ),
    )


def suction_curve(engine: Breathing, throat: Throat, here: tuple[float, float]) -> Curve:
    """Suction against mean air speed as the engine runs slower and faster, the bands of speed marked."""
    outside = {"pressure_pa": engine.pressure_pa, "temperature_k": engine.temperature_k}
    most_pa = min(engine.pressure_pa * (1 - CRITICAL_RATIO), max(2.5 * here[1] * 1000, 3000.0))
    drops = [most_pa * (n / _POINTS) ** 2 for n in range(_POINTS + 1)]
    flows = [air_kg_s(drop, throat.area_m2, cd=throat.cd, **outside) for drop in drops]
    speeds = [mean_speed_m_s(flow, throat.area_m2, engine.air_kg_m3) for flow in flows]
    return Curve(
        "mean air speed in the throat, m/s",
        "suction, kPa",
        tuple((speed, drop / 1000) for speed, drop in zip(speeds, drops, strict=True)),
        here,
        _bands(speeds[-1]),
    )


def _bands(fastest_m_s: float) -> tuple[tuple[float, float, str], ...]:
    bands = ((0.0, WEAK_BELOW, "weak"), (USUAL_FROM, USUAL_TO, "usual"), (STRANGLED_ABOVE, fastest_m_s, "strangled"))
    return tuple((low, min(high, fastest_m_s), says) for low, high, says in bands if low < fastest_m_s)


def _work(*, throat_m: float, tube_m: float, cd: float, **engine: Unpack[Engine]) -> Answer:
    drawn, throat = breathing(**engine), Throat(throat_m=throat_m, tube_m=tube_m, cd=cd, cd_sd=0.0)
    found = signal(drawn, throat)
    suction_pa = found.depression_pa.value
    most = most_air_kg_s(throat.area_m2, cd=cd, pressure_pa=drawn.pressure_pa, temperature_k=drawn.temperature_k)
    return Answer(
        says=f"Air passes the throat at a mean {show_quantity(found.speed_m_s, 'speed', 'm/s')} and draws "
        f"{show_quantity(suction_pa, 'pressure', 'kPa')}: {BAND_SAYS[found.band]}.",
        figures=(
            Figure("speed", "Mean air speed in the throat", found.speed_m_s, "speed", "m/s"),
            Figure("suction", "Suction in the throat", suction_pa, "pressure", "kPa"),
            Figure("air", "Air through it", drawn.air_kg_s, "mass flow", "kg/h"),
            Figure("most", "The most it could ever pass", most, "mass flow", "kg/h"),
        ),
        curve=suction_curve(drawn, throat, (found.speed_m_s, suction_pa / 1000)),
        notes=(BAND_SOURCE,),
    )


def _choke(*, wanted_m_s: float, coefficient: float, coefficient_is: str, **engine: Unpack[Engine]) -> Answer:
    drawn = breathing(**engine)
    choke = choke_for_actual_speed_m if coefficient_is == ON_SPEED else choke_for_theoretical_speed_m
    diameter_m = choke(
        drawn.air_kg_s, wanted_m_s, coefficient, pressure_pa=drawn.pressure_pa, temperature_k=drawn.temperature_k
    )
    meant = "the actual speed" if coefficient_is == ON_SPEED else "the speed without loss"
    return Answer(
        says=f"A throat of {show_quantity(diameter_m, 'length', 'mm')} passes that air when {meant} is "
        f"{show_quantity(wanted_m_s, 'speed', 'm/s')}.",
        figures=(
            Figure("throat", "Throat", diameter_m, "length", "mm"),
            Figure("air", "Air through it", drawn.air_kg_s, "mass flow", "kg/h"),
        ),
        notes=(
            f"The coefficient was taken {coefficient_is}. Textbooks mean one or the other by the same 0.8, and the "
            "throats differ by a tenth: ask which is meant before you trust a figure.",
        ),
    )


_HOLDS: Final = (
    "Throats of 4 to 100 mm below the speed of sound, one steady stream. With one or two cylinders the gulps run far "
    "faster than the mean. "
)
_SOURCE: Final = (
    "St Venant and Wantzel's nozzle equation (checked to 1e-8 against the expansibility of ISO 5167 in the fluids "
    "library; worked examples of Rajput and of Mathur and Sharma, chapter 11). No engine was measured."
)

THROAT: Final = Calculation(
    key="throat",
    title="Air speed and suction in the throat",
    about="Whether a throat is about right for an engine: how fast the air runs and how hard it draws on the jet.",
    asks=(*throat_asks("", "the carburettor"), *ENGINE_ASKS),
    work=_work,
    equation="m = Cd A p0/sqrt(R T0) sqrt(2g/(g-1) (r^(2/g) - r^((g+1)/g))), r = p2/p0; mean speed = m/(rho A)",
    holds=_HOLDS + "A flow that the throat can never pass is refused.",
    source=_SOURCE,
    cautions=(RUNNING,),
    drawing="venturi",
)

CHOKE: Final = Calculation(
    key="throat-size",
    title="The throat for a wanted air speed",
    about="What throat an engine asks for, by either of the two conventions in the textbooks.",
    asks=(
        Asked("wanted_m_s", "Wanted air speed", "speed", "m/s", usual=85.0, how="60 to 110 m/s is usual."),
        Asked("coefficient", "Coefficient", usual=0.82, spread=0.04, how="0.75 to 0.90 is usual."),
        Asked(
            "coefficient_is",
            "What the coefficient stands on",
            choices=(ON_AREA, ON_SPEED),
            usual=ON_AREA,
            how="On the area: the speed asked for is that without loss. On the speed: it is the actual one.",
        ),
        *ENGINE_ASKS,
    ),
    work=_choke,
    equation="on the area: A = m/(Cd rho2 V); on the speed: A = m/(rho2 V), rho2 after expanding to V/c",
    holds=_HOLDS + "Speeds without loss up to 250 m/s.",
    source=_SOURCE,
    cautions=(RUNNING,),
    drawing="venturi",
)

CALCULATIONS = (THROAT, CHOKE)
