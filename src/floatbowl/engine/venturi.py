"""The choke tube: depression and speed for a flow, the flow for a depression, and what size it should be.

Air is drawn from rest (through a wide horn) into a throat; the pressure lost there, the depression, lifts the fuel.
Coefficients of discharge in pipe standards (ISO 5167) are for pipes of 50 mm and more and do not hold for a 20 to
35 mm carburettor, so ``cd`` is always told; 0.75 to 0.90 is usual (common practice, from memory).
"""

from __future__ import annotations

import math
from typing import Final

from floatbowl.engine.air import DRY_AIR_R, GAMMA
from floatbowl.engine.refusal import Refused, within

#: Pressure after over pressure before at which the throat runs at the speed of sound:
#: ``(2/(g+1))^(g/(g-1))`` = 0.528282 for air.
CRITICAL_RATIO: Final = (2 / (GAMMA + 1)) ** (GAMMA / (GAMMA - 1))
_HEAT_J_KG_K: Final = GAMMA / (GAMMA - 1) * DRY_AIR_R
_CD_WHY: Final = "0.75 to 0.90 is usual for a carburettor"


def throat_area_m2(throat_m: float, tube_m: float = 0.0) -> float:
    """Free area of a throat, with a tube or nozzle of diameter ``tube_m`` standing in it: ``pi/4 (D^2 - d^2)``.

    Throats of 4 to 100 mm; the tube at most 0.9 of the throat. Raises ``Refused`` outside.
    """
    within("throat", 1000 * throat_m, 4, 100, "mm")
    within("tube in the throat", 1000 * tube_m, 0, 900 * throat_m, "mm")
    return math.pi / 4 * (throat_m**2 - tube_m**2)


def throat_for_area_m(area_m2: float, tube_ratio: float = 0.0) -> float:
    """Diameter of a throat that leaves this area free when a tube of ``tube_ratio`` times it stands in it:
    ``D = sqrt(4 A / (pi (1 - ratio^2)))``. Ratio 0 to 0.9; raises ``Refused`` outside.
    """
    within("free area", area_m2, 0, unit="m2", open_low=True)
    within("tube over throat", tube_ratio, 0, 0.9)
    return math.sqrt(4 * area_m2 / (math.pi * (1 - tube_ratio**2)))


def air_kg_s(
    depression_pa: float, area_m2: float, *, cd: float, pressure_pa: float, temperature_k: float, beta: float = 0.0
) -> float:
    """Air through a throat at a depression, compressible.

    ``m = Cd A p0/sqrt(R T0) sqrt(2g/(g-1) (r^(2/g) - r^((g+1)/g))) / sqrt(1 - beta^4 r^(2/g))``, ``r = p2/p0``;
    ``beta`` is throat over horn diameter, 0 for air drawn from rest. Equals ISO 5167's nozzle expansibility times the
    incompressible flow to 1e-8 (tested with fluids). Holds to the speed of sound, r = 0.528; raises ``Refused``
    beyond it and outside the ranges of Cd (0.3 to 1), pressure and temperature.
    """
    _upstream(cd, pressure_pa, temperature_k, beta)
    within("free area", area_m2, 0, unit="m2", open_low=True)
    within(
        "suction",
        depression_pa / 1000,
        0,
        pressure_pa / 1000 * (1 - CRITICAL_RATIO) * (1 + 1e-12),
        "kPa",
        "beyond that the throat runs at the speed of sound and no more air passes",
    )
    return cd * area_m2 * _flux(1 - depression_pa / pressure_pa, pressure_pa, temperature_k, beta)


def air_incompressible_kg_s(depression_pa: float, area_m2: float, *, cd: float, density_kg_m3: float) -> float:
    """Air through a throat with its density taken as constant: ``m = Cd A sqrt(2 rho dp)``.

    Too high by 0.5 in 100 at 1 kPa, 2.8 at 5 kPa, 12.6 at 20 kPa (against ``air_kg_s``); raises ``Refused`` above
    20 kPa. For textbook figures and small depressions.
    """
    _incompressible(cd, density_kg_m3, area_m2)
    within("suction", depression_pa / 1000, 0, 20, "kPa", "use the compressible flow above that")
    return cd * area_m2 * math.sqrt(2 * density_kg_m3 * depression_pa)


