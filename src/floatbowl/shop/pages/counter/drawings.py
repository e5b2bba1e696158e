"""Which line drawing shows where to look."""

from __future__ import annotations

import re
from dataclasses import dataclass

from floatbowl.reference.facts import FeatureKind

#: Words in a look's own text that call for a drawing of their own; the first that is found wins.
CUES = (
    ("draught", r"\b(draught|air go|air flows?)"),
    ("inlet", r"\binto the air inlet\b"),
    ("magnet", r"\bmagnet"),
    ("finger", r"\b(raised|fingertip|flat pad|feel)\b"),
    ("holes", r"\b(rivets?|bare holes?|two holes)\b"),
    ("under", r"\b(from below|underneath|rim|centre bolt|cover screws?|drain)\b"),
    ("flange", r"\b(flange|bolts?|studs?|bore|throat|butterfly)\b"),
)

SHOWS = {
    "draught": "Three ways: air in low and up, straight across, or in high and down; it leaves at the flange.",
    "magnet": "A magnet held to the {part}.",
    "finger": "A fingertip over the mark: on the left a bar that stands up, on the right a flat pad.",
    "holes": "Two rivet holes, measured from middle to middle.",
    "inlet": "Looking into the air inlet with the flange at the top: left and right are as you see them.",
    "under": "The bowl from below: a bolt in the middle, or screws round the rim.",
    "flange": "The flange from above: bore in the middle, bolts at the sides, spacing from middle to middle.",
    "tag": "A tag held by two rivets, lit from the side.",
    "whole": "The carburettor from the side, air coming in on the left; the {part} is marked.",
}

#: A part as the drawing of the whole names it.
DRAWN_PARTS = (
    ("throttle", "throttle"),
    ("flange", "flange"),
    ("bowl", "bowl"),
    ("lid", "lid"),
    ("cover", "lid"),
    ("horn", "horn"),
    ("inlet", "fuel"),
    ("fuel", "fuel"),
    ("tag", "tag"),
    ("needle", "needle"),
    ("screw", "screw"),
    ("venturi", "venturi"),
)


@dataclass(frozen=True)
class Drawing:
    """A drawing's template, the part it marks, and what it shows for those who cannot see it."""

    name: str
    part: str
    shows: str

    @property
    def template(self) -> str:
        return f"drawings/{self.name}.svg"


def drawn_part(part: str) -> str:
    """The part as the drawing names it, or ``all``."""
    return next((drawn for word, drawn in DRAWN_PARTS if word in part.casefold()), "all")


def drawing_for(kind: FeatureKind) -> Drawing:
    """The drawing for a look, chosen by its own words and its part."""
    said = f"{kind.feature} {kind.question} {kind.how} {kind.choices}".casefold()
    for name, cue in CUES:
        if re.search(cue, said):
            return _drawing(name, kind.part)
    return drawing_of_mark(kind.part)


def drawing_of_mark(part: str) -> Drawing:
    """The drawing of where a number stands."""
    return _drawing("tag" if drawn_part(part) == "tag" else "whole", part)


def _drawing(name: str, part: str) -> Drawing:
    return Drawing(name, drawn_part(part), SHOWS[name].format(part=part or "carburettor"))
