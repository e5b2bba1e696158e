"""Clean lettering of the ISO 3098 shape (osifont), printed dark on light: every number must be read.

    python -m benchmarks.recogniser.clean [COUNT]

The font comes with ``benchmarks.plates.fonts`` and was never trained on. Numbers are those of a catalogue of its own
seed. Characters wrong are counted by rapidfuzz's Levenshtein distance.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont
from rapidfuzz.distance import Levenshtein

from benchmarks.plates import fonts, texts
from floatbowl.photo.channels import line_channels
from floatbowl.photo.reading import read_line

SEED: Final = 41
FONT: Final = "osifont.ttf"
SIZE, MARGIN = 84, 16


def printed(text: str, font: ImageFont.FreeTypeFont) -> npt.NDArray[np.float32]:
    """The text, a little softened, as brightness from 0 to 1."""
    _, top, _, bottom = font.getbbox("K0/" + text)
    wide = font.getbbox(text)[2]
    picture = Image.new("L", (round(wide) + 2 * MARGIN, round(bottom - top) + 2 * MARGIN), 225)
    ImageDraw.Draw(picture).text((MARGIN, MARGIN - top), text, 30, font=font)
    return np.asarray(picture, np.float32) / 255


def main(count: int) -> None:
    path = next(path for path in fonts.shelf("test") if Path(path).name == FONT)
    font = ImageFont.truetype(path, SIZE)
    numbers = texts.catalogue(SEED, count)
    wrong, edits, letters_and_digits = [], 0, 0
    for number in numbers:
        read = read_line(line_channels(printed(number, font), np.zeros((0, 1, 1), np.float32))).text
        edits += Levenshtein.distance(read, number)
        letters_and_digits += texts.normalised(read) == texts.normalised(number)
        if read != number:
            wrong.append((number, read))
    rate = edits / sum(map(len, numbers))
    print(f"{letters_and_digits} of {len(numbers)} read exactly, {len(numbers) - len(wrong)} with every separator")
    print(f"character error rate, separators counted: {rate:.4f}", *wrong, sep="\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
