"""A jet that somebody drilled: how much more it passes, what that does to the mixture, what setting is left."""

from __future__ import annotations

from typing import Final

from floatbowl.engine.metering import bore_change, setting_left_turns
from floatbowl.quantities import rounded
from floatbowl.work_out.calculation import DIRECTION_ONLY, Answer, Asked, Calculation, Curve, Figure
from floatbowl.work_out.main_jet import NEVER_DRILL, PETROL_OPEN

#: A change of flow smaller than this is within what pin gauges tell (0.01 mm on a jet of about 1 mm; worked out).
AS_RECORDED: Final = 0.02


def _work(
    *, measured_m: float, recorded_m: float, usual_turns: float | None = None, needle_share: float | None = None
) -> Answer:
    change = bore_change(measured_m, recorded_m)
    setting, notes = "", ["A drilled bore is scored and its edge broken: it often passes more still."]
    turns: tuple[Figure, ...] = ()
    if usual_turns is not None and needle_share is not None:
        left = setting_left_turns(change, usual_turns, needle_share)
        turns = (Figure("turns", "Main needle, turns out, for the old flow", left, "turns", "turns"),)
        setting = _setting_says(left)
        notes.append(f"{DIRECTION_ONLY} That is said of the setting; the flow is geometry.")
    elif usual_turns is not None or needle_share is not None:
        notes.append("To tell what setting is left, give both the usual setting and the needle's share of the fuel.")
    return Answer(
        says=f"{_flow_says(change)}{setting}.",
        figures=(
            Figure("flow", "Fuel, more or less than recorded", change, "share", "in 100"),
            Figure("mixture", "Parts of air to one of fuel, more or less", 1 / (1 + change) - 1, "share", "in 100"),
            *turns,
        ),
        curve=_over_bore(measured_m, recorded_m),
        notes=tuple(notes),
    )


def _flow_says(change: float) -> str:
    if abs(change) < AS_RECORDED:
        return "The jet is as recorded, as near as pin gauges tell"
    more, richer = ("more", "richer") if change > 0 else ("less", "leaner")
    return f"The jet passes {rounded(100 * abs(change), 2)} in 100 {more} than recorded and runs that much {richer}"


def _setting_says(left_turns: float) -> str:
    if left_turns <= 0:
        return "; with the main needle shut it still passes too much: no setting is left"
    return f"; the old mixture is at about {rounded(left_turns, 2)} turns of the main needle"


def _over_bore(measured_m: float, recorded_m: float) -> Curve:
    ratio = measured_m / recorded_m
    first, last = min(0.9, 0.95 * ratio), max(1.2, 1.05 * ratio)
    factors = [first + (last - first) * n / 16 for n in range(17)]
    points = tuple((1000 * recorded_m * factor, 100 * (factor**2 - 1)) for factor in factors)
    here = (1000 * measured_m, 100 * bore_change(measured_m, recorded_m))
    return Curve("bore measured, mm", "fuel more than recorded, in 100", points, here)


DRILLED_JET: Final = Calculation(
    key="drilled-jet",
    title="A drilled jet",
    about="A jet measured with pin gauges against its record: is it the original size, and what does it do if not?",
    asks=(
        Asked(
            "measured_m",
            "Bore as measured",
            "length",
            "mm",
            usual=0.00126,
            spread=0.000005,
            how="The largest pin gauge that goes in; never a drill or a wire.",
            own=True,
        ),
        Asked("recorded_m", "Bore on record", "length", "mm", usual=0.0011, spread=0.000005),
        Asked(
            "usual_turns",
            "Usual setting of the main adjusting needle",
            "turns",
            "turns",
            spread=0.15,
            optional=True,
            how="Turns out from gently seated; only where the needle feeds beside the jet. About 1 1/2 is usual.",
        ),
        Asked(
            "needle_share",
            "Fuel that goes through that needle at the usual setting",
            "share",
            "%",
            spread=0.08,
            optional=True,
            how="A guess will do: a fifth to a half.",
        ),
    ),
    work=_work,
    equation="flow over recorded = (d/d0)^2; turns = t0 (1 - change (1 - share)/share)",
    holds="Round bores of 0.2 to 10 mm with the same edge. The setting only for a needle beside the jet, in proportion "
    "to its turns.",
    source="Geometry; the setting is a model of this program, not measured.",
    cautions=(NEVER_DRILL, PETROL_OPEN),
    drawing="jet",
)

CALCULATIONS = (DRILLED_JET,)
