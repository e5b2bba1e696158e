"""Air that leaks past a worn throttle shaft, and how large a share it is of the air the engine takes at idle.

UNVALIDATED: nobody has held this leak against a measured one. Take direction and size order only.

The gap round the shaft is taken as a slot as long as the boss. Slow flow through it (laminar, from the Reynolds
equation of an eccentric annulus) goes with the cube of the gap; no slot passes more than an orifice of the same area
(sharp-edged, choked where the suction is deep). The two are blended, ``1/sqrt(1/slot^2 + 1/orifice^2)``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from floatbowl.engine.doubt import COVER_95
from floatbowl.engine.refusal import Refused, within

#: Specific gas constant of dry air, J/(kg K), and ratio of its specific heats (US Standard Atmosphere 1976).
GAS_CONSTANT: Final = 287.05
HEAT_RATIO: Final = 1.4
#: Viscosity of air at 293 K, Pa s (textbook value, from memory; it changes by 0.25 % a kelvin).
AIR_VISCOSITY: Final = 1.81e-5
#: How far off centre the shaft lies: 0 in the middle, 1 touching. Suction pulls it aside; 0.5 is a guess, and a
#: guess matters little: it is worth a factor of 2.5 at most in a close fit, and a tenth in a worn one.
USUAL_ECCENTRICITY: Final = 0.5
#: Discharge coefficient of a sharp-edged slot (common practice, from memory).
USUAL_CD: Final = 0.65
#: Cylinder filling at idle against the air in the manifold (estimate, from memory: 0.6 to 0.9).
USUAL_IDLE_FILLING: Final = 0.75
#: A worn shaft and nothing else: wider is a broken casting.
MOST_PLAY_M: Final = 0.001


@dataclass(frozen=True, slots=True)
class Share:
    """Leaked air as a share of idle air; ``low`` to ``high`` holds the truth in 95 of 100, if the model were right.

    Above 1 the leak is more than the engine takes at that suction: it cannot idle so low.
    """

    share: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakSpreads:
    """One standard deviation of each figure behind a share. The usual ones are estimates until somebody measures."""

    play_m: float = 0.02e-3
    boss_m: float = 0.5e-3
    manifold_pa: float = 4_000.0
    eccentricity: float = 0.25
    cd: float = 0.07
    #: Of the idle air, as a part of it: filling 13 %, speed 5 %, temperature 5 %.
    idle_air_part: float = 0.15


def shaft_leak_kg_s(
    shaft_m: float,
    play_m: float,
    boss_m: float,
    manifold_pa: float,
    *,
    outside_pa: float = 101_325.0,
    temperature_k: float = 293.0,
    eccentricity: float = USUAL_ECCENTRICITY,
    cd: float = USUAL_CD,
) -> float:
    """Air leaking in past ONE end of a throttle shaft, kg/s. ``play_m`` is the whole play (on the diameter).

    Slot: ``pi d c^3 (1 + 1.5 e^2) (p1^2 - p2^2) / (24 mu L R T)``, ``c`` half the play; orifice: area ``pi d c``, the
    isentropic nozzle equation, choked below 0.528 of the outside pressure; blended as the module says.

    Range: shafts of 3 to 25 mm, play up to 1 mm and a fifth of the shaft, bosses of 1 to 60 mm, manifold pressure from
    5 kPa to the outside pressure. Raises ``Refused`` outside. UNVALIDATED: direction and size order only.
    Source: the slot from lubrication theory, the orifice from gas dynamics (textbooks, from memory); the blend is ours.

    >>> round(1e6 * shaft_leak_kg_s(0.008, 0.00005, 0.010, 45_000, eccentricity=0), 2)  # mg/s
    8.82
    """
    _check_leak(shaft_m, play_m, boss_m, manifold_pa, outside_pa, temperature_k, eccentricity, cd)
    slot = slot_leak_kg_s(shaft_m, play_m, boss_m, manifold_pa, outside_pa, temperature_k, eccentricity)
    orifice = cd * leak_area_m2(shaft_m, play_m) * orifice_flux_kg_m2_s(manifold_pa, outside_pa, temperature_k)
    return slot / math.hypot(1, slot / orifice) if orifice > 0 else 0.0


def leak_area_m2(shaft_m: float, play_m: float) -> float:
    """The gap's area at one end: ``pi d c / 2``, ``c`` the whole play (geometry of a thin ring; play far below ``d``).

    >>> round(1e6 * leak_area_m2(0.008, 0.00025), 1)  # mm2
    3.1
    """
    within("shaft", shaft_m, 0, unit="m", open_low=True)
    within("play", play_m, 0, shaft_m / 5, "m", "a wider gap is no thin ring")
    return math.pi * shaft_m * play_m / 2


def slot_leak_kg_s(
    shaft_m: float,
    play_m: float,
    boss_m: float,
    manifold_pa: float,
    outside_pa: float,
    temperature_k: float,
    eccentricity: float,
) -> float:
    """Slow (laminar, isothermal) flow through the ring gap alone, kg/s; an upper bound once the flow is fast."""
    gap_m = play_m / 2
    off_centre = 1 + 1.5 * eccentricity**2
    squares = outside_pa**2 - manifold_pa**2
    return (math.pi * shaft_m * gap_m**3 * off_centre * squares) / (
        24 * AIR_VISCOSITY * boss_m * GAS_CONSTANT * temperature_k
    )


def orifice_flux_kg_m2_s(manifold_pa: float, outside_pa: float, temperature_k: float) -> float:
    """Mass flow through each square metre of an ideal orifice (isentropic; choked below the critical pressure)."""
    critical = (2 / (HEAT_RATIO + 1)) ** (HEAT_RATIO / (HEAT_RATIO - 1))
    ratio = max(manifold_pa / outside_pa, critical)
    power = 2 * HEAT_RATIO / (HEAT_RATIO - 1) * (ratio ** (2 / HEAT_RATIO) - ratio ** ((HEAT_RATIO + 1) / HEAT_RATIO))
    return outside_pa * math.sqrt(max(power, 0.0) / (GAS_CONSTANT * temperature_k))


def idle_air_kg_s(
    displacement_m3: float,
    idle_rpm: float,
    manifold_pa: float,
    *,
    strokes: int = 4,
    ve: float = USUAL_IDLE_FILLING,
    temperature_k: float = 293.0,
) -> float:
    """Air an engine takes at idle, kg/s: ``V N/60 (2/strokes) ve p/(R T)``, ``p`` and ``T`` those in the manifold.

    Range: 50 cm3 to 20 l, 150 to 2,000 rpm, 10 to 105 kPa, filling 0.3 to 1.1; raises ``Refused`` outside. ``ve`` is
    against the air in the manifold, NOT the outside air. Source: definition of volumetric efficiency.

    >>> round(1e3 * idle_air_kg_s(2.5e-3, 500, 45_000), 2)  # g/s
    4.18
    """
    within("displacement", displacement_m3, 5e-5, 0.02, "m3")
    within("idle speed", idle_rpm, 150, 2_000, "rpm")
    within("manifold pressure", manifold_pa, 10_000, 105_000, "Pa", "absolute, not suction")
    within("filling at idle", ve, 0.3, 1.1)
    within("temperature", temperature_k, 230, 400, "K")
    if strokes not in (2, 4):
        raise Refused(f"strokes is {strokes}; an engine has 2 or 4")
    return displacement_m3 * idle_rpm / 60 * 2 / strokes * ve * manifold_pa / (GAS_CONSTANT * temperature_k)


def share_of_idle_air(
    shaft_m: float,
    play_m: float,
    boss_m: float,
    manifold_pa: float,
    idle_air: float,
    *,
    ends: int = 2,
    outside_pa: float = 101_325.0,
    temperature_k: float = 293.0,
    eccentricity: float = USUAL_ECCENTRICITY,
    cd: float = USUAL_CD,
    spreads: LeakSpreads | None = None,
) -> Share:
    """Leak of all worn ends over the idle air (kg/s, of ``idle_air_kg_s``), with the band that the spreads bring.

    Each figure is moved by its 95 % either way and the changes are added as squares, upward and downward apart: the
    first-order rule with whole swings, since the leak bends too much with the play for a slope. The manifold pressure
    moves both the leak and the idle air. UNVALIDATED: direction and size order only. Raises ``Refused`` like the leak.

    For a 2.5 l four-stroke idling at 500 rpm at 45 kPa, an 8 mm shaft in 10 mm bosses:

    >>> worn = share_of_idle_air(0.008, 0.00025, 0.010, 45_000, idle_air_kg_s(2.5e-3, 500, 45_000))
    >>> round(worn.share, 2), round(worn.low, 2), round(worn.high, 2)
    (0.22, 0.14, 0.34)
    """
    within("idle air", idle_air, 0, unit="kg/s", open_low=True)
    if ends not in (1, 2):
        raise Refused(f"ends is {ends}; a shaft has 1 or 2 worn ends")

    def share(*, idle_air_part: float, **leak: float) -> float:
        air = idle_air * idle_air_part * leak["manifold_pa"] / manifold_pa
        return ends * shaft_leak_kg_s(shaft_m, outside_pa=outside_pa, temperature_k=temperature_k, **leak) / air

    figures = {
        "play_m": play_m,
        "boss_m": boss_m,
        "manifold_pa": manifold_pa,
        "eccentricity": eccentricity,
        "cd": cd,
        "idle_air_part": 1.0,
    }
    limits = {
        "play_m": (0.0, min(MOST_PLAY_M, shaft_m / 5)),
        "boss_m": (0.001, 0.06),
        "manifold_pa": (5_000.0, outside_pa),
        "eccentricity": (0.0, 1.0),
        "cd": (0.3, 1.0),
        "idle_air_part": (0.2, 5.0),
    }
    return _band(share, figures, spreads or LeakSpreads(), limits)


def _band(
    work: Callable[..., float],
    figures: Mapping[str, float],
    spreads: LeakSpreads,
    limits: Mapping[str, tuple[float, float]],
) -> Share:
    middle = work(**figures)
    up = down = 0.0
    for name, value in figures.items():
        low, high = limits[name]
        swing = COVER_95 * getattr(spreads, name)
        moved = [work(**{**figures, name: min(max(value + way * swing, low), high)}) - middle for way in (-1, 1)]
        up, down = math.hypot(up, max(*moved, 0.0)), math.hypot(down, min(*moved, 0.0))
    return Share(middle, max(0.0, middle - down), middle + up)


def _check_leak(
    shaft_m: float,
    play_m: float,
    boss_m: float,
    manifold_pa: float,
    outside_pa: float,
    temperature_k: float,
    eccentricity: float,
    cd: float,
) -> None:
    within("shaft", shaft_m, 0.003, 0.025, "m", "the shaft of a throttle")
    within("play", play_m, 0, min(MOST_PLAY_M, shaft_m / 5), "m", "whole play on the diameter, of a worn shaft")
    within("boss", boss_m, 0.001, 0.06, "m", "length of the bearing at one end")
    within("outside pressure", outside_pa, 50_000, 110_000, "Pa")
    within("manifold pressure", manifold_pa, 5_000, outside_pa, "Pa", "absolute, and no higher than outside")
    within("temperature", temperature_k, 230, 400, "K")
    within("eccentricity", eccentricity, 0, 1)
    within("discharge coefficient", cd, 0.3, 1)
