"""What a page of the photographs shows, gathered once: the way through, each picture and what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from floatbowl.shop.models import Photograph, PhotoSet
from floatbowl.shop.photographs import arriving, checking, guide, storage, work

STAGES = (("take", "Pictures"), ("corners", "Plate"), ("line", "Line"), ("read", "Number"))
#: The torch's places as they lie round the plate, row by row.
ROUND = ("top-left", "top", "top-right", "left", "plain", "right", "bottom-left", "bottom", "bottom-right")


@dataclass(frozen=True, slots=True)
class ShownPicture:
    """One place of a set: empty, or its picture with what is wrong with it."""

    place: str
    name: str
    address: str
    photograph: Photograph | None = None
    wrong: str = ""
    here: bool = False
    optional: bool = False

    @property
    def state(self) -> str:
        """In a word, for those who do not see the picture."""
        if self.photograph is None:
            return "not taken, may be left out" if self.optional else "not taken yet"
        return self.wrong or "taken"


@dataclass(frozen=True, slots=True)
class Stage:
    """One of the four stages, as the head of the page names it."""

    key: str
    name: str
    address: str
    here: bool
    open: bool


def frame(photo_set: PhotoSet, stage: str) -> dict[str, Any]:
    """What every page of a set is given."""
    in_hand = photo_set.in_hand
    return {
        "place": "counter",
        "photo_set": photo_set,
        "in_hand": in_hand,
        "enquiry": in_hand.enquiry,
        "back": f"/counter/{in_hand.enquiry_id}/{in_hand.place}/",
        "address": f"/photographs/{photo_set.pk}/",
        "stages": _stages(photo_set, stage),
    }


def _stages(photo_set: PhotoSet, now: str) -> list[Stage]:
    reached = {
        "take": True,
        "corners": photo_set.photographs.filter(place=Photograph.PLAIN).exists(),
        "line": bool(photo_set.corners_by),
        "read": bool(photo_set.line_by),
    }
    where = {key: f"/photographs/{photo_set.pk}/{'take/plain' if key == 'take' else key}/" for key, _ in STAGES}
    return [Stage(key, name, where[key], key == now, reached[key]) for key, name in STAGES]


def work_shown(photo_set: PhotoSet) -> dict[str, Any]:
    """How far reading has come."""
    steps = work.STEPS if photo_set.line_by else (*work.STEPS[:-1], work.FINDING_LINE)
    return {
        "going_on": work.going_on(photo_set),
        "broken_off": work.BROKEN_OFF if work.broken_off(photo_set) else "",
        "work_step": steps[min(photo_set.step, len(steps) - 1)],
        "work_done": photo_set.step,
        "work_of": len(work.STEPS) - 1,
    }


def shown_step(photo_set: PhotoSet, step: guide.Step, errors: Sequence[str] = ()) -> dict[str, Any]:
    """One step of taking the photographs."""
    kept = {each.place: each for each in photo_set.photographs.all()}
    photograph = kept.get(step.place) if step.place else None
    again = checking.take_again(list(kept.values()))
    order = guide.steps()
    return frame(photo_set, "take") | {
        "step": step,
        "step_number": order.index(step) + 1,
        "step_count": sum(1 for each in order if not each.optional),
        "photograph": photograph,
        "faults": checking.standing_faults(photograph) if photograph else [],
        "again": again,
        "again_name": guide.name_of(again) if again else "",
        "before": guide.before(step),
        "after": guide.after(step),
        "next_missing": _next_missing(step, kept),
        "round": [_shown(photo_set, kept, place, step) for place in ROUND],
        "extras": [_shown(photo_set, kept, place, step) for place in guide.EXTRA_PLACES if place in kept],
        "count": len(kept),
        "torches": checking.good_torches(list(kept.values())),
        "fewest": guide.FEWEST_FOR_RELIEF,
        "has_plain": Photograph.PLAIN in kept,
        "most": storage.MOST_PHOTOGRAPHS,
        "most_bytes": storage.MOST_BYTES,
        "piece_bytes": arriving.MOST_PIECE_BYTES // 2,
        "places": " ".join(guide.places()),
        "taken": " ".join(kept),
        "errors": errors,
        "going_on": work.going_on(photo_set),
    }


def _next_missing(step: guide.Step, kept: Mapping[str, Photograph]) -> guide.Step | None:
    """The next step whose picture is not there yet or not good."""
    order = guide.steps()
    open_steps = (each for each in order[order.index(step) + 1 :] if each.place)
    return next((e for e in open_steps if e.place not in kept or checking.wants_again(kept[e.place])), None)


def _shown(photo_set: PhotoSet, kept: Mapping[str, Photograph], place: str, step: guide.Step) -> ShownPicture:
    photograph = kept.get(place)
    own = guide.step_of(place)
    faults = checking.standing_faults(photograph) if photograph else []
    return ShownPicture(
        place=place,
        name=guide.name_of(place),
        address=f"/photographs/{photo_set.pk}/take/{own.key if own else 'plain'}/",
        photograph=photograph,
        wrong=faults[0]["kind"] if faults else "",
        here=place == step.place,
        optional=bool(own and own.optional),
    )
