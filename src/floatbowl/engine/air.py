"""The air an engine breathes: standard atmosphere, moist air, and how much of it goes through each carburettor."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from fluids.atmosphere import ATMOSPHERE_1976

from floatbowl.engine.refusal import Refused, within

#: J/(kg K): universal gas constant over the molar mass of dry air, 8.314462618 / 0.028966 (ASHRAE Fundamentals 2017,
#: chapter 1, equation 1, which gives 287.042; from memory).
DRY_AIR_R: Final = 287.042
#: J/(kg K), water vapour: 8.314462618 / 0.018015268 (same chapter; from memory).
VAPOUR_R: Final = 461.52
#: Ratio of the specific heats of air near room temperature (any gas dynamics textbook).
GAMMA: Final = 1.4
SEA_LEVEL_PA: Final = 101_325.0
LEAST_TEMPERATURE_K: Final = 223.15
MOST_TEMPERATURE_K: Final = 373.15
_FREEZING_K: Final = 273.15
#: Coefficients of the saturation pressure of water over ice and over liquid: ASHRAE Fundamentals 2017, chapter 1,
#: equations 5 and 6 (R. W. Hyland and A. Wexler, ASHRAE Transactions 89(2A), 1983); the same as in psychrolib 2.5.0.
_OVER_ICE: Final = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_OVER_WATER: Final = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


@dataclass(frozen=True, slots=True)
class Atmosphere:
    """Air at a height: pressure, temperature, density."""

    pressure_pa: float
    temperature_k: float
    density_kg_m3: float


@dataclass(frozen=True, slots=True)
class MoistAir:
    """Air with water vapour. ``density_kg_m3`` is all of it, ``dry_density_kg_m3`` the part that burns fuel."""

    density_kg_m3: float
    dry_density_kg_m3: float
    vapour_pa: float


@lru_cache(maxsize=512)
def standard_atmosphere(altitude_m: float) -> Atmosphere:
    """Pressure, temperature and density of dry air at a geometric altitude.

    US Standard Atmosphere 1976 as in ``fluids.atmosphere.ATMOSPHERE_1976`` (temperature falls 6.5 K a kilometre,
    hydrostatic pressure). Held to -430 to 6000 m, where engines on land work; raises ``Refused`` outside. The true
    air of a day differs by some 3 in 100: see ``air_from_humidity``.

    >>> round(standard_atmosphere(0).density_kg_m3, 4), round(standard_atmosphere(1000).density_kg_m3, 4)
    (1.225, 1.1117)
    """
    within("altitude", altitude_m, -430, 6000, "m", "engines on land work between the Dead Sea and the highest roads")
    found = ATMOSPHERE_1976(altitude_m)
    return Atmosphere(float(found.P), float(found.T), float(found.rho))


def dry_density_kg_m3(pressure_pa: float, temperature_k: float) -> float:
    """Density of dry air, ``p / (R T)``; ideal gas, 50 to 120 kPa, -50 to 100 C. Raises ``Refused`` outside.

    >>> round(dry_density_kg_m3(101325, 288.15), 4)
    1.225
    """
    _pressure(pressure_pa)
    _temperature(temperature_k)
    return pressure_pa / (DRY_AIR_R * temperature_k)


def saturation_pa(temperature_k: float) -> float:
    """Pressure of water vapour when air holds all it can, over ice below 0 C.

    ``ln p = c1/T + c2 + c3 T + c4 T^2 + c5 T^3 + c6 T^4 + c7 ln T`` (Hyland and Wexler 1983, see ``_OVER_WATER``).
    Held to -50 to 100 C; raises ``Refused`` outside.

    >>> round(saturation_pa(293.15))
    2339
    """
    t = _temperature(temperature_k)
    c1, c2, c3, c4, c5, c6, c7 = _OVER_ICE if t < _FREEZING_K else _OVER_WATER
    return math.exp(c1 / t + c2 + c3 * t + c4 * t**2 + c5 * t**3 + c6 * t**4 + c7 * math.log(t))


def air_from_humidity(temperature_k: float, pressure_pa: float, relative_humidity: float) -> MoistAir:
    """Moist air of a temperature, a pressure and a relative humidity (0 to 1).

    Ideal mix: ``rho_dry = (p - p_v) / (R_dry T)``, ``rho = rho_dry + p_v / (R_vapour T)``. Within 0.08 in 100 of
    the real-gas CoolProp 8.0.0 (tested). Raises ``Refused`` outside 50 to 120 kPa, -50 to 100 C, humidity 0 to 1.

    >>> round(air_from_humidity(293.15, 101325, 0.5).density_kg_m3, 4)
    1.1989
    """
    within("relative humidity", relative_humidity, 0, 1, why="write 50 % as 0.5")
    return _mixed(temperature_k, pressure_pa, relative_humidity * saturation_pa(temperature_k))


def air_from_dew_point(temperature_k: float, pressure_pa: float, dew_point_k: float) -> MoistAir:
    """Moist air of a temperature, a pressure and a dew point: the vapour pressure is that of saturation at the dew
    point. Equation and range of ``air_from_humidity``; raises ``Refused`` outside and for a dew point above the air's
    temperature.
    """
    _temperature(temperature_k)
    within(
        "dew point",
        dew_point_k - _FREEZING_K,
        high=temperature_k - _FREEZING_K,
        unit="C",
        why="air is never colder than it",
    )
    return _mixed(temperature_k, pressure_pa, saturation_pa(dew_point_k))


def _mixed(temperature_k: float, pressure_pa: float, vapour_pa: float) -> MoistAir:
    _pressure(pressure_pa)
    if vapour_pa > 0.5 * pressure_pa:
        raise Refused(
            f"water vapour of {vapour_pa / 1000:.3g} kPa would be more than half of the air's "
            f"{pressure_pa / 1000:.4g} kPa; no engine breathes that: check temperature and humidity"
        )
    dry = (pressure_pa - vapour_pa) / (DRY_AIR_R * temperature_k)
    return MoistAir(dry + vapour_pa / (VAPOUR_R * temperature_k), dry, vapour_pa)


def displacement_m3(bore_m: float, stroke_m: float, cylinders: float) -> float:
    """Swept volume of an engine: ``pi/4 bore^2 stroke cylinders``. Geometry.

    >>> round(displacement_m3(0.1, 0.12, 4) * 1e6)
    3770
    """
    within("bore", 1000 * bore_m, 20, 500, "mm")
    within("stroke", 1000 * stroke_m, 20, 1000, "mm")
    _whole("cylinders", cylinders, 16)
    return math.pi / 4 * bore_m**2 * stroke_m * cylinders


def air_demand_kg_s(
    displacement_m3: float,
    rpm: float,
    volumetric_efficiency: float,
    density_kg_m3: float,
    *,
    strokes: int,
    n_carbs: float,
) -> float:
    """Air that an engine draws through EACH of its carburettors.

    ``m = V N/60 * 2/strokes * VE * rho / n_carbs`` (any engine textbook). ``n_carbs`` must be told: several textbook
    problems silently halve the flow for twin carburettors. The mean over a cycle: with one or two cylinders to a
    carburettor the air comes in gulps and its peak is several times the mean. Ranges: 20 cm3 to 60 l, up to 10000
    rpm, volumetric efficiency 0.05 to 1.2, four or two strokes, 1 to 12 carburettors; raises ``Refused`` outside.

    >>> round(air_demand_kg_s(displacement_m3(0.1, 0.12, 4), 1800, 0.75, 1.2, strokes=4, n_carbs=1), 6)
    0.050894
    """
    within("swept volume", 1e6 * displacement_m3, 20, 60_000, "cm3")
    within("engine speed", rpm, 0, 10_000, "rpm", open_low=True)
    within("volumetric efficiency", volumetric_efficiency, 0.05, 1.2, why="write 80 % as 0.8")
    within("air density", density_kg_m3, 0.4, 2.0, "kg/m3")
    if strokes not in (2, 4):
        raise Refused(f"an engine has two or four strokes to a cycle, not {strokes}")
    _whole("carburettors", n_carbs, 12)
    return displacement_m3 * rpm / 60 * 2 / strokes * volumetric_efficiency * density_kg_m3 / n_carbs


def _whole(name: str, count: float, most: int) -> None:
    within(f"number of {name}", count, 1, most)
    if count != round(count):
        raise Refused(f"number of {name} is {count:g}; it must be a whole number")


def _pressure(pressure_pa: float) -> None:
    within("air pressure", pressure_pa / 1000, 50, 120, "kPa", "give the pressure where the engine stands")


def _temperature(temperature_k: float) -> float:
    least, most = LEAST_TEMPERATURE_K - _FREEZING_K, MOST_TEMPERATURE_K - _FREEZING_K
    within("temperature", temperature_k - _FREEZING_K, least, most, "C")
    return temperature_k
