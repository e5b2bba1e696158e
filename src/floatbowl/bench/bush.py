"""What bush to buy or turn for a worn throttle-shaft bore, and what to ream before and after pressing it in."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

from floatbowl.bench.fits import Fit, Material, Squeeze, interference_change_m, iso_fit, squeeze
from floatbowl.engine.refusal import Refused, within

#: Running clearance after reaming, .001 to .002 in (common practice, from memory).
LEAST_CLEARANCE_M: Final = 0.0254e-3
MOST_CLEARANCE_M: Final = 0.0508e-3
#: What the boss reamer must take off the worn bore all round to find sound metal (shop's guess).
CLEAN_UP_M: Final = 0.1e-3
#: A thinner bush cannot be pressed in without folding (shop's guess, .030 in).
LEAST_WALL_M: Final = 0.75e-3
#: What is left in the bush for the last reamer (.006 in; common practice, from memory).
REAMING_M: Final = 0.15e-3
#: Light press fit by table: reamed hole, bush a little over.
PRESS_FIT: Final = "H7/p6"
#: A reamer's name is rounded to a thousandth of a millimetre at most.
_SAME_M: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Reamer:
    """A reamer as sold; ``kind`` is fraction, oversize or metric."""

    name: str
    diameter_m: float
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bush:
    """A bush and its reaming, diameters in metres. ``tightest`` is the largest bush in the smallest reamed hole.

    ``eased_for`` names the parts for whose sake the bush is turned smaller than the table's press fit.
    """

    boss_reamer: Reamer
    press: Fit
    outside_low_m: float
    outside_high_m: float
    drilled_m: float
    bore_low_m: float
    bore_high_m: float
    last_reamers: tuple[Reamer, ...]
    tightest: Squeeze
    loosens_m: float
    eased_for: tuple[str, ...]

    @property
    def wall_m(self) -> float:
        """The bush's wall when done."""
        return (self.boss_reamer.diameter_m - self.bore_high_m) / 2


@cache
def reamers() -> tuple[Reamer, ...]:
    """The reamers taken as at hand, smallest first (``data/reamers.csv``)."""
    text = (resources.files("floatbowl.bench") / "data" / "reamers.csv").read_text(encoding="utf-8")
    found = [
        Reamer(row["reamer"], float(row["diameter_mm"]) / 1000, row["kind"])
        for row in csv.DictReader(text.splitlines())
    ]
    return tuple(sorted(found, key=lambda reamer: reamer.diameter_m))


def bush_for(
    worn_bore_m: float,
    shaft_m: float,
    boss_outside_m: float,
    bush: Material,
    boss: Material,
    *,
    wall_m: float = LEAST_WALL_M,
    rise_k: float = 60.0,
    kinds: tuple[str, ...] = ("fraction", "metric"),
) -> Bush:
    """The bush for a bore worn to ``worn_bore_m`` (its widest) and an unworn shaft of ``shaft_m``.

    The boss is reamed with the smallest reamer (of the ``kinds`` at hand) that cleans the bore up and leaves the bush
    ``wall_m``; the bush is turned to the table's light press fit, or less where that would strain bush or boss past
    its safe stress (Lame); its bore closes when pressed in, so it is drilled smaller and line-reamed afterwards for
    .001 to .002 in running clearance. ``loosens_m`` is what ``rise_k`` of warmth takes off the press fit (below
    nothing: adds). Range: shafts of 3 to 20 mm; the boss must keep 1.5 mm of wall. Raises ``Refused``.
    """
    within("shaft", shaft_m, 0.003, 0.02, "m")
    within("worn bore", worn_bore_m, shaft_m, shaft_m + 0.003, "m", "no smaller than the shaft, nor 3 mm over it")
    within("wall", wall_m, 0.0004, 0.004, "m")
    low, high = shaft_m + LEAST_CLEARANCE_M, shaft_m + MOST_CLEARANCE_M
    reamer = _boss_reamer(max(worn_bore_m + CLEAN_UP_M, high + 2 * wall_m), kinds)
    size = reamer.diameter_m
    within("boss outside", boss_outside_m, size + 0.003, 0.1, "m", f"a {reamer.name} hole must leave 1.5 mm of wall")
    press = iso_fit(PRESS_FIT, size)
    by_table = squeeze(-press.least_clearance_m, size, low, boss_outside_m, bush, boss)
    strains = {"the boss": boss.safe_pa / by_table.boss_stress_pa, "the bush": bush.safe_pa / by_table.bush_stress_pa}
    part = min(1.0, *strains.values())
    return Bush(
        boss_reamer=reamer,
        press=press,
        outside_low_m=size + part * press.shaft_low_m,
        outside_high_m=size + part * press.shaft_high_m,
        drilled_m=low - REAMING_M,
        bore_low_m=low,
        bore_high_m=high,
        last_reamers=_between(low, high),
        tightest=squeeze(part * press.shaft_high_m, size, low, boss_outside_m, bush, boss),
        loosens_m=-interference_change_m(size, rise_k, bush, boss),
        eased_for=tuple(part for part, room in strains.items() if room < 1),
    )


def _boss_reamer(least_m: float, kinds: tuple[str, ...]) -> Reamer:
    for reamer in reamers():
        if reamer.kind in kinds and reamer.diameter_m >= least_m - _SAME_M:
            return reamer
    raise Refused(f"no reamer is known of {least_m * 1000:.2f} mm or more; the bore is too large for a bush here")


def _between(low_m: float, high_m: float) -> tuple[Reamer, ...]:
    return tuple(reamer for reamer in reamers() if low_m - _SAME_M <= reamer.diameter_m <= high_m + _SAME_M)
