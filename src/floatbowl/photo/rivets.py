"""Rivets and holes beside a proposed line look like an O or 0 standing apart: they are cut off before it is read."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from floatbowl.photo.alphabet import BLANK, CHARACTERS
from floatbowl.photo.channels import Channels
from floatbowl.photo.ctc import Floats
from floatbowl.photo.network import STRIDE

ROUND: Final = "0OQ.*"
#: A round thing is no character of the number when it stands this many usual steps from its neighbour.
APART: Final = 1.6
#: Fewer characters than this say nothing about what the usual step is.
FEWEST: Final = 5


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
    planes = np.ascontiguousarray(channels.planes[:, :, left:right])
    return Channels(channels.names, planes, channels.present, channels.sure_of_sign)


def standing(log_probs: Floats) -> list[tuple[str, float]]:
    """The characters of the likeliest path and the middle of each, in places along the line."""
    path = log_probs.argmax(axis=1)
    starts = [0, *(np.flatnonzero(np.diff(path)) + 1).tolist(), len(path)]
    return [(CHARACTERS[path[a] - 1], (a + b - 1) / 2) for a, b in pairwise(starts) if path[a] != BLANK]
