"""Jets measured: by flow, by pin gauges, against a known good one; and drill tables that disagree with themselves.

Flow through a jet under a head (Torricelli with a discharge coefficient): ``Q = Cd (pi d^2/4) sqrt(2 g h)``. It holds
for a full, steady stream; below a Reynolds number of about 500 the coefficient falls off and nothing is worked out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from floatbowl.engine.doubt import Doubtful
from floatbowl.engine.drills import number_drill_mm
from floatbowl.engine.refusal import Refused, within
from floatbowl.units import MM_PER_INCH

GRAVITY: Final = 9.80665
#: Discharge coefficient of a jet and its spread (0.7 to 0.85; engineering notes on short tubes, from memory).
USUAL_JET_CD: Final = 0.78
USUAL_JET_CD_SD: Final = 0.04
#: Below it the discharge coefficient of a short tube falls quickly (short-tube charts, from memory).
LEAST_REYNOLDS: Final = 500.0
#: Kinematic viscosity of water at 20 C, m2/s (textbook value, from memory).
WATER_M2_S: Final = 1.0e-6
#: Drill tables are given to half a thousandth of an inch.
TABLE_STEP_IN: Final = 0.0005


@dataclass(frozen=True, slots=True)
class Compared:
    """A jet beside a known good one under the same head: parts by which it flows more, and its bore is larger."""

    flow_part: float
    bore_part: float


@dataclass(frozen=True, slots=True)
class DrillMisprint:
    """A row of a printed drill table whose number and decimal do not belong together."""

    number: str
    printed_in: float
    should_be_in: float


def jet_flow_m3_s(bore_m: float, head_m: float, cd: float = USUAL_JET_CD, viscosity_m2_s: float = WATER_M2_S) -> float:
    """What a jet passes under a head of the fluid itself: ``Cd (pi d^2/4) sqrt(2 g h)``. Raises ``Refused``.

    >>> round(6e7 * jet_flow_m3_s(0.00110, 0.5), 1)  # ml/min of water
    139.3
    """
    within("jet bore", bore_m, 0.0002, 0.005, "m")
    speed_m_s = _speed_m_s(head_m)
    within("discharge coefficient", cd, 0.4, 1)
    _check_reynolds(cd * speed_m_s * bore_m / viscosity_m2_s)
    return cd * math.pi * bore_m**2 / 4 * speed_m_s


def bore_by_flow_m(
    flow_m3_s: float, head_m: float, cd: float = USUAL_JET_CD, viscosity_m2_s: float = WATER_M2_S
) -> float:
    """The bore that passes such a flow: ``sqrt(4 Q/(pi Cd sqrt(2 g h)))``, the flow equation turned round.

    It is an effective bore: an error in Cd of 5 % is one of 2.5 % here. Comparing with a good jet is surer.

    >>> round(1e3 * bore_by_flow_m(139.3 / 6e7, 0.5), 3)
    1.1
    """
    within("flow", flow_m3_s, 1e-8, 1e-4, "m3/s")
    within("discharge coefficient", cd, 0.4, 1)
    bore_m = math.sqrt(4 * flow_m3_s / (math.pi * cd * _speed_m_s(head_m)))
    within("jet bore", bore_m, 0.0002, 0.005, "m", "worked out from the flow: check the head and the volume")
    _check_reynolds(cd * _speed_m_s(head_m) * bore_m / viscosity_m2_s)
    return bore_m


def beside_a_good_one(flow_m3_s: float, good_flow_m3_s: float) -> Compared:
    """A jet against a known good one, same head, same fluid: Cd and head fall out. Bore goes with the root of flow.

    >>> drilled = beside_a_good_one(131.2, 100.0)
    >>> round(drilled.flow_part, 3), round(drilled.bore_part, 3)
    (0.312, 0.145)
    """
    within("flow", flow_m3_s, 0, open_low=True)
    within("good jet's flow", good_flow_m3_s, 0, open_low=True)
    ratio = within("flow over the good one's", flow_m3_s / good_flow_m3_s, 0.1, 10, why="not the same kind of jet")
    return Compared(ratio - 1, math.sqrt(ratio) - 1)


def flow_part(bore_part: float) -> float:
    """How much more a jet flows for a bore that much larger (parts, 0.01 = 1 %): ``(1 + e)^2 - 1``, about twice.

    >>> round(flow_part(0.01), 4), round(flow_part(0.05 / 1.10), 3)
    (0.0201, 0.093)
    """
    within("change of bore", bore_part, -0.9, 2)
    return (1 + bore_part) ** 2 - 1


def bore_by_pins(go_m: float, no_go_m: float, pin_sd_m: float = 0.001e-3) -> Doubtful:
    """A bore between the largest pin that goes in and the smallest that does not, in metres.

    Anywhere between is as likely: the middle, with ``(no go - go)/sqrt(12)``, and both pins' own doubt (JCGM 100:2008,
    4.3.7, from memory). A bore worn out of round takes no larger pin than a round one: look at it too.

    >>> bore = bore_by_pins(0.00125, 0.00127)
    >>> round(1e3 * bore.value, 3), round(1e6 * bore.sd, 1)  # mm, thousandths of a millimetre
    (1.26, 5.8)
    """
    within("go pin", go_m, 0.0002, 0.02, "m")
    within("no-go pin", no_go_m, 0.0002, 0.02, "m")
    within("pins' doubt", pin_sd_m, 0, 1e-4, "m")
    if no_go_m <= go_m:
        raise Refused(
            f"the no-go pin ({no_go_m * 1e3:g} mm) is no larger than the go pin ({go_m * 1e3:g} mm); measure again"
        )
    within("step between the pins", no_go_m - go_m, 0, 0.1 * go_m, "m", "too wide to size a jet: use nearer pins")
    return Doubtful((go_m + no_go_m) / 2, math.hypot((no_go_m - go_m) / math.sqrt(12), pin_sd_m / math.sqrt(2)))


def misprints(rows: Iterable[tuple[str, float]]) -> tuple[DrillMisprint, ...]:
    """Rows (number drill, printed inches) whose decimal is not that of the number. Raises for an unknown number.

    One published table gives No. 54 both ways:

    >>> misprints([("#54", 0.055), ("#54", 0.555)])
    (DrillMisprint(number='#54', printed_in=0.555, should_be_in=0.055),)
    """
    found = []
    for number, printed_in in rows:
        right_in = number_drill_mm(number) / MM_PER_INCH
        if abs(printed_in - right_in) > TABLE_STEP_IN:
            found.append(DrillMisprint(number, printed_in, round(right_in, 6)))
    return tuple(found)


def _speed_m_s(head_m: float) -> float:
    return math.sqrt(2 * GRAVITY * within("head", head_m, 0.02, 3, "m", "of the fluid itself, over the jet"))


def _check_reynolds(reynolds: float) -> None:
    within("Reynolds number", reynolds, LEAST_REYNOLDS, why="slower than this no one coefficient holds; raise the head")
