"""What is wrong with photographs, and the one to take again first."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np

from floatbowl.photo.aligning import Matrix, Move
from floatbowl.photo.crops import as_grey
from floatbowl.photo.opening import Photograph, Pixels
from floatbowl.photo.plate import straight_size, straighten
from floatbowl.photo.sets import PhotoSet
from floatbowl.photo.shading import Plane

#: Worst first: what makes a photograph useless before what makes it weak.
KINDS: Final = ("another plate", "moved", "blurred", "dark", "glare", "small")

#: Width at which sharpness, light and glare are judged, so that they mean the same for every phone.
JUDGED_AT: Final = 900
#: Fine detail over coarse under which a photograph is blurred. Sharp renders have 0.29 to 1.2; smoothed by a
#: three-hundredth of their width 0.08 to 0.24.
SHARP: Final = 0.24
#: A plain and a torch photograph darker than this at its brighter end (95th percentile, as stored) is too dark.
DARK: Final = 0.22
#: Share of the plate that may be burnt out.
BURNT: Final = 0.06
#: Height of a character in pixels under which readings get worse.
SMALL: Final = 24.0
#: Where no line is marked, a character is taken to be this share of the plate's height. Common practice of tags.
CHARACTER_OF_PLATE: Final = 0.16


@dataclass(frozen=True, slots=True)
class PhotoFault:
    """What is wrong with one photograph: its name, one of ``KINDS``, and a sentence for a person."""

    photograph: str
    kind: str
    says: str


def faults_of_photograph(
    photograph: Photograph, corners: Matrix | None = None, line: Matrix | None = None, raking: bool = False
) -> tuple[PhotoFault, ...]:
    """What is wrong with one photograph by itself; ``corners`` of the plate and ``line`` of characters where known.

    ``raking`` photographs are mostly dark and may have bright edges: less is asked of them.
    """
    plate, shown = _plate(photograph.pixels, corners)
    grey = as_grey(plate)
    name = photograph.name
    found = []
    if sharpness(grey) < SHARP:
        found.append(
            PhotoFault(name, "blurred", f"{name} is blurred: rest the phone on something and tap on the mark.")
        )
    if float(np.percentile(grey, 97 if raking else 95)) < (0.6 * DARK if raking else DARK):
        found.append(
            PhotoFault(name, "dark", f"{name} is too dark: {'bring the torch nearer' if raking else 'add light'}.")
        )
    if burnt(plate) > (2 * BURNT if raking else BURNT):
        found.append(
            PhotoFault(name, "glare", f"{name} glares: move the {'torch lower' if raking else 'light aside'}.")
        )
    high = character_pixels(shown, line)
    if high is not None and high < SMALL:
        says = f"{name} shows a character only about {high:.0f} pixels high ({SMALL:.0f} are needed): go nearer."
        found.append(PhotoFault(name, "small", says))
    return tuple(found)


def faults_of(photo_set: PhotoSet, moves: Sequence[Move] = (), jobs: int = 2) -> tuple[PhotoFault, ...]:
    """What is wrong with the photographs of a set; ``moves`` as ``aligning.align`` gives them."""

    def of_torch(photograph: Photograph) -> tuple[PhotoFault, ...]:
        known = photo_set.corners if photograph.pixels.shape == photo_set.plain[0].pixels.shape else None
        found = faults_of_photograph(photograph, known, None, True)
        return tuple(each for each in found if each.kind != "small")

    def of_plain(photograph: Photograph) -> tuple[PhotoFault, ...]:
        return faults_of_photograph(photograph, photo_set.corners, photo_set.line)

    with ThreadPoolExecutor(max(1, jobs)) as pool:
        found = [*pool.map(of_plain, photo_set.plain), *pool.map(of_torch, photo_set.raking)]
    return tuple(fault for each in found for fault in each) + faults_of_moves(moves)


def faults_of_moves(moves: Sequence[Move]) -> tuple[PhotoFault, ...]:
    """Torch photographs that cannot be laid on the plain one, and why."""
    found = []
    for move in moves:
        name = move.photograph
        if not move.same_plate:
            says = f"{name} does not seem to show the plain photograph's plate: take it again from the same place."
            found.append(PhotoFault(name, "another plate", says))
        elif move.too_far:
            says = f"{name} was taken {move.shift:.0%} of the width off the plain photograph: keep the phone still."
            found.append(PhotoFault(name, "moved", says))
    return tuple(found)


def take_again(faults: Sequence[PhotoFault]) -> str | None:
    """The one photograph to take again, in a sentence; None when all will do. The worst fault of all counts first."""
    if not faults:
        return None
    worst = min(faults, key=lambda fault: KINDS.index(fault.kind))
    return worst.says


def few_torches(usable: int) -> str | None:
    """What a set with fewer than four usable torch photographs lacks, in a sentence; None when it has enough."""
    if usable >= 4:
        return None
    if usable == 0:
        return (
            "No torch photograph, so no relief: take four to eight, the torch low on the left, top, right and bottom."
        )
    if usable < 3:
        plural = "s" * (usable > 1)
        return f"Only {usable} torch photograph{plural}: strokes along the light do not show. Take four to eight."
    return "Only 3 torch photographs: shadow and glare cannot be told apart. Take four to eight."


def sharpness(grey: Plane) -> float:
    """Fine detail over coarse (differences of Gaussians of 1 and 2, 4 and 8 pixels at their strongest fiftieth): near 0
    when blurred. The grain of the picture's 8 bits is taken off."""
    smooth = [cv2.GaussianBlur(grey, (0, 0), sigma) for sigma in (1, 2, 4, 8)]
    fine, coarse = (float(np.percentile(np.abs(smooth[at] - smooth[at + 1]), 98)) for at in (0, 2))
    return max(fine - 0.0012, 0.0) / (coarse + 0.002)


def burnt(plate: Pixels) -> float:
    """The share of the picture that is burnt out in all colours."""
    return float(cv2.inRange(plate, (250, 250, 250), (255, 255, 255)).mean()) / 255


def character_pixels(plate_size: tuple[float, float] | None, line: Matrix | None) -> float | None:
    """How high a character is in the photograph, in pixels; None where neither line nor plate is known."""
    if line is not None:
        return float(np.linalg.norm(line[3] - line[0]) + np.linalg.norm(line[2] - line[1])) / 2
    return None if plate_size is None else CHARACTER_OF_PLATE * plate_size[1]


def _plate(pixels: Pixels, corners: Matrix | None) -> tuple[Pixels, tuple[float, float] | None]:
    """The plate, or the middle of the photograph, reduced for judging; and its size in the photograph."""
    if corners is not None:
        size = straight_size(corners, 100_000)
        shown = straight_size(corners, JUDGED_AT)
        return straighten(pixels, corners, shown), (float(size[0]), float(size[1]))
    height, width = pixels.shape[:2]
    middle = pixels[height // 5 : height - height // 5, width // 5 : width - width // 5]
    shrink = min(1.0, JUDGED_AT / middle.shape[1])
    small = (max(8, round(middle.shape[1] * shrink)), max(8, round(middle.shape[0] * shrink)))
    return np.asarray(cv2.resize(middle, small, interpolation=cv2.INTER_AREA)), None
