"""Fits: ISO and ANSI limits, the squeeze of a press fit on bush and boss, and what heat does to it."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

import pressfit

from floatbowl.engine.refusal import Refused, within

_THOU_M: Final = 25.4e-6
_MICRON_M: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Fit:
    """Limits of a hole and a shaft as deviations from the nominal size, in metres, and where they come from."""

    name: str
    size_m: float
    hole_low_m: float
    hole_high_m: float
    shaft_low_m: float
    shaft_high_m: float
    source: str

    @property
    def least_clearance_m(self) -> float:
        """The tightest pair; below nothing it is an interference."""
        return self.hole_low_m - self.shaft_high_m

    @property
    def most_clearance_m(self) -> float:
        """The loosest pair."""
        return self.hole_high_m - self.shaft_low_m


@dataclass(frozen=True, slots=True)
class Material:
    """What a bush or boss is made of; ``safe_pa`` is the stress it is let bear here. Each figure's source beside it."""

    key: str
    says: str
    expansion_1_k: float
    stiffness_pa: float
    poisson: float
    safe_pa: float
    source: str


@dataclass(frozen=True, slots=True)
class Squeeze:
    """A press fit: pressure between bush and boss, how far the bush's bore closes, greatest hoop stress in each."""

    pressure_pa: float
    bore_closes_m: float
    boss_stress_pa: float
    bush_stress_pa: float


def iso_fit(fit: str, size_m: float) -> Fit:
    """An ISO 286 hole-basis fit such as ``H7/g6``, from the table in the library pressfit 0.1.0 (no formula is exact).

    Range: sizes over 1 and up to 100 mm, grades 5 to 11, shafts c to u; raises ``Refused`` outside.

    >>> sliding = iso_fit("H7/g6", 0.008)
    >>> round(1e6 * sliding.least_clearance_m), round(1e6 * sliding.most_clearance_m)
    (5, 29)
    """
    within("nominal size", size_m, 0.001, 0.1, "m")
    try:
        found = pressfit.fit(fit, size_m * 1000)
    except (ValueError, NotImplementedError) as wrong:
        raise Refused(f"{fit!r} is no fit known here ({wrong}); write one like H7/g6") from None
    limits = (found.hole_ei_um, found.hole_es_um, found.shaft_ei_um, found.shaft_es_um)
    hole_low, hole_high, shaft_low, shaft_high = (limit * _MICRON_M for limit in limits)
    return Fit(fit, size_m, hole_low, hole_high, shaft_low, shaft_high, "ISO 286-1, table of pressfit 0.1.0")


@cache
def _rows(table: str) -> tuple[dict[str, str], ...]:
    text = (resources.files("floatbowl.bench") / "data" / table).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def rc4_fit(size_m: float) -> Fit:
    """ANSI B4.1 close running fit RC4 (hole H8, shaft f7): a shaft that turns without shake. Up to 1.19 in.

    >>> close = rc4_fit(0.3125 * 0.0254)
    >>> round(close.least_clearance_m / 25.4e-6, 3), round(close.most_clearance_m / 25.4e-6, 3)  # thou
    (0.5, 2.0)
    """
    inches = size_m / 0.0254
    for row in _rows("rc4.csv"):
        if float(row["over_in"]) < inches <= float(row["to_in"]) + 1e-9:
            hole_low, hole_high = float(row["hole_low_thou"]) * _THOU_M, float(row["hole_high_thou"]) * _THOU_M
            shaft_low, shaft_high = float(row["shaft_low_thou"]) * _THOU_M, float(row["shaft_high_thou"]) * _THOU_M
            return Fit("RC4", size_m, hole_low, hole_high, shaft_low, shaft_high, row["source"])
    raise Refused(
        f"the size is {size_m * 1000:.4g} mm; RC4 rows are known for sizes over 0 and up to 1.19 in (30.2 mm)"
    )


@cache
def materials() -> MappingProxyType[str, Material]:
    """Materials of bushes and bosses, by key."""
    return MappingProxyType({row["material"]: _material(row) for row in _rows("materials.csv")})


def _material(row: dict[str, str]) -> Material:
    return Material(
        key=row["material"],
        says=row["says"],
        expansion_1_k=float(row["expansion_1_k"]),
        stiffness_pa=float(row["stiffness_pa"]),
        poisson=float(row["poisson"]),
        safe_pa=float(row["safe_pa"]),
        source=row["source"],
    )


def material(key: str) -> Material:
    """One material; raises ``Refused`` naming those that are known."""
    if key not in materials():
        raise Refused(f"{key!r} is no material known here; known are {', '.join(materials())}")
    return materials()[key]


def squeeze(
    interference_m: float, fit_m: float, bore_m: float, outside_m: float, bush: Material, boss: Material
) -> Squeeze:
    """A bush (bore ``bore_m``) pressed into a round boss (outside ``outside_m``), meeting at ``fit_m``; diameters.

    Lame's thick rings, elastic, as long as each other::

        p = delta / (D [ ((Do^2+D^2)/(Do^2-D^2) + nu_o)/E_o + ((D^2+d^2)/(D^2-d^2) - nu_i)/E_i ])

    bore closing ``2 p D^2 d/(E_i (D^2-d^2))``; hoop stress ``p (Do^2+D^2)/(Do^2-D^2)`` in the boss (tension) and
    ``2 p D^2/(D^2-d^2)`` in the bush (pressure). Range: rings of at least 2 % wall, interference up to 0.4 % of the
    diameter; above the safe stress it is still worked out: compare. Source: G. Lame (1852), in any book of machine
    elements; the derivation read at roymech.co.uk, Cylinders. Raises ``Refused``.
    """
    within("fit diameter", fit_m, 0.003, 0.06, "m")
    within("bush bore", bore_m, 0, 0.98 * fit_m, "m", "inside the fit diameter, with some wall")
    within("boss outside", outside_m, 1.02 * fit_m, 1, "m", "outside the fit diameter, with some wall")
    within("interference", interference_m, 0, 0.004 * fit_m, "m", "more is no press fit but a broken boss")
    outer = (outside_m**2 + fit_m**2) / (outside_m**2 - fit_m**2)
    inner = (fit_m**2 + bore_m**2) / (fit_m**2 - bore_m**2)
    gives = (outer + boss.poisson) / boss.stiffness_pa + (inner - bush.poisson) / bush.stiffness_pa
    pressure_pa = interference_m / (fit_m * gives)
    bush_stress = 2 * pressure_pa * fit_m**2 / (fit_m**2 - bore_m**2)
    return Squeeze(pressure_pa, bush_stress * bore_m / bush.stiffness_pa, pressure_pa * outer, bush_stress)


def interference_change_m(fit_m: float, rise_k: float, bush: Material, boss: Material) -> float:
    """How much tighter a bush sits when both grow warmer: ``(a_bush - a_boss) D dT``; below nothing it loosens.

    Range: within 200 K, the expansions taken as constant. Raises ``Refused``.

    >>> round(1e6 * interference_change_m(0.01111, 60, material("brass"), material("iron")), 2)  # thousandths of a mm
    6.67
    """
    within("fit diameter", fit_m, 0, 0.1, "m", open_low=True)
    within("temperature rise", rise_k, -200, 200, "K")
    return (bush.expansion_1_k - boss.expansion_1_k) * fit_m * rise_k
