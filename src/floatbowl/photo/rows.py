"""Where the row of characters lies on a straightened plate, by the text finder that comes with rapidocr.

Its model (PP-OCR, text detection by differentiable binarisation: M. Liao and others, AAAI 2020) gives for each pixel
the probability that it lies in the middle of writing.
"""

from __future__ import annotations

import importlib.util
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final, cast

import cv2
import numpy as np

from floatbowl.photo.opening import Pixels
from floatbowl.photo.shading import Plane
from floatbowl.photo.warping import Matrix

#: Longer side of what the finder sees.
SEEN_AT: Final = 640
#: Probability from which a pixel is writing; mean over a patch from which the patch is.
WRITING, SURE = 0.25, 0.4
#: A row is at least and at most this share of the plate's height.
LOWEST, HIGHEST = 0.04, 0.7
#: A row that all pictures show together is at most this much higher than the one that one of them shows best.
HIGHER: Final = 1.3
#: The finder marks the middle of a row: the row is this share of its height wider all round.
SPREAD: Final = 0.5


def propose_line(*straight: Pixels) -> Matrix | None:
    """Four corners ``[4, 2]`` around the row of characters, from the top left clockwise; None when none is found.

    ``straight`` are pictures of the same straightened plate, as large as one another. The surest finding in any of them
    counts; paint hides a part of the row in one and pits break it in another, so what all show together may make it
    longer, but hardly higher.
    """
    height, width = straight[0].shape[:2]
    seen = [writing(picture) for picture in straight]
    alone = max((row for each in seen if (row := _row(each))), default=None)
    together = _row(np.maximum.reduce(seen))
    found = alone if together is None or (alone and together.high > HIGHER * alone.high) else together
    if found is None:
        return None
    scale = np.array([width, height]) / np.array(seen[0].shape[::-1])
    (left, top), (right, bottom) = np.array(found.box[:2]) * scale, np.array(found.box[2:]) * scale
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


@dataclass(frozen=True, slots=True, order=True)
class _Row:
    """How much writing a row has, and its box on the finder's raster: left, top, right, bottom."""

    sure: float
    box: tuple[float, float, float, float]

    @property
    def high(self) -> float:
        return self.box[3] - self.box[1]


def _row(likely: Plane) -> _Row | None:
    """The row with the most writing."""
    height, width = likely.shape
    patches = _patches(likely)
    if not patches:
        return None
    rows = [[other for other in patches if _beside(patch, other)] for patch in patches]
    best = max(rows, key=lambda row: sum(each[0] for each in row))
    boxes = np.array([each[1] for each in best])
    spread = SPREAD * float(np.median(boxes[:, 3] - boxes[:, 1]))
    left, top = (boxes[:, :2].min(axis=0) - spread).tolist()
    right, bottom = (boxes[:, 2:].max(axis=0) + spread).tolist()
    if not LOWEST < (bottom - top) / height < HIGHEST:
        return None
    box = (max(left, 0.0), max(top, 0.0), min(right, float(width)), min(bottom, float(height)))
    return _Row(sum(each[0] for each in best), box)


def writing(picture: Pixels) -> Plane:
    """For each pixel of a reduced copy of the picture, the probability of writing."""
    height, width = picture.shape[:2]
    shrink = SEEN_AT / max(height, width)
    size = (max(32, 32 * round(width * shrink / 32)), max(32, 32 * round(height * shrink / 32)))
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)[..., ::-1]
    told = (small.astype(np.float32) / 127.5 - 1).transpose(2, 0, 1)[None]
    finder = _finder()
    return cast(Plane, finder.run(None, {finder.get_inputs()[0].name: told})[0][0, 0])


def _patches(likely: Plane) -> list[tuple[float, tuple[int, int, int, int]]]:
    """Patches of writing: probability summed, and box."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats((likely > WRITING).astype(np.uint8))
    found = []
    for label in range(1, count):
        left, top, width, height, area = (int(each) for each in stats[label])
        inside = likely[labels == label]
        if height >= 3 and width >= 4 and area >= 20 and inside.mean() > SURE:
            found.append((float(inside.sum()), (left, top, left + width, top + height)))
    return found


def _beside(one: tuple[float, tuple[int, int, int, int]], two: tuple[float, tuple[int, int, int, int]]) -> bool:
    """Whether two patches lie in one row and are about equally high."""
    (_, top, _, bottom), (_, other_top, _, other_bottom) = one[1], two[1]
    shared = min(bottom, other_bottom) - max(top, other_top)
    return shared > 0.5 * max(bottom - top, other_bottom - other_top)


@cache
def _finder() -> Any:
    """The finder, its model taken from the installed rapidocr without importing that."""
    import onnxruntime

    place = importlib.util.find_spec("rapidocr")
    folders = list(place.submodule_search_locations or []) if place else []
    models = sorted(model for folder in folders for model in (Path(folder) / "models").glob("*_det_*.onnx"))
    if not models:
        raise FileNotFoundError("rapidocr's text finder is missing: install floatbowl with its extra 'photo'")
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 2
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(str(models[0]), options, providers=["CPUExecutionProvider"])
