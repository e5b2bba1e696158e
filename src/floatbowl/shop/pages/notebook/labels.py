"""What tables and columns are called on the pages: plain words from ``labels.toml``."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def _words() -> dict[str, dict[str, Any]]:
    text = files(__package__).joinpath("labels.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def one(table: str) -> str:
    """A single row of the table, as it is called."""
    return str(_words()[table]["one"])


def many(table: str) -> str:
    """The table's rows together, as they are called."""
    return str(_words()[table]["many"])


def label(table: str, column: str) -> str:
    """What a column is called; its own name, should nobody have found it one."""
    return _word(table, column, "label") or column.replace("_", " ")


def hint(table: str, column: str) -> str:
    """What stands under the field while it is edited."""
    return _word(table, column, "hint")


def _word(table: str, column: str, which: str) -> str:
    words = _words()
    for group in (words.get(table, {}), words["columns"]):
        if isinstance(group.get(column), dict):
            return str(group[column].get(which, ""))
    return ""
