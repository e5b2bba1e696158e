"""Air past a worn throttle shaft, as a share of the idle air."""

from __future__ import annotations

from typing import Final

from floatbowl.bench.shaft import (
    USUAL_CD,
    USUAL_ECCENTRICITY,
    USUAL_IDLE_FILLING,
    LeakSpreads,
    idle_air_kg_s,
    leak_area_m2,
    shaft_leak_kg_s,
    share_of_idle_air,
)
from floatbowl.bench.shares import about
from floatbowl.engine.refusal import within
from floatbowl.work_out.both_units import in_both
from floatbowl.work_out.calculation import DIRECTION_ONLY, Answer, Asked, Calculation, Curve, Figure, MindThis, Table

_OUTSIDE_PA: Final = 101_325.0
_SPREADS: Final = LeakSpreads()
_ENDS: Final = ("both ends", "one end")
#: What others say about shaft play, inches, and the shop's own rule (their sources disagree: all are shown).
_SAID: Final = (
    (".003 in (0.08 mm)", "fine", "sports-car hobby page"),
    (".005 in (0.13 mm)", "replace the bushes", "updraft handbook TM 10-3930-644-14&P"),
    (".010 in (0.25 mm)", "outer limit", "small-engine service handbook"),
)


def _work(
    *,
    shaft_m: float,
    play_m: float,
    boss_m: float,
    ends: str,
    displacement_m3: float,
    idle_turns_s: float,
    suction_pa: float,
    strokes: str,
    filling: float,
    eccentricity: float,
    cd: float,
) -> Answer:
    within("suction", suction_pa, 0, 91_000, "Pa", "below the air outside")
    manifold_pa = _OUTSIDE_PA - suction_pa
    count = 2 if ends == "both ends" else 1
    idle = idle_air_kg_s(displacement_m3, idle_turns_s * 60, manifold_pa, strokes=int(strokes), ve=filling)
    found = share_of_idle_air(
        shaft_m, play_m, boss_m, manifold_pa, idle, ends=count, eccentricity=eccentricity, cd=cd, spreads=_SPREADS
    )

    def leak(play: float) -> float:
        return count * shaft_leak_kg_s(shaft_m, play, boss_m, manifold_pa, eccentricity=eccentricity, cd=cd)

    plays = [step * 0.02e-3 for step in range(0, 21)]
    return Answer(
        says=f"{in_both(play_m)} of play at {ends} lets in {about(found.share, found.low, found.high)} of the idle air "
        f"of this engine: {_advice(play_m)}.",
        figures=(
            Figure("share", "Leak over the idle air", found.share, "share", "%"),
            Figure("leak", "Leak", leak(play_m), "mass flow", "mg/s"),
            Figure("idle_air", "Air the engine takes at idle", idle, "mass flow", "mg/s"),
            Figure("area", "Open gap", count * leak_area_m2(shaft_m, play_m), "area", "mm2"),
        ),
        tables=(Table(("Play", "They say", "Who"), _SAID, "What is said elsewhere, for other carburettors"),),
        curve=Curve(
            "Play, mm",
            "Share of the idle air, in 100",
            tuple((play * 1e3, 100 * leak(play) / idle) for play in plays),
            here=(play_m * 1e3, 100 * found.share),
            bands=(
                (0.0, 0.076, "leave"),
                (0.076, 0.127, "note"),
                (0.127, 0.254, "bush"),
                (0.254, 0.4, "must be bushed"),
            ),
        ),
        notes=(
            DIRECTION_ONLY,
            "Measure with a new or unworn shaft, both ends, both directions: bore apart from shaft.",
        ),
    )


def _advice(play_m: float) -> str:
    """The shop's proposed rule for play, weighed from three sources that differ."""
    thou = play_m / 25.4e-6
    if thou <= 3:
        return "leave it"
    if thou <= 5:
        return "leave it if the idle is steady, and note it"
    return "bush it" if thou <= 10 else "do not send it out without bushes"


SHAFT_LEAK: Final = Calculation(
    key="shaft-leak",
    title="Air past a worn throttle shaft",
    about="How much of the idle air comes in where no fuel meets it.",
    asks=(
        Asked("shaft_m", "Shaft", "length", "mm", usual=0.008, spread=0.00001, how="Across an unworn part."),
        Asked(
            "play_m",
            "Play",
            "length",
            "mm",
            usual=0.00025,
            spread=_SPREADS.play_m,
            how="Whole play, side to side, by dial gauge or feeler, at the worse end.",
            own=True,
        ),
        Asked("boss_m", "Length of the bore at one end", "length", "mm", usual=0.010, spread=_SPREADS.boss_m),
        Asked("ends", "Worn at", choices=_ENDS, usual="both ends"),
        Asked("displacement_m3", "Engine's displacement", "volume", "cm3", usual=2.5e-3, spread=2e-5),
        Asked("idle_turns_s", "Idle speed", "rotation", "rpm", usual=500 / 60, spread=25 / 60),
        Asked(
            "suction_pa",
            "Suction in the manifold at idle",
            "pressure",
            "inHg",
            usual=56_325.0,
            spread=_SPREADS.manifold_pa,
            how="By gauge; 17 to 21 inHg is said for cars, old governed engines may read lower.",
        ),
        Asked("strokes", "Strokes", choices=("4", "2"), usual="4"),
        Asked(
            "filling",
            "Filling at idle",
            "share",
            "%",
            usual=USUAL_IDLE_FILLING,
            spread=0.1,
            how="Against the air in the manifold; 60 to 90 %, estimated: leave it.",
        ),
        Asked(
            "eccentricity",
            "How far off centre the shaft lies",
            usual=USUAL_ECCENTRICITY,
            spread=_SPREADS.eccentricity,
            how="0 in the middle, 1 against the bore: leave it.",
        ),
        Asked("cd", "Discharge coefficient", usual=USUAL_CD, spread=_SPREADS.cd, how="Of the gap's edge: leave it."),
    ),
    work=_work,
    equation="slot pi d c^3 (1+1.5 e^2)(p1^2-p2^2)/(24 mu L R T), orifice Cd pi d c, 1/sqrt(1/slot^2+1/orifice^2)",
    holds="Shafts 3 to 25 mm, play up to 1 mm, at sea level and 20 C. No measurement stands behind it.",
    source="Lubrication theory and gas dynamics; the blend is ours. Never held against a measured leak.",
    validated=False,
    cautions=(
        MindThis(
            "Looking for leaks on a running engine: no fuel spray on a hot manifold, smoke or water mist; keep clear "
            "of fan and belt; carbon monoxide indoors; never run with the governor rod off.",
            "Shop fire rule; workplace air rules; the machine's handbook",
        ),
    ),
    drawing="shaft",
)

CALCULATIONS: Final = (SHAFT_LEAK,)
