"""What the machine reads in a set of photographs: the only door from the pages to ``floatbowl.photo.reading``."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floatbowl.reference.observed import Cell
from floatbowl.shop.photographs import looking
from floatbowl.shop.photographs.errors import CannotLookError

if TYPE_CHECKING:
    from floatbowl.photo.sets import PhotoSet as WholeSet

NO_READER = (
    "The characters cannot be read by machine here: the part that reads them is not installed. Add what you see, a box "
    "for each character."
)
#: What has a picture left out of the reading, so that it must be told beside it.
LEFT_OUT = ("another plate", "moved")

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Found:
    """What was read; ``confidence`` is the calibrated chance that ``text`` is right, ``says`` what to mind."""

    text: str
    cells: tuple[Cell, ...]
    confidence: float
    form: str | None = None
    says: str = ""


def read(whole: WholeSet) -> Found:
    """Read a set. Raises CannotLookError where no reader is installed, KeepingError where there is no line to read."""
    with looking.plain_words():
        try:
            from floatbowl.photo.reading import read_set

            found = read_set(whole)
        except (ImportError, RuntimeError) as missing:
            _log.warning("No reader: %s", missing)
            raise CannotLookError(NO_READER) from missing
    says = " ".join(dict.fromkeys(fault.says for fault in found.faults if fault.kind in LEFT_OUT))
    return Found(found.text, tuple(found.cells), float(found.confidence), found.form, says)
