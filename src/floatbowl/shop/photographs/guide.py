"""The way through the photographs of one mark: what to do at each step, and which picture it takes."""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

#: Pictures beyond the steps' own, for a torch held somewhere else.
EXTRA_PLACES = ("more-1", "more-2", "more-3")
#: A relief needs the light from several sides; fewer pictures are read all the same, and that is said.
FEWEST_FOR_RELIEF = 3


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do; ``place`` names the picture it takes, ``turn`` is the torch's, degrees clockwise from left."""

    key: str
    title: str
    says: str
    drawing: str
    shows: str
    more: str = ""
    place: str = ""
    name: str = ""
    turn: int = 0
    optional: bool = False
    next: str = ""

    @property
    def template(self) -> str:
        return f"photographs/drawings/{self.drawing}.svg"


@cache
def steps() -> tuple[Step, ...]:
    """All steps in order, from ``guide.toml``."""
    text = files(__package__).joinpath("guide.toml").read_text(encoding="utf-8")
    return tuple(Step(**told) for told in tomllib.loads(text)["steps"])


def step_of(key: str) -> Step | None:
    """The step of this key, or None."""
    return next((step for step in steps() if step.key == key), None)


def places() -> tuple[str, ...]:
    """All places a picture can have, in the order they are filled."""
    return (*(step.place for step in steps() if step.place), *EXTRA_PLACES)


def name_of(place: str) -> str:
    """A picture as it is spoken of: ``torch from the left``."""
    return next((step.name for step in steps() if step.place == place), "other")


def spoken_of(place: str) -> str:
    """A picture as a sentence begins with it.

    >>> spoken_of("plain"), spoken_of("left")
    ('The plain picture', 'The picture with the torch from the left')
    """
    name = name_of(place)
    return f"The picture with the {name}" if name.startswith("torch") else f"The {name} picture"


def free_places(taken: Collection[str], first: str) -> list[str]:
    """Where pictures chosen together go: ``first`` even if it is taken, then free places after it, then the others."""
    order = places()
    start = order.index(first)
    return [first, *(place for place in (*order[start + 1 :], *order[:start]) if place not in taken)]


def first_missing(taken: Collection[str]) -> Step | None:
    """The first picture that is not there yet and is wanted, or None."""
    return next((s for s in steps() if s.place and not s.optional and s.place not in taken), None)


def after(step: Step) -> Step | None:
    """The step that follows, or None after the last."""
    order = steps()
    at = order.index(step) + 1
    return order[at] if at < len(order) else None


def before(step: Step) -> Step | None:
    """The step that precedes, or None before the first."""
    at = steps().index(step)
    return steps()[at - 1] if at else None
