"""An unknown thread from what can be measured on it: all that remain likely, and the measure that tells them apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from floatbowl.bench.thread_looks import entropy_bits, further_looks
from floatbowl.bench.thread_table import ORIGINS, Origin
from floatbowl.bench.threads import Candidate, Measured, pitch_over, shown, which_thread
from floatbowl.engine.doubt import Doubtful
from floatbowl.engine.refusal import Refused, within
from floatbowl.work_out.both_units import in_both
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure, MindThis, Table

#: One standard deviation of a length by tool (common practice, from memory).
_TOOLS_M: Final = {"calliper": 0.02e-3, "micrometer": 0.005e-3, "steel rule": 0.25e-3}
#: A thread gauge's leaf that fits leaves so much doubt in the pitch (estimate).
_LEAF_SD_M: Final = 0.005e-3
_PITCH_TOOLS: Final = ("steel rule", "calliper", "thread gauge")
_NOT: Final = "not measured"
_ANGLES: Final = (_NOT, "60", "55", "47.5")
_ANGLE_SD_DEG: Final = 1.5
_TAPERS: Final = {"not looked": None, "parallel": False, "tapered": True}


def _work(
    *,
    diameter_m: float,
    tool: str,
    length_m: float,
    turns: float,
    pitch_tool: str,
    side: str,
    flank: str,
    taper: str,
    origin: str,
) -> Answer:
    measured = Measured(
        diameter=Doubtful(diameter_m, _TOOLS_M[tool]),
        pitch=_pitch(length_m, turns, pitch_tool),
        inside=side == "inside",
        flank_angle_deg=None if flank == _NOT else Doubtful(float(flank), _ANGLE_SD_DEG),
        tapered=_TAPERS[taper],
    )
    candidates = which_thread(measured, _origin(origin))
    remaining = shown(candidates)
    looks = further_looks(candidates, measured)
    doubt = entropy_bits(np.array([candidate.chance for candidate in candidates]))
    rows = tuple((look.says, f"{min(100 * look.bits / doubt, 100):.0f} in 100") for look in looks)
    return Answer(
        says=_sentence(remaining, looks[0].says if looks and len(remaining) > 1 else ""),
        figures=(
            Figure("pitch", "Pitch", measured.pitch.value, "length", "mm"),
            Figure("per_inch", "Turns to the inch", 0.0254 / measured.pitch.value),
        ),
        tables=(
            Table(
                ("Thread", "Family", "Chance", "Outside", "Pitch"),
                tuple(map(_row, remaining)),
                "19 times in 20 it is one of these",
            ),
            *((Table(("Measure next", "Of the doubt it takes away"), rows, "The best first"),) if rows else ()),
        ),
        notes=("Chances rest on estimates of how common each family is; let the origin say more if you know it.",),
    )


def _pitch(length_m: float, turns: float, tool: str) -> Doubtful:
    if abs(turns - round(turns)) > 1e-9:
        raise Refused(f"turns is {turns:g}; count whole turns, crest to crest")
    if tool == "thread gauge":
        within("turns", turns, 1, 60)
        return Doubtful(length_m / turns, _LEAF_SD_M)
    return pitch_over(length_m, round(turns), _TOOLS_M[tool])


def _origin(told: str) -> Origin:
    return next(origin for origin in ORIGINS if origin == told.lower())


def _sentence(remaining: Sequence[Candidate], look: str) -> str:
    first, *others = remaining
    says = f"Most likely {first.name} ({_in_100(first.chance)})"
    if others:
        says += f"; {_listed([f'{one.name} ({_in_100(one.chance)})' for one in others])} cannot be ruled out"
    return f"{says}. {f'Next: {look[0].lower()}{look[1:]}.' if look else ''}".rstrip()


def _listed(names: Sequence[str]) -> str:
    shown_names = list(names[:4])
    if len(names) > 4:
        shown_names.append(f"{len(names) - 4} more")
    return shown_names[0] if len(shown_names) == 1 else f"{', '.join(shown_names[:-1])} and {shown_names[-1]}"


def _in_100(chance: float) -> str:
    return "over 99 in 100" if chance > 0.99 else "under 1 in 100" if chance < 0.01 else f"{chance * 100:.0f} in 100"


def _row(candidate: Candidate) -> tuple[str, ...]:
    thread = candidate.thread
    if thread is None:
        return (candidate.name, "", _in_100(candidate.chance), "", "")
    size, pitch = in_both(thread.major_m), f"{thread.pitch_m * 1e3:.3f} mm ({thread.turns_per_inch:.1f} to the inch)"
    return (thread.name, f"{thread.family.says}, {thread.family.angle_deg:g}°", _in_100(candidate.chance), size, pitch)


THREAD: Final = Calculation(
    key="thread",
    title="Which thread is it?",
    about="An unknown screw, jet or hole: all the threads that fit what was measured, with their chances.",
    asks=(
        Asked(
            "diameter_m",
            "Outside of the thread, or bore of a threaded hole",
            "length",
            "mm",
            usual=0.00478,
            spread=0.00002,
            how="Over the crests; in a hole, between the crests. Clean, unworn place.",
            own=True,
        ),
        Asked("tool", "Measured with", choices=tuple(_TOOLS_M), usual="calliper"),
        Asked(
            "length_m",
            "Length over so many turns",
            "length",
            "mm",
            usual=0.0080,
            spread=0.0001,
            how="Crest to crest, as many turns as there are; with a thread gauge, its pitch times the turns.",
            own=True,
        ),
        Asked("turns", "Turns in that length", usual=10.0, how="Whole turns.", own=True),
        Asked("pitch_tool", "Length measured with", choices=_PITCH_TOOLS, usual="calliper"),
        Asked("side", "The thread is", choices=("outside", "inside"), usual="outside"),
        Asked("flank", "Angle between the flanks, degrees", choices=_ANGLES, usual=_NOT, how="By thread gauge leaf."),
        Asked("taper", "Taper", choices=tuple(_TAPERS), usual="not looked", how="Diameter at both ends."),
        Asked("origin", "Made where", choices=("unknown", "American", "British", "continental"), usual="unknown"),
    ),
    work=_work,
    equation="chance ~ common x N(d; D - 0.02 - 0.045 P) x N(p; P, sd_L/n) x N(angle) x taper; bore D1 + 0.02 + 0.06 P",
    holds="Threads up to about 25 mm that are in the table; one chance is kept for threads that are not.",
    source="Basic sizes with their sources in the table (ASME B1.1, BS 84, BS 93, ISO 261, ISO 228-1, ASME B1.20.1).",
    cautions=(
        MindThis(
            "Never force a screw that goes stiff after two turns: a near twin strips the casting, and castings cannot "
            "be bought. Try a known screw first.",
            "Shop rule",
        ),
    ),
    drawing="thread",
)

CALCULATIONS: Final = (THREAD,)
