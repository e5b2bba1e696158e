from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from benchmarks.grammar import check_letter
from benchmarks.plates import fonts, texts


def test_catalogue_has_distinct_numbers_and_follows_its_seed() -> None:
    numbers = texts.catalogue(3, 2000)
    assert len({texts.normalised(number) for number in numbers}) == 2000
    assert numbers == texts.catalogue(3, 2000)
    assert numbers != texts.catalogue(4, 2000)
    assert {character for number in numbers for character in number} <= set(texts.ALPHABET)


def test_check_letters_hold() -> None:
    checked = [number for number in texts.catalogue(5, 500) if number[:3] in ("RIN", "BAR", "STA")]
    assert len(checked) > 50
    for number in checked:
        digits, letter, _ = number.split(" ")[1].split("-")
        assert letter == check_letter(digits + "-k")


def test_training_strings_are_broad() -> None:
    rng = np.random.default_rng(1)
    strings = [texts.any_text(rng) for _ in range(3000)]
    assert {len(text) for text in strings} == set(range(3, 15))
    assert {character for text in strings for character in text} == set(texts.ALPHABET)
    for text in strings:
        assert text[0] not in texts.SEPARATORS
        assert text[-1] not in texts.SEPARATORS
        assert not any(a in texts.SEPARATORS and b in texts.SEPARATORS for a, b in pairwise(text))


def test_training_and_scoring_share_no_family() -> None:
    rows = fonts.sources()
    train = {row.package for row in rows if row.use == "train"}
    test = {row.package for row in rows if row.use == "test"}
    assert train
    assert test
    assert not train & test
    assert all(row.licence and all(row.files) for row in rows)


def test_missing_fonts_say_how_to_get_them(tmp_path) -> None:
    with pytest.raises(FileNotFoundError, match="run python -m"):
        fonts.shelf("train", str(tmp_path))
