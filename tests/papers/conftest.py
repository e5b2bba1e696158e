"""Reading a printed paper as somebody would check it: the words of each page."""

import io
import re
from collections.abc import Callable
from functools import lru_cache

import pytest
from pypdf import PdfReader

Reader = Callable[[bytes], list[str]]


@lru_cache(maxsize=32)
def _pages(pdf: bytes) -> list[str]:
    """The words of each page, with the places where a word may break taken out."""
    return [re.sub(r"\s+", " ", page.extract_text().replace("\u200b", "")) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.fixture(scope="session")
def pages() -> Reader:
    return _pages


@pytest.fixture(scope="session")
def words() -> Callable[[bytes], str]:
    return lambda pdf: " ".join(_pages(pdf))


@pytest.fixture(scope="session")
def squeezed() -> Callable[[bytes], str]:
    """All words without their spaces, since a line may end anywhere between two."""
    return lambda pdf: re.sub(r"\s+", "", "".join(_pages(pdf)))
