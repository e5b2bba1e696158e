"""What the stock recogniser reads of each level's plain photographs, by which the levels were set.

``python -m benchmarks.plates.calibrate [COUNT] [SEED] [LEVEL ...]``: the line is cut out by its true corners with a
tenth of its height around it, brought to 48 pixels, and read greedily; "exact" leaves out spaces and separators.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from benchmarks.plates.photographs import Truth, numbered_set
from benchmarks.plates.recipes import LEVELS
from benchmarks.plates.texts import normalised
from floatbowl.photo.alphabet import BLANK, text_of
from floatbowl.photo.stock import read_picture

HIGH = 48


def line_crop(picture: npt.NDArray[np.uint8], line: list[list[float]], margin: float = 0.1) -> npt.NDArray[np.float32]:
    """The line straightened, grey 0..1, with ``margin`` of its height on every side, ``HIGH`` pixels high."""
    quad = np.array(line, dtype=np.float32)
    wide = float(np.linalg.norm(quad[1] - quad[0]) + np.linalg.norm(quad[2] - quad[3])) / 2
    tall = float(np.linalg.norm(quad[3] - quad[0]) + np.linalg.norm(quad[2] - quad[1])) / 2
    inner = HIGH / (1 + 2 * margin)
    edge, long = inner * margin, inner * wide / tall
    corners = [[edge, edge], [edge + long, edge], [edge + long, edge + inner], [edge, edge + inner]]
    matrix = cv2.getPerspectiveTransform(quad, np.array(corners, dtype=np.float32))
    shrink = max(1.0, tall / inner)
    soft = cv2.GaussianBlur(picture, (0, 0), 0.4 * shrink) if shrink > 1.3 else picture
    grey = cv2.cvtColor(soft, cv2.COLOR_RGB2GRAY)
    return cv2.warpPerspective(grey, matrix, (round(long + 2 * edge), HIGH)).astype(np.float32) / 255


def greedy(matrix: npt.NDArray[np.float64]) -> str:
    """The likeliest column at each place, repeats and blanks dropped."""
    best = matrix.argmax(1)
    kept = [int(c) for at, c in enumerate(best) if c != BLANK and (at == 0 or c != best[at - 1])]
    return text_of(kept)


def read_plain(folder: Path, truth: Truth) -> str:
    """What the stock recogniser reads in a set's plain photograph."""
    picture = np.asarray(Image.open(folder / "plain.jpg").convert("RGB"))
    return greedy(read_picture(line_crop(picture, truth.line)))


def main(count: str = "200", seed: str = "1", *levels: str) -> None:
    for level in levels or tuple(LEVELS):
        right, strict = Counter[str](), 0
        with tempfile.TemporaryDirectory() as scratch:
            for place in range(int(count)):
                truth = numbered_set(Path(scratch), level, int(seed), place, raking=0)
                said = read_plain(Path(scratch), truth)
                right[truth.form] += normalised(said) == normalised(truth.text)
                strict += said.replace(" ", "") == truth.text.replace(" ", "")
        half = int(count) / 2
        share = {form: f"{right[form] / half:.3f}" for form in ("stamped", "cast")}
        print(
            f"{level}: exact {right.total() / int(count):.3f} {share}, with separators {strict / int(count):.3f}",
            flush=True,
        )


if __name__ == "__main__":
    main(*sys.argv[1:])
