"""Float and needle: where the fuel level settles, what moves it, whether the float holds, what the seat passes.

Moments about the float's hinge, the needle just shut (statics; Archimedes)::

    rho g V_sub L_f = p A_s L_n + W_f L_g +- W_n L_n

The fuel the float displaces, ``V_sub``, times its arm ``L_f`` holds the pressure ``p`` on the seat ``A_s`` at the
needle's arm ``L_n`` and the float's own weight at ``L_g``. A needle that shuts upward adds its weight to the load; one
that drops on its seat takes it off. A float that must go deeper stands for a higher level: ``dh = dV_sub / A_wp``, with
``A_wp`` the float's cut through the fuel surface. That holds while the surface cuts the float's straight sides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from floatbowl.engine.refusal import Refused, within

#: Standard gravity, m/s2 (NIST SP 811).
GRAVITY: Final = 9.80665
#: Discharge coefficient of a needle seat (sharp-edged, common practice, from memory).
USUAL_SEAT_CD: Final = 0.62
#: More than a pump of such engines gives, with room.
MOST_PRESSURE_PA: Final = 70_000.0
#: A level further off than this is a full or an empty bowl, not a shifted level.
MOST_SHIFT_M: Final = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class FloatGear:
    """A float, its lever and its needle, in SI. Arms are from the hinge; ``volume_m3`` is the whole float's."""

    float_kg: float
    needle_kg: float
    float_arm_m: float
    weight_arm_m: float
    needle_arm_m: float
    seat_m: float
    waterplane_m2: float
    volume_m3: float
    needle_shuts: Literal["up", "down"] = "up"


@dataclass(frozen=True, slots=True)
class Hold:
    """Whether a float can keep its needle shut: both forces at the needle, and the pressure at which it gives up."""

    needed_n: float
    most_n: float
    gives_up_pa: float

    @property
    def holds(self) -> bool:
        """Whether the float pushes harder than the fuel."""
        return self.most_n > self.needed_n

    @property
    def reserve(self) -> float:
        """How many times the needed force there is at most."""
        return math.inf if self.needed_n == 0 else self.most_n / self.needed_n


def head_pa(head_m: float, density_kg_m3: float) -> float:
    """Pressure of so much fuel above the seat: ``rho g h``. Range: up to 5 m; raises ``Refused``.

    >>> round(head_pa(1.0, 740))  # 7.26 kPa a metre
    7257
    """
    _fuel(density_kg_m3)
    return density_kg_m3 * GRAVITY * within("head", head_m, 0, 5, "m", "the tank's surface over the needle seat")


def seat_force_n(seat_m: float, pressure_pa: float) -> float:
    """Force of the fuel on a shut needle: ``p pi d^2/4``, ``d`` where the needle touches. Raises ``Refused``.

    A 3.2 mm seat at 5 kPa (gravity) and at 5 psi (pump):

    >>> round(seat_force_n(0.0032, 5_000), 2), round(seat_force_n(0.0032, 5 * 6894.757), 2)
    (0.04, 0.28)
    """
    within("seat", seat_m, 0.0005, 0.008, "m", "a needle seat")
    within("fuel pressure", pressure_pa, 0, MOST_PRESSURE_PA, "Pa", "over the bowl's own")
    return pressure_pa * math.pi * seat_m**2 / 4


def submerged_m3(gear: FloatGear, pressure_pa: float, density_kg_m3: float) -> float:
    """How much of the float is under when the needle just shuts (the balance of moments above).

    Raises ``Refused`` if that is more than the whole float: then it cannot shut, and the bowl floods.
    """
    _check_gear(gear)
    _fuel(density_kg_m3)
    load = seat_force_n(gear.seat_m, pressure_pa) * gear.needle_arm_m + _own_moment(gear)
    needed = load / (density_kg_m3 * GRAVITY * gear.float_arm_m)
    if needed > gear.volume_m3:
        raise Refused(
            f"the float must be {needed * 1e6:.3g} cm3 under and has only {gear.volume_m3 * 1e6:.3g} cm3: "
            "it cannot shut the needle and the bowl floods; lower the pressure or the seat size, or check the weight"
        )
    return max(needed, 0.0)


def hold(gear: FloatGear, pressure_pa: float, density_kg_m3: float) -> Hold:
    """Force at the needle that the fuel asks and that the float gives when wholly under; the same moments as above."""
    _check_gear(gear)
    _fuel(density_kg_m3)
    lift = density_kg_m3 * GRAVITY * gear.volume_m3 * gear.float_arm_m
    most_n = (lift - _own_moment(gear)) / gear.needle_arm_m
    area_m2 = math.pi * gear.seat_m**2 / 4
    return Hold(seat_force_n(gear.seat_m, pressure_pa), most_n, max(most_n, 0.0) / area_m2)


def level_rise_by_pressure_m(
    pressure_rise_pa: float, seat_m: float, arm_ratio: float, waterplane_m2: float, density_kg_m3: float
) -> float:
    """How much higher the fuel stands for so much more pressure: ``dp A_s (L_n/L_f)/(rho g A_wp)``; less is lower.

    Range: the level moves by less than 20 mm on straight float sides. Raises ``Refused``.

    >>> round(1e3 * level_rise_by_pressure_m(head_pa(0.3, 745), 0.0025, 0.25, 0.0012, 745), 3)  # mm
    0.307
    """
    change_n = math.copysign(seat_force_n(seat_m, abs(pressure_rise_pa)), pressure_rise_pa)
    return level_rise_by_force_m(change_n, arm_ratio, waterplane_m2, density_kg_m3)