def most_air_kg_s(area_m2: float, *, cd: float, pressure_pa: float, temperature_k: float, beta: float = 0.0) -> float:
    """The most air that a throat can ever pass: ``air_kg_s`` at the critical pressure ratio 0.528."""
    return air_kg_s(
        pressure_pa * (1 - CRITICAL_RATIO),
        area_m2,
        cd=cd,
        pressure_pa=pressure_pa,
        temperature_k=temperature_k,
        beta=beta,
    )


def depression_pa(
    flow_kg_s: float, area_m2: float, *, cd: float, pressure_pa: float, temperature_k: float, beta: float = 0.0
) -> float:
    """Depression in a throat that passes this much air: ``air_kg_s`` solved for it (Brent's method, scipy).

    Raises ``Refused`` with the most it can pass when the flow would need more than the speed of sound, and outside
    the ranges of ``air_kg_s``.

    >>> depression_pa(0.2, throat_area_m2(0.024), cd=0.85, pressure_pa=101325, temperature_k=298.15)
    ... # doctest: +ELLIPSIS
    Traceback (most recent call last):
    floatbowl.engine.refusal.Refused: air flow is 0.2 kg/s; this throat can never pass more than 0.0912 kg/s: ...
    """
    most = most_air_kg_s(area_m2, cd=cd, pressure_pa=pressure_pa, temperature_k=temperature_k, beta=beta)
    within("air flow", flow_kg_s, 0, unit="kg/s")
    if flow_kg_s > most:
        raise Refused(
            f"air flow is {flow_kg_s:.4g} kg/s; this throat can never pass more than {most:.4g} kg/s: it would run "
            "at the speed of sound; check flow, throat and number of carburettors"
        )

    def short(dp: float) -> float:
        return cd * area_m2 * _flux(1 - dp / pressure_pa, pressure_pa, temperature_k, beta) - flow_kg_s

    # Half a second to import: nobody waits for it who works nothing out.
    from scipy.optimize import brentq

    return float(brentq(short, 0.0, pressure_pa * (1 - CRITICAL_RATIO), xtol=1e-9, rtol=1e-13))


def depression_incompressible_pa(flow_kg_s: float, area_m2: float, *, cd: float, density_kg_m3: float) -> float:
    """Depression with the density taken as constant: ``dp = (m / (Cd A))^2 / (2 rho)``.

    Rajput, A Textbook of Internal Combustion Engines, example 11.1 (inputs and result read in a public companion):
    a 28 mm throat, Cd 0.8, 0.050894 kg/s, 1.2 kg/m3. Raises ``Refused`` above 20 kPa: see ``air_incompressible_kg_s``.

    >>> round(depression_incompressible_pa(0.0508938, throat_area_m2(0.028), cd=0.8, density_kg_m3=1.2), 1)
    4447.6
    """
    _incompressible(cd, density_kg_m3, area_m2)
    within("air flow", flow_kg_s, 0, unit="kg/s")
    found = (flow_kg_s / (cd * area_m2)) ** 2 / (2 * density_kg_m3)
    within("suction", found / 1000, 0, 20, "kPa", "use the compressible flow above that")
    return found


def mean_speed_m_s(flow_kg_s: float, area_m2: float, density_kg_m3: float) -> float:
    """Mean speed in a throat by the outside air's density, ``m / (rho A)``: what the trade's bands of speed mean."""
    within("air flow", flow_kg_s, 0, unit="kg/s")
    within("free area", area_m2, 0, unit="m2", open_low=True)
    within("air density", density_kg_m3, 0.4, 2.0, "kg/m3")
    return flow_kg_s / (density_kg_m3 * area_m2)


