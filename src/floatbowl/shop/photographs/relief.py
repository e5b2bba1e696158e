"""The pictures a person looks at: the straightened plate plain, cleaned, as a relief and as normals for a moved light.

Imports what looking at pictures needs; only ``looking`` imports this, once that is known to be there.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np

from floatbowl.photo.aligning import Move, warped
from floatbowl.photo.channels import equalised
from floatbowl.photo.crops import as_grey, line_window, straight_plate
from floatbowl.photo.opening import Pixels, as_png
from floatbowl.photo.relief import as_picture, normals_picture, relief_of_plate, relief_picture
from floatbowl.photo.rows import propose_line
from floatbowl.photo.sets import PhotoSet
from floatbowl.shop.photographs.plane import Quad

#: Rows of the line of characters as it stands beside the boxes.
LINE_ROWS = 128


def pictures(whole: PhotoSet, moves: Sequence[Move]) -> dict[str, bytes]:
    """PNGs by name; relief and normals only where a torch photograph can be used."""
    straight = straight_plate(whole, moves)
    shown: dict[str, Pixels] = {"plain": straight.plain, "cleaned": as_picture(equalised(as_grey(straight.plain)))}
    if len(straight.raking):
        relief = relief_of_plate(straight)
        shown["relief"] = relief_picture(relief)
        shown["normals"] = normals_picture(relief.normals)
    return {name: as_png(pixels) for name, pixels in shown.items()}


def line_picture(plate: Pixels, line: Quad) -> bytes:
    """The line of characters out of a picture of the plate, as a PNG; ``line`` in pixels of that picture."""
    window, size = line_window(np.array(line), LINE_ROWS)
    return as_png(warped(plate, window, size))


def found_line(pictures: Sequence[Pixels]) -> Quad | None:
    """The line of characters in pixels of the first of these pictures of one plate; None where none is found."""
    height, width = pictures[0].shape[:2]
    alike = [pictures[0], *(cv2.resize(each, (width, height)) for each in pictures[1:])]
    found = propose_line(*alike)
    return None if found is None else [[float(x), float(y)] for x, y in found]
