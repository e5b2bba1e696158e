"""The characters that marks are made of, and their columns in a matrix of probabilities over places of a line."""

from __future__ import annotations

import re
from typing import Final

import numpy as np
import numpy.typing as npt

CHARACTERS: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ/-. *#"
#: Column of "no new character here"; the characters follow in their order.
BLANK: Final = 0
COLUMNS: Final = len(CHARACTERS) + 1
#: Characters that only divide a number: weak evidence.
SEPARATORS: Final = "/-. "

_COLUMN: Final = {character: at + 1 for at, character in enumerate(CHARACTERS)}
_BY_CODE: Final = np.array([_COLUMN.get(chr(code), 0) for code in range(128)], np.int32)
_MISTAKEN: Final = re.compile(r"(?<=[0-9])[IOQ]|[IOQ](?=[0-9])")
_UNDIVIDED: Final = re.compile(r"[0-9](?=[A-Z])")
_DEVICE: Final = re.compile(r"\{[^{}]*\}")


def columns_of(text: str) -> npt.NDArray[np.int32]:
    """The columns of a text's characters. Raises ``ValueError`` for a character that no mark has.

    >>> columns_of("01/").tolist()
    [1, 2, 37]
    """
    codes = np.frombuffer(text.encode("utf-32-le", "surrogatepass"), np.uint32)
    columns = np.where(codes < len(_BY_CODE), _BY_CODE[np.minimum(codes, len(_BY_CODE) - 1)], 0).astype(np.int32)
    if not columns.all():
        raise ValueError(f"no mark has the character {text[int(columns.argmin())]!r}")
    return columns


def text_of(columns: npt.NDArray[np.int32] | list[int]) -> str:
    """Columns back to text.

    >>> text_of(columns_of("K36/118"))
    'K36/118'
    """
    return "".join(CHARACTERS[at - 1] for at in columns)


def as_cut(text: str) -> str:
    """A mark's text as it can stand on a casting: capitals, devices (``{RING}``) and strange characters left out.

    >>> as_cut("{RING} 206-d-3")
    '206-D-3'
    """
    plain = _DEVICE.sub(" ", text).upper()
    return " ".join("".join(c if c in _COLUMN else " " for c in plain).split())


def unusual(text: str) -> tuple[int, int]:
    """How often a text has an I, O or Q beside a digit, and how often a letter right after a digit.

    Makers avoid the first, which are taken for 1 and 0 (common practice), and mostly divide the second.

    >>> unusual("K26/57I"), unusual("STAR 3I2"), unusual("RING 206-D-3"), unusual("A396 51E")
    ((1, 1), (1, 1), (0, 0), (0, 1))
    """
    return len(_MISTAKEN.findall(text)), len(_UNDIVIDED.findall(text))


def without_separators(text: str) -> str:
    """
    >>> without_separators("81 204-55")
    '8120455'
    """
    return "".join(character for character in text if character not in SEPARATORS)
