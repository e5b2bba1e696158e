"""The columns of each table, worked out from the dataclasses: how a cell becomes a value and a value a cell."""

from __future__ import annotations

import math
import re
from dataclasses import MISSING, dataclass, fields
from functools import cache
from typing import Any, Final, Literal

from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import Feature, Mark, key_fields
from floatbowl.reference.fault import shown

Sort = Literal["text", "float", "int"]
Value = str | float | int | None

#: Text fields that are names of something without being part of a row's key.
NAMING: Final = frozenset({"maker", "with_", "source", "value"})
#: Fields of a fact that no cell fills.
NOT_COLUMNS: Final = frozenset({"extra", "line"})
#: Columns that come last in every written table.
TRAILING: Final = ("source", "page", "doubt")
DEVICE: Final = re.compile(r"\{[^{}]+\}")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: ``needed`` must be there, ``filled`` cells must not be empty, ``named`` cells are stripped."""

    name: str
    field: str
    sort: Sort
    needed: bool
    filled: bool
    named: bool
    default: Value
    words: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    is_mark: bool = False

    def read(self, cell: str) -> Value:
        """The value of a cell; ValueError says what is wrong with it and what to do."""
        text = cell.strip() if self.named else cell
        if not text or (self.sort != "text" and not text.strip()):
            if self.filled:
                raise ValueError("is empty; fill it in or leave the row out")
            return self.default
        if self.sort != "text":
            return self._number(text.strip())
        if self.words and text not in self.words:
            raise ValueError(f"{shown(text)} is not one of {', '.join(self.words)}; write one of these")
        if self.is_mark:
            refuse_unreadable_mark(text)
        return text

    def _number(self, text: str) -> float | int:
        value = number(text)
        if self.low is not None and value < self.low:
            raise ValueError(f"{shown(text)} is below {self.low:g}; check the number")
        if self.high is not None and value > self.high:
            raise ValueError(f"{shown(text)} is above {self.high:g}; check the number")
        if self.sort == "int":
            if value != int(value):
                raise ValueError(f"{shown(text)} is not a whole number; write one without a fraction")
            return int(value)
        return value


def number(text: str) -> float:
    """A finite number written with a decimal point; ValueError asks what was meant instead of guessing.

    >>> number(".156")
    0.156
    >>> number("60,5")
    Traceback (most recent call last):
    ValueError: '60,5' has a comma: for a decimal comma write 60.5, else leave out the comma
    """
    try:
        value = float(text)
    except ValueError:
        if re.fullmatch(r"[+-]?\d*,\d+", text):
            meant = text.replace(",", ".")
            raise ValueError(
                f"{shown(text)} has a comma: for a decimal comma write {meant}, else leave out the comma"
            ) from None
        raise ValueError(f"{shown(text)} is not a number; write digits with a decimal point") from None
    if not math.isfinite(value) or "_" in text or not text.isascii():
        raise ValueError(f"{shown(text)} is not a plain number; write digits with a decimal point")
    return value


def refuse_unreadable_mark(text: str) -> None:
    """ValueError for a mark nobody could read: no letter, digit or device, or a device that is not closed."""
    rest = DEVICE.sub("", text)
    if "{" in rest or "}" in rest:
        raise ValueError(f"{shown(text)} has a brace without its partner; write a device as {{RING}}")
    if rest == text and not any(character.isalnum() for character in text):
        raise ValueError(f"{shown(text)} has no letter, digit or device; write what the mark says")


def cell_of(value: Value) -> str:
    """A value as a cell that reads back as the same value.

    >>> cell_of(25.0), cell_of(0.1), cell_of(None)
    ('25', '0.1', '')
    """
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return value if isinstance(value, str) else repr(value)


def columns_of(kind: type[Fact]) -> tuple[Column, ...]:
    """The columns of a table in the order they are written."""
    hashable: Any = kind  # mypy takes the rows' own __hash__ for the class's
    return _columns_of(hashable)


@cache
def _columns_of(kind: Any) -> tuple[Column, ...]:
    columns = [_column(kind, f) for f in fields(kind) if f.name not in NOT_COLUMNS]
    last = [column for column in columns if column.name in TRAILING and not column.needed]
    return tuple([column for column in columns if column not in last] + last)


def _column(kind: type[Fact], f: Any) -> Column:
    words = f.metadata.get("words", ())
    is_key = f.name in key_fields(kind)
    sort: Sort = "float" if "float" in f.type else "int" if "int" in f.type else "text"
    required = bool(f.metadata.get("required")) or (is_key and f.name == "source")
    must_fill = required and (is_key or sort != "text" or bool(words) or (kind is Feature and f.name == "value"))
    blank: Value = "" if sort == "text" else None
    return Column(
        name=f.name.rstrip("_"),
        field=f.name,
        sort=sort,
        needed=required,
        filled=must_fill,
        named=sort == "text" and (is_key or bool(words) or f.name in NAMING),
        default=blank if f.default is MISSING else f.default,
        words=words,
        low=f.metadata.get("low"),
        high=f.metadata.get("high"),
        is_mark=kind is Mark and f.name == "text",
    )
