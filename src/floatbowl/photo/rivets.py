"""Rivets and holes beside a proposed line: they are cut off before it is read.

In the relief a rivet is a blob that stands up, where a punched number is sunk; in a plain picture it looks like an O or
0 standing apart.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np
from scipy import ndimage

from floatbowl.photo.alphabet import BLANK, CHARACTERS
from floatbowl.photo.channels import Channels
from floatbowl.photo.ctc import Floats
from floatbowl.photo.network import STRIDE
from floatbowl.photo.shading import Plane

ROUND: Final = "0OQ.*"
#: A round thing is no character of the number when it stands this many usual steps from its neighbour.
APART: Final = 1.6
#: Fewer characters than this say nothing about what the usual step is.
FEWEST: Final = 5

#: Side of the square, in shares of the line's height, over which the relief's mean is a rivet's from this on. Of six
#: worn tags (seed 770001) rivets had 0.5 to 0.9, characters up to 0.4.
BLOB, RAISED = 0.35, 0.45
#: Rivets are looked for in this share of the line at either end.
OUTER: Final = 1 / 3


def between_rivets(channels: Channels) -> Channels:
    """A line of punched characters between the blobs that stand up at its ends; the same where there are none.

    For lines that were proposed, and of which the relief's sign is known.
    """
    rows, columns = channels.planes.shape[1:]
    side = max(3, round(BLOB * rows))
    blobs = ndimage.uniform_filter(channels.planes[2], side)[rows // 4 : rows - rows // 4].max(axis=0)
    outer = round(OUTER * columns)
    left = _after_last(blobs[:outer], side // 2)
    right = columns - _after_last(blobs[::-1][:outer], side // 2)
    return channels if (left, right) == (0, columns) else _cut(channels, left, right)


def _after_last(blobs: Plane, rim: int) -> int:
    """The column after the last blob where its hollow has begun for ``rim`` columns, or 0."""
    found = np.flatnonzero(blobs > RAISED)
    if not len(found):
        return 0
    hollow = np.flatnonzero(blobs[found[-1] :] <= 0)
    return min(int(found[-1] + hollow[0]) + rim, len(blobs)) if len(hollow) else len(blobs)


def _cut(channels: Channels, left: int, right: int) -> Channels:
    planes = np.ascontiguousarray(channels.planes[:, :, left:right])
    return Channels(channels.names, planes, channels.present, channels.sure_of_sign)


def without_rivets(channels: Channels, log_probs: Floats) -> Channels | None:
    """The line cut between rivets and number, as our recogniser's matrix shows them; None where nothing is to be cut.

    For lines that were proposed: one that a person marked bounds the characters alone.
    """
    found = [(c, at) for c, at in standing(log_probs) if c != " "]
    if len(found) < FEWEST:
        return None
    places = np.array([at for _, at in found])
    steps = np.diff(places)
    usual = float(np.median(steps))
    first = (places[0] + places[1]) / 2 if found[0][0] in ROUND and steps[0] > APART * usual else 0.0
    last = np.inf
    if found[-1][0] in ROUND and steps[-1] > APART * usual:
        last = (places[-1] + places[-2]) / 2
    columns = channels.planes.shape[2]
    left, right = round(first * STRIDE), round(min(last * STRIDE, columns))
    if (left, right) == (0, columns):
        return None
    return _cut(channels, left, right)


def standing(log_probs: Floats) -> list[tuple[str, float]]:
    """The characters of the likeliest path and the middle of each, in places along the line."""
    path = log_probs.argmax(axis=1)
    starts = [0, *(np.flatnonzero(np.diff(path)) + 1).tolist(), len(path)]
    return [(CHARACTERS[path[a] - 1], (a + b - 1) / 2) for a, b in pairwise(starts) if path[a] != BLANK]
