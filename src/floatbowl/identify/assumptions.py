"""What the weighing assumes where the shop has not counted yet: rates with a source, replaced by the shop's own."""

from __future__ import annotations

import json
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from typing import Any


@dataclass(frozen=True, slots=True)
class Assumptions:
    """Rates and shares outside the reading of characters. All are probabilities unless said otherwise.

    ``read_*``: which mark a caller reads, by its role; ``read_elsewhere`` is a number nobody recorded. ``book_cross``:
    a number from a book or invoice is another maker's number. ``part_told_right``, ``form_told_right``: the place and
    the way it is made are told right. ``same_separators``: strokes, dashes and dots are told as they stand.
    ``repeat_worth``: what a second reading of one casting adds, since it shares the wear of the first.
    ``unlisted*``: not in our records (with a machine we do not know; of a maker we do not know, given unlisted; like a
    recorded one, given unlisted).
    ``swapped``: not what the machine came with. ``bought_again``: the caller has the same kit need as before.
    ``mixed``: built from two; ``mixed_same_maker``: both of one maker. ``tag_moved``: the tag belongs to another
    carburettor; ``loose_tag_moved``: when it is wired on or under a screw. ``look_wrong_*``: a look is answered wrong
    when its own rate is not recorded; ``bench_care``: factor on that at the bench. ``usual_wrong_share``: share of
    wrong answers that are the usual ones. ``group_fault``: everything in one photograph or call is off together.
    ``measure_wrong``: a measure is taken grossly wrong; ``measure_wide``: how many times wider such errors spread;
    ``measure_wild``: of those, how many are anything at all. ``kind_strength_decibans``: how strongly evidence must
    speak for a kit to count as a kind of evidence. ``send_at_least``: how sure to be before a kit goes out.
    ``read_minutes``, ``read_succeeds``: time to read a mark, and how often it settles the matter.
    """

    read_identifies: float
    read_family: float
    read_casting: float
    read_cross: float
    read_elsewhere: float
    book_cross: float
    part_told_right: float
    form_told_right: float
    same_separators: float
    repeat_worth: float
    unlisted: float
    unlisted_machine: float
    unlisted_maker: float
    unlisted_sibling: float
    swapped: float
    bought_again: float
    mixed: float
    mixed_same_maker: float
    tag_moved: float
    loose_tag_moved: float
    look_wrong_untold: float
    look_wrong_coached: float
    bench_care: float
    usual_wrong_share: float
    group_fault: float
    measure_wrong: float
    measure_wide: float
    measure_wild: float
    kind_strength_decibans: float
    send_at_least: float
    read_minutes: float
    read_succeeds: float
    source: str = ""

    def read_role(self, role: str) -> float:
        """How often a mark of this role is the one a caller reads."""
        return float(getattr(self, f"read_{role}"))


def assumptions_from_json(data: dict[str, Any]) -> Assumptions:
    """Assumptions from their JSON form. Raises ``ValueError`` naming what is missing."""
    names = {f.name for f in fields(Assumptions)}
    try:
        return Assumptions(**{name: value for name, value in data.items() if name in names})
    except TypeError as fault:
        raise ValueError(f"assumptions: {fault}") from fault


@cache
def shipped_assumptions() -> Assumptions:
    """The assumptions that come with floatbowl."""
    text = resources.files("floatbowl.identify").joinpath("data", "assumptions.json").read_text(encoding="utf-8")
    return assumptions_from_json(json.loads(text))
