"""A photo set: one mark photographed plainly and, better, with a torch held low on several sides."""

from __future__ import annotations

import json
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from floatbowl.photo.opening import Photograph, PhotographError, open_photograph
from floatbowl.reference.facts import FORMS

Quad = NDArray[np.float64]

LISTING: Final = "set.json"
#: More photographs than this in a set are refused: more than anybody takes of a mark, and all are held in memory.
MOST_PHOTOGRAPHS: Final = 24


@dataclass(frozen=True, slots=True)
class Ball:
    """A shiny bearing ball beside the plate: its centre and radius in pixels of the plain photograph."""

    centre: tuple[float, float]
    radius: float


@dataclass(frozen=True, slots=True, eq=False)
class PhotoSet:
    """The photographs of one mark. ``corners`` (the plate's) and ``line`` (around the characters) are ``[4, 2]`` pixels
    of the first plain photograph, x right and y down, from the top left clockwise. ``plate_mm`` is width, height."""

    name: str
    plain: tuple[Photograph, ...]
    raking: tuple[Photograph, ...] = ()
    corners: Quad | None = None
    line: Quad | None = None
    plate_mm: tuple[float, float] | None = None
    ball: Ball | None = None
    part: str | None = None
    form: str | None = None


@dataclass(frozen=True, slots=True)
class _Listing:
    plain: tuple[str, ...]
    raking: tuple[str, ...]
    facts: dict[str, Any]


def read_photo_set(folder: Path, jobs: int = 2) -> PhotoSet:
    """The set in a folder with ``set.json``; photographs are decoded by ``jobs`` threads.

    Raises PhotographError: what is wrong, in which file, and what to do.
    """
    listing = _listing(folder)
    names = listing.plain + listing.raking

    def opened(name: str) -> Photograph:
        return open_photograph(_inside(folder, name), name)

    with ThreadPoolExecutor(max(1, jobs)) as pool:
        photographs = tuple(pool.map(opened, names))
    count = len(listing.plain)
    return PhotoSet(folder.name, photographs[:count], photographs[count:], **listing.facts)


def _listing(folder: Path) -> _Listing:
    try:
        told = json.loads((folder / LISTING).read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise PhotographError(f"{folder} has no {LISTING}: name a folder with a photo set.") from None
    except (OSError, ValueError, RecursionError) as fault:
        raise PhotographError(f"{folder / LISTING} cannot be read ({fault}): write it anew.") from fault
    if not isinstance(told, dict):
        raise PhotographError(f"{folder / LISTING} holds no set: it starts with {{ and names its photographs.")
    return parsed_listing(told)


def parsed_listing(told: dict[str, Any]) -> _Listing:
    """Names and facts of a set from what its ``set.json`` says. Raises PhotographError naming the field."""
    plain, raking = _names(told, "plain"), _names(told, "raking")
    if not plain:
        raise PhotographError(f"{LISTING}: plain: names no photograph; a set needs at least a plain one.")
    if len(plain) + len(raking) > MOST_PHOTOGRAPHS:
        raise PhotographError(f"{LISTING}: names more than {MOST_PHOTOGRAPHS} photographs; keep the best of them.")
    facts: dict[str, Any] = {
        "corners": _quad(told, "corners"),
        "line": _quad(told, "line"),
        "plate_mm": _pair(told, "plate_mm"),
        "ball": _ball(told),
        "part": _word(told, "part"),
        "form": _word(told, "form"),
    }
    if facts["form"] is not None and facts["form"] not in FORMS:
        raise PhotographError(f"{LISTING}: form: {facts['form']!r} is none of {', '.join(FORMS)}.")
    return _Listing(plain, raking, facts)


def _inside(folder: Path, name: str) -> Path:
    path = (folder / name).resolve()
    if not path.is_relative_to(folder.resolve()):
        raise PhotographError(f"{LISTING}: {name!r} lies outside the set's folder; put the photograph in the folder.")
    return path


def _names(told: dict[str, Any], field: str) -> tuple[str, ...]:
    said = told.get(field) or []
    names = [said] if isinstance(said, str) else said
    if not isinstance(names, list) or not all(isinstance(name, str) and name for name in names):
        raise PhotographError(f"{LISTING}: {field}: must be a list of file names.")
    return tuple(names)


def _quad(told: dict[str, Any], field: str) -> Quad | None:
    said = told.get(field)
    if said is None:
        return None
    points = [_numbers(each, 2) for each in said] if isinstance(said, list) and len(said) == 4 else [None]
    if any(point is None for point in points):
        raise PhotographError(
            f"{LISTING}: {field}: must be four corners [x, y] in pixels, from the top left clockwise."
        )
    quad = np.array(points, dtype=np.float64)
    if not is_convex(quad):
        raise PhotographError(f"{LISTING}: {field}: these four corners bound no area; give them clockwise.")
    return quad


def is_convex(quad: Quad) -> bool:
    """Whether four corners, x right and y down, go clockwise around an area without crossing."""
    sides = np.roll(quad, -1, axis=0) - quad
    after = np.roll(sides, -1, axis=0)
    return bool(np.all(sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0] > 1e-6))


def _pair(told: dict[str, Any], field: str) -> tuple[float, float] | None:
    said = told.get(field)
    if said is None:
        return None
    numbers = _numbers(said, 2)
    if numbers is None or min(numbers) <= 0:
        raise PhotographError(f"{LISTING}: {field}: must be two numbers over 0.")
    return numbers[0], numbers[1]


def _ball(told: dict[str, Any]) -> Ball | None:
    said = told.get("ball")
    if said is None:
        return None
    centre = _numbers(said.get("centre"), 2) if isinstance(said, dict) else None
    radius = _numbers([said.get("radius")], 1) if isinstance(said, dict) else None
    if centre is None or radius is None or radius[0] <= 0:
        raise PhotographError(f"{LISTING}: ball: must have a centre [x, y] and a radius in pixels.")
    return Ball((centre[0], centre[1]), radius[0])


def _word(told: dict[str, Any], field: str) -> str | None:
    said = told.get(field)
    if said is not None and not isinstance(said, str):
        raise PhotographError(f"{LISTING}: {field}: must be a word.")
    return said or None


def _numbers(said: object, count: int) -> Sequence[float] | None:
    if not isinstance(said, list) or len(said) != count:
        return None
    if not all(isinstance(each, (int, float)) and not isinstance(each, bool) for each in said):
        return None
    numbers = [float(each) for each in said]
    return numbers if np.all(np.isfinite(numbers)) else None
