"""Our own recogniser, run on the processor: planes of a line in, probabilities of characters along it out.

How it was trained, on what, and what it can and cannot read: ``data/recogniser.md``. It knows no catalogue.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Final

import numpy as np

from floatbowl.photo.alphabet import CHARACTERS
from floatbowl.photo.channels import ROWS, Channels

if TYPE_CHECKING:
    from onnxruntime import InferenceSession

    from floatbowl.photo.ctc import Floats
    from floatbowl.photo.shading import Plane

WEIGHTS: Final = "recogniser.onnx"
#: Columns of the planes to one place of the matrix.
STRIDE: Final = 4
THREADS: Final = 2
#: The same line seen through slightly other crops: how far its upper and lower edges move, as a share of its height.
#: On lines of the levels two views gave as much as four.
_VIEWS: Final = ((0.0, 0.0), (0.05, 0.05))


@dataclass(frozen=True, slots=True)
class Seen:
    """Logarithms of probabilities ``[places, characters]`` for each view, and the chance that the mark is cast."""

    views: tuple[Floats, ...]
    cast: float


def recognise(channels: Channels, views: int = len(_VIEWS)) -> Seen:
    """Read one line. Time: about 55 ms a view on one core."""
    found = []
    cast = []
    for top, bottom in _VIEWS[:views]:
        log_probs, chance = session().run(None, {"planes": _framed(channels.planes, top, bottom)[None]})
        found.append(np.asarray(log_probs[0], np.float64))
        cast.append(float(chance[0]))
    return Seen(tuple(found), float(np.mean(cast)))


def _framed(planes: Plane, top: float, bottom: float) -> Plane:
    """The planes with this share of their rows added (repeated) or cut off at the top and bottom, at the old size."""
    _, rows, columns = planes.shape
    at = np.linspace(-top * rows, rows - 1 + bottom * rows, ROWS)
    low = np.clip(np.floor(at).astype(int), 0, rows - 1)
    high = np.clip(low + 1, 0, rows - 1)
    share = np.clip(at - low, 0, 1).astype(np.float32)[None, :, None]
    framed = planes[:, low] * (1 - share) + planes[:, high] * share
    short = -columns % STRIDE
    return np.ascontiguousarray(np.pad(framed, ((0, 0), (0, 0), (0, short)), mode="edge"), np.float32)


@cache
def session() -> InferenceSession:
    """The network, loaded once. Raises ``RuntimeError`` when the weights are for another alphabet."""
    weights = resources.files("floatbowl.photo").joinpath("data", WEIGHTS).read_bytes()
    made = opened(weights)
    if made.get_modelmeta().custom_metadata_map.get("characters") != CHARACTERS:
        raise RuntimeError(f"{WEIGHTS} was trained for other characters; install floatbowl anew")
    return made


def opened(model: bytes | str) -> InferenceSession:
    """A network ready to run: on the processor alone, with few threads, quiet."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = THREADS
    options.inter_op_num_threads = 1
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])
