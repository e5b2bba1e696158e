"""Jets by what they pass and by pins; and a row of a drill table that may be misprinted."""

from __future__ import annotations

from typing import Final

from floatbowl.bench.jets import (
    USUAL_JET_CD,
    USUAL_JET_CD_SD,
    WATER_M2_S,
    beside_a_good_one,
    bore_by_flow_m,
    bore_by_pins,
    flow_part,
    jet_flow_m3_s,
    misprints,
)
from floatbowl.engine.drills import number_drill_mm
from floatbowl.engine.refusal import within
from floatbowl.units import MM_PER_INCH
from floatbowl.work_out.both_units import in_both
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Curve, Figure, MindThis, Table

#: Wanted on a jet's bore (common practice): 1 % on the bore is 2 % on the flow.
_WANTED_PART: Final = 0.01
_BENCH: Final = MindThis(
    "Flow bench: water or a test fluid that does not flash, never petrol indoors; drip tray; no mains motor below.",
    "Fire code; the fluid's data sheet",
)
_NEVER_DRILL: Final = MindThis(
    "Never clean or size a jet with a drill or wire: it is larger ever after. Solvent, bristle, air below 30 psi, eyes "
    "covered.",
    "Shop rule; 29 CFR 1910.242(b) for air in the USA",
)
_VOLUME: Final = Asked("volume_m3", "Caught", "volume", "ml", usual=100e-6, spread=0.5e-6, how="Measuring cylinder.")
_BETWEEN: Final = Asked(
    "between",
    "Where between the two pins the bore lies",
    usual=0.5,
    spread=0.2887,
    how="0 the pin that goes, 1 the one that does not: nobody knows, leave it.",
)


def _by_flow(*, volume_m3: float, time_s: float, head_m: float, cd: float) -> Answer:
    flow = within("volume", volume_m3, 1e-6, 0.01, "m3") / within("time", time_s, 5, 3_600, "s", "too short to time")
    bore_m = bore_by_flow_m(flow, head_m, cd)
    heads = [step * 0.1 for step in range(3, 16)]
    return Answer(
        says=f"{flow * 6e7:.0f} ml/min under {head_m * 1e3:.0f} mm of water is a bore of about {in_both(bore_m)}, "
        "if the jet flows as such jets do.",
        figures=(
            Figure("bore", "Bore that would flow so", bore_m, "length", "mm"),
            Figure("flow", "Flow", flow, "volume flow", "ml/min"),
        ),
        curve=Curve(
            "Head, m",
            "Flow of this bore, ml/min",
            tuple((head, jet_flow_m3_s(bore_m, head, cd, WATER_M2_S) * 6e7) for head in heads),
            here=(head_m, flow * 6e7),
        ),
        notes=("A chamfer or a burr changes the flow by several in 100: beside a known good jet is surer.",),
    )


BY_FLOW: Final = Calculation(
    key="jet-by-flow",
    title="A jet's bore from its flow",
    about="Water under a steady head through the jet, timed into a cylinder.",
    asks=(
        _VOLUME,
        Asked("time_s", "In", "time", "s", usual=43.0, spread=0.3, how="Steady head, full stream, no air."),
        Asked("head_m", "Head of water", "length", "mm", usual=0.5, spread=0.002, how="Surface down to the jet."),
        Asked(
            "cd",
            "Discharge coefficient",
            usual=USUAL_JET_CD,
            spread=USUAL_JET_CD_SD,
            how="0.7 to 0.85; leave it unless a good jet has told it.",
        ),
    ),
    work=_by_flow,
    equation="d = sqrt(4 Q/(pi Cd sqrt(2 g h)))",
    holds="Water near 20 C, Reynolds number over 500, bores 0.2 to 5 mm.",
    source="Torricelli; the coefficient from notes on short tubes, from memory.",
    cautions=(_BENCH, _NEVER_DRILL),
    drawing="jet",
)


def _beside(*, time_s: float, good_time_s: float, good_bore_m: float) -> Answer:
    within("time of this jet", time_s, 5, 3_600, "s", "too short to time")
    within("time of the good jet", good_time_s, 5, 3_600, "s", "too short to time")
    within("good jet's bore", good_bore_m, 0.0002, 0.005, "m")
    found = beside_a_good_one(good_time_s, time_s)
    bore_m = good_bore_m * (1 + found.bore_part)
    way = "more" if found.flow_part >= 0 else "less"
    means = "as good" if abs(found.bore_part) <= _WANTED_PART else "it is not the same jet"
    return Answer(
        says=f"It passes {abs(found.flow_part) * 100:.0f} % {way} than the good one, as a bore of {in_both(bore_m)} "
        f"would: {means}.",
        figures=(
            Figure("flow_part", "Passes more by", found.flow_part, "share", "%"),
            Figure("bore", "Bore that would flow so", bore_m, "length", "mm"),
        ),
        notes=("Less than the good one: clean it first, with solvent and bristle.",),
    )


