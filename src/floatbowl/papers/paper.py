"""What every printed paper shares: page sizes, cautions, text made fit for paper, the square code, and printing itself.

What people typed goes into a template as data, never as markup, so that no sign in it can act.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, Literal

import segno
import typst

from floatbowl.papers.typeface import fonts, unprintable

Page = Literal["A4", "Letter"]
PAGES: Final = {"A4": "a4", "Letter": "us-letter"}

#: What several templates import.
SHARED_TEMPLATES: Final = ("parts.typ", "labels.typ", "sums.typ")

#: Longest text put in the square code; longer ones make a square too fine to scan from a creased paper.
LONGEST_CODE: Final = 64
#: A word longer than this may be broken anywhere, so that it stays in its column.
LONGEST_WORD: Final = 18
BREAK_HERE: Final = "\u200b"
#: The time of printing is never written into a paper, or no reprint would have the same bytes; a paper without a date
#: carries none at all.
NO_DAY: Final = date(1980, 1, 1)


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind, and whose rule decides. Raises ``ValueError`` when either is missing."""

    says: str
    rule: str

    def __post_init__(self) -> None:
        if not self.says.strip() or not self.rule.strip():
            raise ValueError(f"caution {self.says!r}: say what to mind and name whose rule decides")


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do, with the cautions that belong to it."""

    says: str
    cautions: tuple[Caution, ...] = ()


def known_page(page: str) -> str:
    """The page size by the compiler's name; raises ``ValueError`` that lists those there are."""
    if page not in PAGES:
        raise ValueError(f"page {page!r}: choose one of {', '.join(PAGES)}")
    return PAGES[page]


def known_choice(name: str, chosen: str, choices: Iterable[str]) -> str:
    """``chosen`` when it is one of the choices or empty; raises ``ValueError`` that lists them."""
    if chosen and chosen not in choices:
        raise ValueError(f"{name} {chosen!r}: choose one of {', '.join(choices)}, or leave it empty")
    return chosen


def with_own(own: tuple[Caution, ...], more: tuple[Caution, ...]) -> tuple[Caution, ...]:
    """The paper's own cautions, which are always printed, then those handed in; none twice."""
    return tuple(dict.fromkeys((*own, *more)))


def as_data(paper: Any, worked_out: Mapping[str, Any] = MappingProxyType({})) -> dict[str, Any]:
    """What a template reads of a paper's dataclass: every text cleaned, every date as year, month and day.

    ``worked_out`` is added to the paper's own fields and made fit for paper as they are. ``has_unprintable`` tells
    whether some sign is not in the typeface, so that the paper can own up to it.
    Raises ``ValueError`` when the paper's page size is not known.
    """
    typed = asdict(paper) | dict(worked_out)
    unknown_signs = unprintable(json.dumps(_cleaned(typed, breakable=False), ensure_ascii=False))
    return dict(_cleaned(typed)) | {"page": known_page(paper.page), "has_unprintable": bool(unknown_signs)}


def printed(template: str, data: Mapping[str, Any], day: date | None) -> bytes:
    """The paper as a PDF: the template of that name in this folder, fed with ``data``; same data, same bytes."""
    day = day or NO_DAY
    midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
    files: Any = {"main.typ": _template(template)} | {name: _template(name) for name in SHARED_TEMPLATES}
    inputs = {"paper": json.dumps(data)}
    pdf: bytes = typst.compile(files, format="pdf", font_paths=fonts(), sys_inputs=inputs, timestamp=midnight)
    return pdf


def square_code(text: str, longest: int = LONGEST_CODE) -> str:
    """A square code of ``text`` as SVG; empty when there is none or it is too long to scan."""
    if not text or len(text) > longest or unprintable(text):
        return ""
    return str(segno.make(text, micro=False, error="m").svg_inline(border=0, scale=4))


@cache
def _template(name: str) -> bytes:
    return (resources.files(__package__) / name).read_bytes()


def _cleaned(value: Any, breakable: bool = True) -> Any:
    """The same values with every text made fit for paper."""
    if isinstance(value, dict):
        return {key: _cleaned(inner, breakable) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_cleaned(inner, breakable) for inner in value]
    if isinstance(value, date):
        return [value.year, value.month, value.day]
    if isinstance(value, Decimal):
        return f"{value:f}"
    return _printable_text(value, breakable) if isinstance(value, str) else value


def _printable_text(text: str, breakable: bool) -> str:
    """Without control signs and lone surrogates; over-long words may break after every sign."""
    kept = "".join(sign if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cs") else " " for sign in text)
    if not breakable:
        return kept.strip()
    return re.sub(rf"\S{{{LONGEST_WORD + 1},}}", lambda word: BREAK_HERE.join(word[0]), kept).strip()
