"""The coefficient of discharge of a jet from its length and the fuel's viscosity."""

from __future__ import annotations

import math

from floatbowl.engine.refusal import within


def ideal_reynolds(bore_m: float, depression_pa: float, fuel_kg_m3: float, viscosity_m2_s: float) -> float:
    """Reynolds number of a jet by its IDEAL speed: ``d sqrt(2 dp/rho) / nu``; ``nu`` kinematic.

    >>> round(ideal_reynolds(0.0013, 4000, 745, 6e-7))
    7100
    """
    within("jet bore", 1000 * bore_m, 0.2, 10, "mm")
    within("suction over the jet", depression_pa / 1000, 0, 60, "kPa", open_low=True)
    within("fuel density", fuel_kg_m3, 600, 1000, "kg/m3")
    within("viscosity", 1e6 * viscosity_m2_s, 0.1, 10, "mm2/s", "petrol is 0.5 to 0.6, tractor oil about 1.7")
    return bore_m * math.sqrt(2 * depression_pa / fuel_kg_m3) / viscosity_m2_s


def long_bore_cd(reynolds: float, length_over_bore: float) -> float:
    """Coefficient of discharge of a sharp-edged bore 2 to 10 times as long as wide, no vapour in it.

    ``1/Cd = 1/Cu + 20/Re (1 + 2.25 L/d) - 0.005 (L/d) / (1 + 7.5 (log10(0.00015 Re))^2)``, ``Cu = 0.827 - 0.0085
    L/d``, ``Re`` by the ideal speed (``ideal_reynolds``). A. Lichtarowicz, R. K. Duggins, E. Markland, "Discharge
    coefficients for incompressible non-cavitating flow through long orifices", J. Mech. Eng. Sci. 7(2), 1965: FROM
    MEMORY, cross-read in two open programs, the paper itself not. Fitted for Re 10 to 20000; raises ``Refused``
    outside and for other lengths. A chamfered or drilled-out jet lies outside it: measure its flow.

    >>> round(long_bore_cd(20_000, 2), 4), round(long_bore_cd(100, 2), 4)
    (0.8088, 0.4284)
    """
    within("Reynolds number of the jet", reynolds, 10, 20_000, why="the equation was fitted there")
    within("length over bore", length_over_bore, 2, 10, why="shorter jets behave as plates, longer ones as pipes")
    ultimate = 0.827 - 0.0085 * length_over_bore
    bend = 1 + 7.5 * math.log10(0.00015 * reynolds) ** 2
    friction = 20 / reynolds * (1 + 2.25 * length_over_bore)
    return 1 / (1 / ultimate + friction - 0.005 * length_over_bore / bend)