def level_rise_by_seat_m(
    old_seat_m: float, new_seat_m: float, pressure_pa: float, arm_ratio: float, waterplane_m2: float, density: float
) -> float:
    """How much higher the fuel stands with another seat bore at the same pressure (kg/m3 for ``density``)."""
    change_n = seat_force_n(new_seat_m, pressure_pa) - seat_force_n(old_seat_m, pressure_pa)
    return level_rise_by_force_m(change_n, arm_ratio, waterplane_m2, density)


def level_rise_by_force_m(force_n: float, arm_ratio: float, waterplane_m2: float, density_kg_m3: float) -> float:
    """How much higher the fuel stands for so much more force at the needle: ``dF (L_n/L_f)/(rho g A_wp)``."""
    within("needle arm over float arm", arm_ratio, 0, 2, open_low=True)
    _waterplane(waterplane_m2)
    _fuel(density_kg_m3)
    return _shift(force_n * arm_ratio / (density_kg_m3 * GRAVITY * waterplane_m2))


def level_rise_by_mass_m(
    extra_kg: float, waterplane_m2: float, density_kg_m3: float, place_over_float_arm: float = 1.0
) -> float:
    """How much higher the fuel stands for extra weight (solder, taken-up fuel): ``m (L_x/L_f)/(rho A_wp)``.

    ``place_over_float_arm`` is how far from the hinge the weight sits, 1 at the float's middle. Raises ``Refused``
    past 50 g or 20 mm.

    >>> round(1e3 * level_rise_by_mass_m(0.003, 0.0012, 745), 3)  # mm for 3 g
    3.356
    """
    within("extra weight", extra_kg, -0.05, 0.05, "kg", "on one float")
    within("place of the weight over the float's arm", place_over_float_arm, 0, 2)
    _waterplane(waterplane_m2)
    _fuel(density_kg_m3)
    return _shift(extra_kg * place_over_float_arm / (density_kg_m3 * waterplane_m2))


def level_rise_by_density_m(
    gear: FloatGear, pressure_pa: float, set_with_kg_m3: float, runs_with_kg_m3: float
) -> float:
    """How much higher another fuel stands than the one the level was set with: ``(V_2 - V_1)/A_wp``."""
    change_m3 = submerged_m3(gear, pressure_pa, runs_with_kg_m3) - submerged_m3(gear, pressure_pa, set_with_kg_m3)
    return _shift(change_m3 / gear.waterplane_m2)


def seat_flow_m3_s(
    seat_m: float, lift_m: float, pressure_pa: float, density_kg_m3: float, cd: float = USUAL_SEAT_CD
) -> float:
    """What an open needle passes: ``Cd A sqrt(2 p/rho)``, ``A = pi d lift`` until that is the bore, ``pi d^2/4``.

    Incompressible, sharp-edged, no hose before it. Raises ``Refused``.

    >>> round(3.6e6 * seat_flow_m3_s(0.002, 0.001, head_pa(0.3, 745), 745), 2)  # l/h, fully open
    17.01
    """
    within("seat", seat_m, 0.0005, 0.008, "m", "a needle seat")
    within("needle lift", lift_m, 0, 0.01, "m")
    within("fuel pressure", pressure_pa, 0, MOST_PRESSURE_PA, "Pa", "over the bowl's own")
    within("discharge coefficient", cd, 0.3, 1)
    _fuel(density_kg_m3)
    area_m2 = min(math.pi * seat_m * lift_m, math.pi * seat_m**2 / 4)
    return cd * area_m2 * math.sqrt(2 * pressure_pa / density_kg_m3)


def fuel_demand_m3_s(power_w: float, bsfc_kg_kwh: float, density_kg_m3: float) -> float:
    """What an engine burns: ``power bsfc / rho``. Range: up to 200 kW, 0.2 to 0.8 kg/kWh. Raises ``Refused``.

    >>> round(3.6e6 * fuel_demand_m3_s(25_000, 0.35, 745), 2)  # l/h
    11.74
    """
    within("power", power_w, 0, 200_000, "W")
    within("specific consumption", bsfc_kg_kwh, 0.2, 0.8, "kg/kWh", "0.33 to 0.43 is usual, 0.55 to 0.70 lb/hp h")
    _fuel(density_kg_m3)
    return power_w / 1000 * bsfc_kg_kwh / 3600 / density_kg_m3


def _own_moment(gear: FloatGear) -> float:
    needle = gear.needle_kg * gear.needle_arm_m * (1 if gear.needle_shuts == "up" else -1)
    return GRAVITY * (gear.float_kg * gear.weight_arm_m + needle)


def _check_gear(gear: FloatGear) -> None:
    within("float", gear.float_kg, 0, 0.3, "kg", open_low=True)
    within("needle", gear.needle_kg, 0, 0.05, "kg")
    within("float arm", gear.float_arm_m, 0.005, 0.15, "m")
    within("arm of the float's weight", gear.weight_arm_m, 0.005, 0.15, "m")
    within("needle arm", gear.needle_arm_m, 0.002, 0.15, "m")
    within("float's volume", gear.volume_m3, 1e-6, 3e-4, "m3")
    _waterplane(gear.waterplane_m2)


def _waterplane(waterplane_m2: float) -> None:
    within("float's cut through the surface", waterplane_m2, 1e-4, 6e-3, "m2", "1 to 60 cm2")


def _fuel(density_kg_m3: float) -> None:
    within("density", density_kg_m3, 600, 1050, "kg/m3", "a fuel or a calibrating fluid")


def _shift(shift_m: float) -> float:
    within("level shift", shift_m, -MOST_SHIFT_M, MOST_SHIFT_M, "m", "further off the bowl is full or empty")
    return shift_m
