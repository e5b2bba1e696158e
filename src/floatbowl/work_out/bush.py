"""The bush for a worn throttle-shaft bore: what to ream, what to turn, what to ream again."""

from __future__ import annotations

from typing import Final

from floatbowl.bench.bush import Bush, bush_for
from floatbowl.bench.fits import material, materials
from floatbowl.work_out.both_units import in_both
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure, MindThis, Table

_REAMERS: Final = {"either": ("fraction", "metric"), "inch": ("fraction",), "metric": ("metric",)}
_BOSSES: Final = ("iron", "zinc", "aluminium")
_BUSHES: Final = ("brass", "bronze", "steel")


def _work(
    *,
    worn_bore_m: float,
    shaft_m: float,
    boss_outside_m: float,
    bush: str,
    boss: str,
    reamers: str,
    wall_m: float,
    warmer_k: float,
) -> Answer:
    plan = bush_for(
        worn_bore_m,
        shaft_m,
        boss_outside_m,
        material(bush),
        material(boss),
        wall_m=wall_m,
        rise_k=warmer_k,
        kinds=_REAMERS[reamers],
    )
    return Answer(
        says=f"Ream the boss {plan.boss_reamer.name}, turn the bush to {in_both(plan.outside_high_m, 3)} outside and "
        f"drill it {in_both(plan.drilled_m)}, press it in flush with the bore's wall, then {_last(plan)}.",
        figures=(
            Figure("bore_low", "Finished bore, least", plan.bore_low_m, "length", "mm"),
            Figure("bore_high", "Finished bore, most", plan.bore_high_m, "length", "mm"),
            Figure("drilled", "Drilled before pressing in", plan.drilled_m, "length", "mm"),
        ),
        tables=(_steps(plan), _squeezed(plan)),
        notes=_notes(plan, bush, boss),
    )


def _last(plan: Bush) -> str:
    if plan.last_reamers:
        return f"line-ream {' or '.join(reamer.name for reamer in plan.last_reamers)} in one pass"
    return (
        f"line-ream with an adjustable reamer set between {in_both(plan.bore_low_m, 3)} and "
        f"{in_both(plan.bore_high_m, 3)}, in one pass"
    )


def _steps(plan: Bush) -> Table:
    limits = plan.outside_low_m, plan.outside_high_m
    rows = (
        ("Ream the boss", plan.boss_reamer.name, in_both(plan.boss_reamer.diameter_m, 3)),
        ("Turn the bush outside", "least", in_both(limits[0], 3)),
        ("", "most", in_both(limits[1], 3)),
        ("Drill the bush before pressing", "", in_both(plan.drilled_m)),
        *(("Line-ream after pressing", reamer.name, in_both(reamer.diameter_m, 3)) for reamer in plan.last_reamers),
        ("Finished bore", "least", in_both(plan.bore_low_m, 3)),
        ("", "most", in_both(plan.bore_high_m, 3)),
        ("Wall left", "", in_both(plan.wall_m)),
    )
    return Table(("Step", "", "Size"), rows, "In this order")


def _squeezed(plan: Bush) -> Table:
    tight = plan.tightest
    rows = (
        ("Interference", f"{(plan.outside_high_m - plan.boss_reamer.diameter_m) * 1e6:.0f} thousandths of a mm"),
        ("The bush's bore closes by", f"{tight.bore_closes_m * 1e6:.0f} thousandths of a mm"),
        ("Pull round the boss", f"{tight.boss_stress_pa / 1e6:.0f} N/mm2"),
        ("Squeeze round the bush", f"{tight.bush_stress_pa / 1e6:.0f} N/mm2"),
    )
    return Table(("At the tightest", ""), rows)


def _notes(plan: Bush, bush: str, boss: str) -> tuple[str, ...]:
    change = plan.loosens_m * 1e6
    way = "looser" if change > 0 else "tighter"
    notes = [f"Warm, a {bush} bush sits {abs(change):.0f} thousandths of a millimetre {way} in {boss}."]
    if plan.eased_for:
        parts = " and ".join(plan.eased_for)
        notes.append(f"Turned smaller than the usual press fit, to spare {parts}: add retaining compound.")
    if change > 0:
        notes.append("It loosens when warm: add retaining compound.")
    notes.append("Ends flush with the bore's wall or just past it, never inset; then relieve the plate's edge.")
    return tuple(notes)


BUSH: Final = Calculation(
    key="bush",
    title="What bush for this bore and shaft",
    about="Sizes to turn or buy, the reamers before and after pressing in, and whether the boss bears it.",
    asks=(
        Asked(
            "worn_bore_m",
            "Worn bore, widest",
            "length",
            "mm",
            usual=0.0082,
            spread=0.00002,
            how="Both ends, both directions; the largest.",
        ),
        Asked("shaft_m", "Shaft, unworn part", "length", "mm", usual=0.0079, spread=0.000005, how="By micrometer."),
        Asked("boss_outside_m", "Boss outside, least", "length", "mm", usual=0.016, spread=0.0001),
        Asked("bush", "Bush of", choices=_BUSHES, usual="brass", how="; ".join(m.says for m in materials().values())),
        Asked(
            "boss", "Boss of", choices=_BOSSES, usual="iron", how="A magnet sticks to iron; zinc is the heavy grey one."
        ),
        Asked("reamers", "Reamers at hand", choices=tuple(_REAMERS), usual="either"),
        Asked(
            "wall_m",
            "Least wall of the bush",
            "length",
            "mm",
            usual=0.00075,
            how=".030 in; thinner folds when pressed.",
        ),
        Asked("warmer_k", "Warmer at work by", "temperature step", "K", usual=60.0, spread=15.0),
    ),
    work=_work,
    equation="press fit H7/p6, eased where Lame's stress is too much; bore closes 2 p D^2 d/(E (D^2-d^2)); then ream",
    holds="Round bosses, shafts 3 to 20 mm, clearance .001 to .002 in. Elastic rings; old zinc is weaker.",
    source="ISO 286 (pressfit 0.1.0), Lame's rings, the table of materials; clearance: common practice, from memory.",
    cautions=(
        MindThis(
            "Reaming and pressing: clamp the casting soft and square, no glove near the machine, eyes covered. Heat "
            "zinc gently or not at all: it cracks when hot and melts near 380 to 420 C.",
            "Shop rule; workplace rules",
        ),
        MindThis(
            "Leaded brass and bronze: no dry grinding, wash hands after turning.",
            "Health authority",
        ),
    ),
    drawing="bush",
)

CALCULATIONS: Final = (BUSH,)
