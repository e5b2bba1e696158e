"""How flat a joint face is: feelers under a straightedge, or a grid of heights."""

from __future__ import annotations

import re
from typing import Final

from floatbowl.bench.flatness import Feelers, by_feelers, by_grid, joint, joints
from floatbowl.engine.doubt import Doubtful
from floatbowl.engine.refusal import Refused, within
from floatbowl.work_out.both_units import in_both
from floatbowl.work_out.calculation import Answer, Asked, Calculation, Figure, MindThis, Table

_JOINTS: Final = {one.says: key for key, one in joints().items()}
_LINES: Final = {
    "left_m": "Left side",
    "right_m": "Right side",
    "corners_m": "Corner to corner",
    "other_corners_m": "Other corners",
}
_NUMBERS: Final = re.compile(r"[\s,]+")
#: Where the true gap lies between two leaves: anywhere, so the middle with 1/sqrt(12) (JCGM 100:2008, 4.3.7).
_MIDDLE: Final = 0.5
_ANYWHERE: Final = 0.2887

_ASBESTOS: Final = MindThis(
    "Old gasket left on the face may hold asbestos: wet it, no dry scraping, no wire wheel, no air line; test before "
    "lapping or machining.",
    "National asbestos rules (OSHA 1910.1001 in the USA), local licensing",
)
_LAP: Final = MindThis(
    "Lap on a flat plate, the paper under the flange only, the passages plugged; never bend zinc cold.", "Shop rule"
)


def _feelers(
    *,
    face: str,
    left_m: float,
    right_m: float,
    corners_m: float,
    other_corners_m: float,
    step_m: float,
    between: float,
    edge_m: float,
) -> Answer:
    within("step between two leaves", step_m, 0, 0.001, "m", open_low=True)
    within("where between the leaves", between, 0, 1)
    gaps = (left_m, right_m, corners_m, other_corners_m)
    lines = [Feelers(gap, gap + step_m, where) for gap, where in zip(gaps, _LINES.values(), strict=True)]
    found, worst = by_feelers(lines)
    limit_m = joint(_JOINTS[face]).limit_m
    flat_m = worst.enters_m + between * step_m + edge_m
    return Answer(
        says=f"The face is {in_both(flat_m)} out of flat, worst on the line {worst.where.lower()}: "
        f"{_verdict(Doubtful(flat_m, found.sd), limit_m)}.",
        figures=(Figure("flatness", "Out of flat by", flat_m, "length", "mm"),),
        tables=(_limits(face),),
        notes=("Clean the face first; a speck under the straightedge reads as warp. A rocking edge: read both ends.",),
    )


def _verdict(flat: Doubtful, limit_m: float) -> str:
    over = flat.chance_above(limit_m)
    if over > 0.95:
        return f"over the limit of {in_both(limit_m)}: lap it"
    if over < 0.05:
        return f"within the limit of {in_both(limit_m)}"
    return (
        f"too near to the limit of {in_both(limit_m)} to say ({over * 100:.0f} in 100 that it is over): measure finer"
    )


def _limits(face: str) -> Table:
    one = joint(_JOINTS[face])
    same = one.least_limit_m == one.limit_m
    limit = in_both(one.limit_m) if same else f"{in_both(one.least_limit_m)} to {in_both(one.limit_m)}"
    return Table(("Joint", "Limit", "Who says so"), ((one.says, limit, one.source),))


FEELERS: Final = Calculation(
    key="flatness",
    title="Is the face flat? Feelers under a straightedge",
    about="Two sides and both diagonals: the thickest leaf that still goes in under the edge.",
    asks=(
        Asked("face", "Face", choices=tuple(_JOINTS), usual=next(iter(_JOINTS))),
        *(
            Asked(name, f"{where}: thickest leaf that enters", "length", "mm", usual=usual, how="0 if none enters.")
            for (name, where), usual in zip(_LINES.items(), (0.00005, 0.00005, 0.00012, 0.00003), strict=True)
        ),
        Asked("step_m", "Step to the next leaf", "length", "mm", usual=0.00002, how="The next leaf did not enter."),
        Asked(
            "between",
            "Where between the two leaves the gap lies",
            usual=_MIDDLE,
            spread=_ANYWHERE,
            how="0 the one that enters, 1 the next: nobody knows, leave it.",
        ),
        Asked(
            "edge_m",
            "Straightedge out of straight by",
            "length",
            "mm",
            usual=0.0,
            spread=0.000005,
            how="A good one: leave it.",
        ),
    ),
    work=_feelers,
    equation="widest gap; doubt^2 = step^2/12 + edge^2",
    holds="For at least three lines over the face, gaps up to 3 mm. A twist shows on the diagonals only.",
    source="Flatness as in ISO 12781-1 (from memory); limits are common practice, from memory.",
    cautions=(_ASBESTOS, _LAP),
    drawing="flange",
)


def _grid(*, face: str, heights: str, height_sd_m: float) -> Answer:
    points = _points(heights)
    found = by_grid(points, height_sd_m)
    limit_m = joint(_JOINTS[face]).limit_m
    return Answer(
        says=f"The face is {in_both(found.value, 3)} out of flat, give or take {found.sd * 1.96 * 1e3:.3f} mm: "
        f"{_verdict(found, limit_m)}.",
        tables=(
            _limits(face),
            Table(
                ("", "mm"),
                (("Out of flat by", f"{found.value * 1e3:.3f}"), ("give or take", f"{found.sd * 1.96 * 1e3:.3f}")),
                f"From {len(points)} points, the least-squares plane taken off",
            ),
        ),
        notes=("With few points a true face still reads a few times the doubt of one height.",),
    )


def _points(heights: str) -> list[tuple[float, float, float]]:
    found = []
    for number, row in enumerate(filter(None, (part.strip() for part in re.split(r"[;\n]", heights))), start=1):
        try:
            x, y, z = (float(word) / 1e3 for word in _NUMBERS.split(row))
        except ValueError:
            raise Refused(
                f"point {number} is {row[:40]!r}; write across, along and height in mm, as in 60 40 0.05, "
                "with ; between points"
            ) from None
        found.append((x, y, z))
    return found


GRID: Final = Calculation(
    key="flatness-grid",
    title="Is the face flat? Heights on a grid",
    about="Heights by dial gauge on a surface plate, at the corners, the middle of the sides and round the bore.",
    asks=(
        Asked("face", "Face", choices=tuple(_JOINTS), usual=next(iter(_JOINTS))),
        Asked(
            "heights",
            "Points",
            kind="text",
            usual="0 0 0; 60 0 0.02; 0 40 0.03; 60 40 0.00; 30 0 0.06; 30 40 0.07",
            how="Across, along and height in mm, with ; between points; at least four, not in one line.",
        ),
        Asked("height_sd_m", "Doubt of one height", "length", "mm", usual=0.005e-3, how="Dial gauge: about 0.005 mm."),
    ),
    work=_grid,
    equation="z - least-squares plane; highest less lowest; doubt from the two points named",
    holds="For four points or more, spread over the face, within 3 mm of a plane.",
    source="ISO 12781-1, least-squares reference plane (from memory); limits are common practice, from memory.",
    cautions=(_ASBESTOS, _LAP),
    drawing="flange",
)

CALCULATIONS: Final = (FEELERS, GRID)
