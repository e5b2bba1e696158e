"""What every row of a table carries, and the words its columns are declared with."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


def key(**more: Any) -> Any:
    """A required column that is part of the row's name."""
    return field(metadata={"required": True, "key": True, **more})


def needed(**more: Any) -> Any:
    """A required column that is not part of the row's name."""
    return field(metadata={"required": True, **more})


def one_of(words: tuple[str, ...]) -> Any:
    """An optional column that holds one of a few words."""
    return field(default="", metadata={"words": words})


def numbered(low: float | None = None, high: float | None = None) -> Any:
    """An optional number between two bounds."""
    return field(default=None, metadata={"low": low, "high": high})


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """What every row may carry: where it was learnt, how doubtful it is, and columns of the shop's own."""

    source: str = ""
    page: str = ""
    doubt: str = ""
    extra: tuple[tuple[str, str], ...] = ()
    line: int = field(default=0, compare=False)
