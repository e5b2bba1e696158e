"""Clean lettering of the ISO 3098 shape is read whole, dots beside a 1 and all.

Drawn by ``benchmarks.recogniser.clean`` from strokes of our own; ``python -m benchmarks.recogniser.clean`` reads 200.
"""

from __future__ import annotations

import pytest
from benchmarks.recogniser.clean import read, stroked

#: Every digit and consonant that the invented numbers have, every divider, and dots beside a 1.
NUMBERS = (
    "K36/118", "5.111.1", "RING 206-D-3", "BAR 947-F-8", "STAR 580-G-4", "CMZ-WLP", "HVK-TFB", "N19/613", "1.1.17",
)  # fmt: skip


@pytest.mark.parametrize("number", NUMBERS)
def test_clean_lettering_is_read_with_every_divider(number: str) -> None:
    assert read(stroked(number)) == number
