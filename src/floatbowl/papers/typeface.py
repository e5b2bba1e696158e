"""The one typeface every paper is set in, and which signs it has.

Source Sans 3 (SIL Open Font License 1.1, see ``fonts/OFL.txt``), unmodified: Latin, Greek and Cyrillic. The fonts of
the machine are never used, so that a paper looks the same on every counter's computer.
"""

from __future__ import annotations

import struct
from functools import cache
from importlib import resources
from typing import Final

import typst

FAMILY: Final = "Source Sans 3"
REGULAR: Final = "SourceSans3-Regular.ttf"
UNICODE_CMAP: Final = (3, 1)
SEGMENTED_CMAP: Final = 4


@cache
def fonts() -> typst.Fonts:
    """The typeface, with the compiler's own embedded faces behind it for scripts it lacks."""
    with resources.as_file(resources.files(__package__) / "fonts") as folder:
        return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder])


def unprintable(text: str) -> str:
    """The signs of ``text`` that the typeface lacks, each once, in order: on paper they may be an empty box.

    >>> unprintable("Łódź Ωμέγα Жук ½ in")
    ''
    >>> unprintable("名前 名")
    '名前'
    """
    return "".join(dict.fromkeys(sign for sign in text if not sign.isspace() and not _has(ord(sign))))


def _has(code: int) -> bool:
    return any(first <= code <= last for first, last in _ranges())


@cache
def _ranges() -> tuple[tuple[int, int], ...]:
    """First and last code of every run of signs (OpenType specification, table ``cmap``, format 4)."""
    font = (resources.files(__package__) / "fonts" / REGULAR).read_bytes()
    at = _cmap_offset(font)
    (twice_segments,) = struct.unpack_from(">H", font, at + 6)
    shape = f">{twice_segments // 2}H"
    lasts = struct.unpack_from(shape, font, at + 14)
    firsts = struct.unpack_from(shape, font, at + 16 + twice_segments)
    return tuple(zip(firsts, lasts, strict=True))[:-1]


def _cmap_offset(font: bytes) -> int:
    """Where the character map of the basic plane starts."""
    (tables,) = struct.unpack_from(">H", font, 4)
    records = (struct.unpack_from(">4s4xII", font, 12 + 16 * n)[:2] for n in range(tables))
    cmap = next(offset for tag, offset in records if tag == b"cmap")
    (encodings,) = struct.unpack_from(">H", font, cmap + 2)
    for n in range(encodings):
        platform, encoding, offset = struct.unpack_from(">HHI", font, cmap + 4 + 8 * n)
        (kind,) = struct.unpack_from(">H", font, cmap + offset)
        if (platform, encoding) == UNICODE_CMAP and kind == SEGMENTED_CMAP:
            return int(cmap + offset)
    raise ValueError(f"{REGULAR}: no character map of format 4; take an unmodified font file")