def choke_for_actual_speed_m(
    flow_kg_s: float, actual_speed_m_s: float, speed_coefficient: float, *, pressure_pa: float, temperature_k: float
) -> float:
    """Choke diameter, FIRST textbook convention: the coefficient is on the SPEED, the speed given is the actual one.

    The air expands as for ``V/c``; ``T2 = T1 - (V/c)^2/(2 cp)``, ``p2 = p1 (T2/T1)^(g/(g-1))``, and the whole area
    passes air at the actual speed: ``A = m / (rho2 V)``. Mathur and Sharma, Internal Combustion Engine, example 11.1
    (inputs and result read in a public companion): 5 kg/min, 90 m/s, 0.8: 32.5 mm. Speeds to 250 m/s (theoretical);
    raises ``Refused`` outside. The other convention is ``choke_for_theoretical_speed_m``.
    """
    within("speed coefficient", speed_coefficient, 0.3, 1)
    within("air speed", actual_speed_m_s, 0, unit="m/s", open_low=True)
    density, _ = expanded(actual_speed_m_s / speed_coefficient, pressure_pa, temperature_k)
    return throat_for_area_m(flow_kg_s / (density * actual_speed_m_s))


def choke_for_theoretical_speed_m(
    flow_kg_s: float,
    theoretical_speed_m_s: float,
    discharge_coefficient: float,
    *,
    pressure_pa: float,
    temperature_k: float,
    tube_ratio: float = 0.0,
) -> float:
    """Choke diameter, SECOND textbook convention: the coefficient is on the AREA, the speed given is theoretical.

    ``A = m / (Cd rho2 V)`` with ``rho2`` after expanding to ``V``; ``tube_ratio`` is the emulsion tube's diameter
    over the choke's. Rajput, example 11.8 (inputs and result read in a public companion): 29.6 mm. Range as
    ``choke_for_actual_speed_m``. The same inputs give another diameter there: say which convention is meant.
    """
    within("discharge coefficient", discharge_coefficient, 0.3, 1)
    within("air speed", theoretical_speed_m_s, 0, unit="m/s", open_low=True)
    density, _ = expanded(theoretical_speed_m_s, pressure_pa, temperature_k)
    return throat_for_area_m(flow_kg_s / (discharge_coefficient * density * theoretical_speed_m_s), tube_ratio)


def expanded(speed_m_s: float, pressure_pa: float, temperature_k: float) -> tuple[float, float]:
    """Density and pressure of air after expanding from rest to a theoretical speed without loss.

    ``T2 = T1 - V^2/(2 cp)``, ``p2 = p1 (T2/T1)^(g/(g-1))``. Speeds up to 250 m/s; raises ``Refused`` outside.
    """
    _upstream(1.0, pressure_pa, temperature_k, 0.0)
    within("theoretical air speed", speed_m_s, 0, 250, "m/s", "near the speed of sound a throat cannot be sized so")
    cold_k = temperature_k - speed_m_s**2 / (2 * _HEAT_J_KG_K)
    after_pa = pressure_pa * (cold_k / temperature_k) ** (GAMMA / (GAMMA - 1))
    return after_pa / (DRY_AIR_R * cold_k), after_pa


def _flux(ratio: float, pressure_pa: float, temperature_k: float, beta: float) -> float:
    """kg/s through each square metre of a perfect throat (St Venant and Wantzel)."""
    g = GAMMA
    swelling = max(0.0, ratio ** (2 / g) - ratio ** ((g + 1) / g))
    approach = math.sqrt(1 - beta**4 * ratio ** (2 / g))
    return pressure_pa / math.sqrt(DRY_AIR_R * temperature_k) * math.sqrt(2 * g / (g - 1) * swelling) / approach


def _upstream(cd: float, pressure_pa: float, temperature_k: float, beta: float) -> None:
    within("coefficient of discharge", cd, 0.3, 1, why=_CD_WHY)
    within("air pressure", pressure_pa / 1000, 40, 120, "kPa")
    within("air temperature", temperature_k - 273.15, -50, 100, "C")
    within("throat over horn", beta, 0, 0.8)


def _incompressible(cd: float, density_kg_m3: float, area_m2: float) -> None:
    within("coefficient of discharge", cd, 0.3, 1, why=_CD_WHY)
    within("air density", density_kg_m3, 0.4, 2.0, "kg/m3")
    within("free area", area_m2, 0, unit="m2", open_low=True)
