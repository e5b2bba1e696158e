"""Clean lettering of the ISO 3098 shape, printed dark on light: every number must be read, every dot too.

    python -m benchmarks.recogniser.clean [COUNT]

Drawn twice: from strokes of our own (``iso_3098.csv``: letters ten high, pen a tenth of that, gaps two tenths, as the
standard's type B has them; the strokes themselves from memory), and, where ``benchmarks.plates.fonts`` was run, in
osifont, a font of that shape that nothing was trained on. Numbers are those of a catalogue of its own seed. Characters
wrong are counted by rapidfuzz's Levenshtein distance.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont
from rapidfuzz.distance import Levenshtein

from benchmarks.plates import fonts, texts
from floatbowl.photo.channels import line_channels
from floatbowl.photo.reading import read_line

Picture = npt.NDArray[np.float32]
Line = list[tuple[float, float]]
SEED: Final = 41
FONT: Final = "osifont.ttf"
STROKES: Final = Path(__file__).with_name("iso_3098.csv")
SIZE, MARGIN = 84, 16
#: Pixels of a tenth of a capital's height, of the drawing before it is reduced.
TENTH, FINER = 6, 3
#: Width of the pen and gap between characters, in tenths.
PEN, GAP = 1.0, 2.0
DARK, LIGHT = 30, 225


@cache
def _letters() -> dict[str, tuple[float, tuple[Line, ...]]]:
    """Width and lines of each character, x right and y up from the base line, in tenths of a capital's height."""
    with STROKES.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    return {row["character"]: (float(row["width"]), tuple(map(_line, _parts(row["strokes"])))) for row in rows}


def _parts(strokes: str) -> list[str]:
    return [part for part in strokes.split(";") if part.strip()]


def _line(part: str) -> Line:
    kind, *rest = part.split()
    numbers = [float(each) for each in rest]
    if kind == "line":
        return list(zip(numbers[::2], numbers[1::2], strict=True))
    x, y, wide, high, begin, end = numbers
    turns = np.radians(np.linspace(begin, end, 40))
    return list(zip((x + wide * np.cos(turns)).tolist(), (y + high * np.sin(turns)).tolist(), strict=True))


def stroked(text: str) -> Picture:
    """The text drawn with a round pen, as brightness from 0 to 1."""
    scale = TENTH * FINER
    edge = MARGIN * FINER
    letters = [_letters()[character] for character in text]
    wide = sum(width + GAP for width, _ in letters) - GAP
    picture = Image.new("L", (round(wide * scale) + 2 * edge, 10 * scale + 2 * edge), LIGHT)
    pen = ImageDraw.Draw(picture)
    left = 0.0
    for width, lines in letters:
        for line in lines:
            points = [(edge + (left + x) * scale, edge + (10 - y) * scale) for x, y in line]
            pen.line(points, DARK, round(PEN * scale), joint="curve")
            for x, y in (points[0], points[-1]):
                half = PEN * scale / 2
                pen.ellipse((x - half, y - half, x + half, y + half), DARK)
        left += width + GAP
    small = picture.resize((picture.width // FINER, picture.height // FINER), Image.Resampling.BOX)
    return np.asarray(small, np.float32) / np.float32(255)


def printed(text: str, font: ImageFont.FreeTypeFont) -> Picture:
    """The text in a font, as brightness from 0 to 1."""
    _, top, _, bottom = font.getbbox("K0/" + text)
    wide = font.getbbox(text)[2]
    picture = Image.new("L", (round(wide) + 2 * MARGIN, round(bottom - top) + 2 * MARGIN), LIGHT)
    ImageDraw.Draw(picture).text((MARGIN, MARGIN - top), text, DARK, font=font)
    return np.asarray(picture, np.float32) / np.float32(255)


def read(picture: Picture) -> str:
    return read_line(line_channels(picture, np.zeros((0, 1, 1), np.float32))).text


def told(name: str, numbers: tuple[str, ...], drawn: Callable[[str], Picture]) -> None:
    pairs = [(number, read(drawn(number))) for number in numbers]
    rate = sum(Levenshtein.distance(was, number) for number, was in pairs) / sum(map(len, numbers))
    exact = sum(texts.normalised(was) == texts.normalised(number) for number, was in pairs)
    strict = sum(was == number for number, was in pairs)
    print(f"{name}: {exact} of {len(pairs)} read exactly, {strict} with every separator")
    print(f"character error rate, separators counted: {rate:.4f}", *(p for p in pairs if p[0] != p[1]), sep="\n")


def main(count: int) -> None:
    numbers = texts.catalogue(SEED, count)
    told("strokes of our own", numbers, stroked)
    try:
        path = next(path for path in fonts.shelf("test") if Path(path).name == FONT)
    except FileNotFoundError as fault:
        print(f"osifont is left out: {fault}")
        return
    font = ImageFont.truetype(path, SIZE)
    told("osifont", numbers, lambda text: printed(text, font))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
