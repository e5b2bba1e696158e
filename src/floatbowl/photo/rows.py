"""Where the row of characters lies on a straightened plate, by the text finder that comes with rapidocr.

Its model (PP-OCR, text detection by differentiable binarisation: M. Liao and others, AAAI 2020) gives for each pixel
the probability that it lies in the middle of writing.
"""

from __future__ import annotations

import importlib.util
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
#: The finder marks the middle of a row: the row is this share of its height wider all round.
SPREAD: Final = 0.5


def propose_line(*straight: Pixels) -> Matrix | None:
    """Four corners ``[4, 2]`` around the row of characters, from the top left clockwise; None when none is found.

    ``straight`` are pictures of the same straightened plate (the plain one, the relief): the surest finding counts.
    """
    found = [row for picture in straight if (row := _row(picture)) is not None]
    if not found:
        return None
    left, top, right, bottom = max(found, key=lambda each: each[0])[1]
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


def _row(picture: Pixels) -> tuple[float, tuple[float, float, float, float]] | None:
    """How much writing the best row has, and its box: left, top, right, bottom."""
    height, width = picture.shape[:2]
    likely = writing(picture)
    patches = _patches(likely)
    if not patches:
        return None
    rows = [[other for other in patches if _beside(patch, other)] for patch in patches]
    best = max(rows, key=lambda row: sum(each[0] for each in row))
    boxes = np.array([each[1] for each in best])
    spread = SPREAD * float(np.median(boxes[:, 3] - boxes[:, 1]))
    low, high = boxes[:, :2].min(axis=0) - spread, boxes[:, 2:].max(axis=0) + spread
    scale = np.array([width, height]) / np.array(likely.shape[::-1])
    if not LOWEST < (high[1] - low[1]) / len(likely) < HIGHEST:
        return None
    (left, top), (right, bottom) = np.maximum(low * scale, 0), np.minimum(high * scale, [width, height])
    return sum(each[0] for each in best), (left, top, right, bottom)


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