BESIDE: Final = Calculation(
    key="jet-beside-a-good-one",
    title="A jet beside a known good one",
    about="The same volume, the same head, the same fluid: only the times count.",
    asks=(
        Asked("time_s", "This jet takes", "time", "s", usual=33.0, spread=0.3),
        Asked("good_time_s", "The good one takes", "time", "s", usual=43.0, spread=0.3, how="Same volume, same head."),
        Asked("good_bore_m", "Bore of the good one", "length", "mm", usual=0.0011, spread=0.000006, how="By pins."),
    ),
    work=_beside,
    equation="flow = good flow x t_good/t; bore = good bore x sqrt(t_good/t)",
    holds="Two jets of one kind, between a tenth and ten times the flow.",
    source="Torricelli: head, fluid and coefficient fall out.",
    cautions=(_BENCH, _NEVER_DRILL),
    drawing="jet",
)


def _pins(*, go_m: float, no_go_m: float, between: float, record_m: float) -> Answer:
    within("where between the pins", between, 0, 1)
    bore_by_pins(go_m, no_go_m)
    bore_m = go_m + between * (no_go_m - go_m)
    part = bore_m / within("bore on record", record_m, 0.0002, 0.005, "m") - 1
    flow = flow_part(part)
    side, way = ("over", "more") if flow >= 0 else ("under", "less")
    return Answer(
        says=f"The bore is {in_both(bore_m, 3)}, {abs(part) * 100:.1f} % {side} its record: "
        f"it passes {abs(flow) * 100:.0f} % {way} fuel.",
        figures=(
            Figure("bore", "Bore", bore_m, "length", "mm"),
            Figure("flow_part", "Passes more by", flow, "share", "%"),
        ),
        notes=("A bore out of round takes no larger pin than its narrow side: look through it too.",),
    )


PINS: Final = Calculation(
    key="jet-by-pins",
    title="A jet's bore by pin gauges",
    about="The largest pin that goes and the smallest that does not; what that does to the flow.",
    asks=(
        Asked(
            "go_m",
            "Largest pin that goes in",
            "length",
            "mm",
            usual=0.00125,
            spread=0.0000007,
            how="By its own weight.",
        ),
        Asked("no_go_m", "Smallest pin that does not", "length", "mm", usual=0.00127, spread=0.0000007),
        _BETWEEN,
        Asked("record_m", "Bore on record", "length", "mm", usual=0.0011, how="Its source beside it."),
    ),
    work=_pins,
    equation="bore between the pins, doubt step/sqrt(12); flow (bore/record)^2 - 1",
    holds="Pins no further apart than a tenth of the bore. Drills are not gauges.",
    source="Geometry; flow goes with the area of the bore at the same coefficient.",
    cautions=(_NEVER_DRILL,),
    drawing="jet",
)


def _drill_row(*, number: str, printed_m: float) -> Answer:
    right_mm = number_drill_mm(number)
    inches = within("printed size", printed_m, 0.0001, 0.02, "m") * 1000 / MM_PER_INCH
    wrong = misprints([(number, inches)])
    right, printed = in_both(right_mm / 1000, 3), in_both(printed_m, 3)
    name = number.strip().lower().removeprefix("no").lstrip(".# ")
    says = f"The row agrees: number {name} is {right}."
    if wrong:
        says = f"Number {name} is {right}, not {printed}: do not copy the row; keep it with its page and flag it."
    return Answer(says=says, tables=(Table(("Drill", "Should be", "Printed"), ((number, right, printed),)),))


DRILL_ROW: Final = Calculation(
    key="drill-row",
    title="Is a row of a drill table right?",
    about="Printed tables hold misprints: the number and the decimal are worked out and compared.",
    asks=(
        Asked("number", "Drill number", kind="text", usual="#54", how="#1 to #80."),
        Asked("printed_m", "Printed size", "length", "in", usual=0.555 * 0.0254, how="As it stands in the table."),
    ),
    work=_drill_row,
    equation="printed size against the number drill's own, to half a thousandth of an inch",
    holds="Number drills 1 to 80.",
    source="ASME B94.11M, as the table of number drills says row by row.",
    cautions=(_NEVER_DRILL,),
    drawing="jet",
)

CALCULATIONS: Final = (BY_FLOW, BESIDE, PINS, DRILL_ROW)
