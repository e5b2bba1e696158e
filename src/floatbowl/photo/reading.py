"""From photographs of one mark to what it says: every picture kept, every doubt told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from floatbowl.photo.cells import cells_of
from floatbowl.photo.channels import Channels, equalised, line_channels
from floatbowl.photo.lattice import CharacterLattice, lattice
from floatbowl.photo.network import recognise
from floatbowl.photo.rivets import between_rivets, without_rivets
from floatbowl.photo.stock import stock_matrices
from floatbowl.photo.trust import confidence
from floatbowl.reference.observed import Cell

if TYPE_CHECKING:
    from floatbowl.photo.aligning import Matrix, Move
    from floatbowl.photo.crops import Straight
    from floatbowl.photo.faults import PhotoFault
    from floatbowl.photo.opening import Pixels
    from floatbowl.photo.sets import PhotoSet

#: How surely the form must be seen to be told.
SURE_OF_FORM: Final = 0.85
#: Shares of a proposed line's height that are tried: the finder often takes the row for higher than it is.
HEIGHTS: Final = (1.0, 0.8, 0.65)
#: Chance of being cast under which a mark is taken for punched, and how sure the relief's sign must be, before what
#: stands up at its ends is cut off as a rivet.
PUNCHED, SIGN_KNOWN = 0.3, 0.3


@dataclass(frozen=True, slots=True, eq=False)
class LineRead:
    """What one line of characters shows: the lattice, and the chance that the mark is cast rather than stamped."""

    lattice: CharacterLattice
    cast: float

    @property
    def form(self) -> str | None:
        """How the mark is made, where that is plain to see."""
        if self.cast >= SURE_OF_FORM:
            return "cast"
        return "stamped" if self.cast <= 1 - SURE_OF_FORM else None


@dataclass(frozen=True, slots=True, eq=False)
class PhotoReading:
    """What a photo set says. ``confidence`` is the calibrated chance that ``text`` is right; ``cells`` are
    probabilities per place under an equal prior. ``lattice`` answers for any other text."""

    text: str
    cells: tuple[Cell, ...]
    confidence: float
    form: str | None
    faults: tuple[PhotoFault, ...]
    lattice: CharacterLattice


def read_line(channels: Channels) -> CharacterLattice:
    """All that a line's planes show, under our recogniser and a stock one; ``RuntimeError`` without them."""
    return line_read(channels).lattice


def line_read(channels: Channels) -> LineRead:
    """The same, with how the mark is made."""
    seen = recognise(channels)
    return LineRead(lattice(seen.views, stock_matrices(channels)), seen.cast)


def read_set(photo_set: PhotoSet) -> PhotoReading:
    """Read one set. Faults of its photographs are told; one that shows another plate, or moved too far, is left out.

    Where the line was not marked by a person it is proposed, and read both ways up. Time: under 4 s for 1 + 8
    photographs of 12 megapixels on two cores. Raises ``PhotographError`` when no line can be found.
    """
    from floatbowl.photo.aligning import align
    from floatbowl.photo.crops import line_crops
    from floatbowl.photo.faults import faults_of

    moves = align(photo_set.plain[0], photo_set.raking, photo_set.corners)
    if photo_set.line is not None:
        read = line_read(line_channels(*line_crops(photo_set, moves, photo_set.line)))
    else:
        found_line = proposed_line(photo_set, moves)
        heights = (line_channels(*line_crops(photo_set, moves, narrowed(found_line, s))) for s in HEIGHTS)
        read = either_way_up(max(heights, key=sureness))
    found = read.lattice
    return PhotoReading(
        text=found.text,
        cells=cells_of(found.texts, found.probabilities),
        confidence=confidence(found),
        form=photo_set.form or read.form,
        faults=faults_of(photo_set, moves),
        lattice=found,
    )


def proposed_line(photo_set: PhotoSet, moves: Sequence[Move]) -> Matrix:
    """Where the characters stand, in pixels of the plain photograph, by the plate's plain picture and relief."""
    from floatbowl.photo.aligning import mapped
    from floatbowl.photo.crops import straight_plate
    from floatbowl.photo.opening import PhotographError
    from floatbowl.photo.rows import propose_line

    plate = straight_plate(photo_set, moves)
    line = propose_line(*_pictures_of(plate))
    if line is None:
        raise PhotographError(f"{photo_set.name}: no line of characters was found; mark its four corners in set.json.")
    return mapped(plate.to_plain, line)


def narrowed(line: Matrix, share: float) -> Matrix:
    """The middle of a line's height."""
    cut = (1 - share) / 2 * (line[[3, 2]] - line[[0, 1]])
    return np.concatenate([line[:2] + cut, line[2:] - cut[::-1]])


def sureness(channels: Channels) -> float:
    """How sure our recogniser is, at a glance, of what stands at the places along a line, the better way up."""
    ways = (channels, upside_down(channels))
    return max(float(recognise(way, 1).views[0].max(axis=1).mean()) for way in ways)


def _pictures_of(plate: Straight) -> list[Pixels]:
    """The plate as photographed and evened; with torch photographs its relief as well, and that as a negative."""
    from floatbowl.photo.crops import as_grey
    from floatbowl.photo.relief import as_picture, relief_of_plate, relief_picture

    shown = [as_picture(equalised(as_grey(plate.plain)))]
    if len(plate.raking):
        relief = relief_picture(relief_of_plate(plate))
        shown += [relief, 255 - relief]
    return [plate.plain, *(_in_colours(each, plate.plain.shape) for each in shown)]


def _in_colours(grey: Pixels, shape: tuple[int, ...]) -> Pixels:
    """A grey picture as one of three colours, of this height and width."""
    from PIL import Image

    return np.asarray(Image.fromarray(grey).resize((shape[1], shape[0])).convert("RGB"))


def either_way_up(channels: Channels) -> LineRead:
    """A proposed line, which may be upside down and have rivets at its ends: the reading that is likeliest right."""
    reads = [line_read(trimmed(way)) for way in (channels, upside_down(channels))]
    return max(reads, key=lambda read: confidence(read.lattice))


def trimmed(channels: Channels) -> Channels:
    """A proposed line without the rivets at its ends."""
    seen = recognise(channels, 1)
    if seen.cast < PUNCHED and channels.sure_of_sign > SIGN_KNOWN:
        channels = between_rivets(channels)
        seen = recognise(channels, 1)
    cut = without_rivets(channels, seen.views[0])
    return channels if cut is None else cut


def upside_down(channels: Channels) -> Channels:
    """The same planes turned by half a turn; slopes then lean the other way."""
    planes = np.ascontiguousarray(channels.planes[:, ::-1, ::-1])
    planes[3:5] *= -1
    return Channels(channels.names, planes, channels.present, channels.sure_of_sign)
