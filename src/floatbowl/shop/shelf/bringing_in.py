"""Tables sent by page: kept until what they leave open is answered, then brought in whole, or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from django.db import transaction
from django.utils import timezone

from floatbowl.shelf.supplier_list import Asked
from floatbowl.shop.models import SentFile, Supplier
from floatbowl.shop.shelf.importing import BroughtIn, bring_in_counts, bring_in_sales
from floatbowl.shop.shelf.price_lists import PricesIn, bring_in_prices
from floatbowl.shop.shelf.tables import Cell, cells_of, read_table
from floatbowl.shop.shelf.things import things_now

COUNTS, SALES, PRICES = "counts", "sales", "prices"
MOST_BYTES: Final = 5 * 1024 * 1024
#: A table nobody answered for is forgotten after so many days.
KEPT_DAYS: Final = 2
ROWS_SHOWN: Final = 6
LONGEST_ROW: Final = 200


@dataclass(frozen=True, slots=True)
class FirstRows:
    """The first rows of a table: as cells, or as text where it is not known yet what stands between its columns."""

    cells: tuple[tuple[str, ...], ...] = ()
    text: tuple[str, ...] = ()


def keep_file(
    what: str, name: str, data: bytes, *, who: str, day: date | None = None, supplier: Supplier | None = None
) -> SentFile:
    """Keep a table that was sent, and forget those that nobody answered for."""
    SentFile.objects.filter(at__lt=timezone.now() - timedelta(days=KEPT_DAYS)).delete()
    return SentFile.objects.create(what=what, name=name[:200], data=data, day=day, supplier=supplier, who=who)


def bring_in(file: SentFile, answers: Mapping[str, str]) -> BroughtIn | PricesIn | Asked:
    """Bring a table in, or say what must be asked first. Raises ``Refused``; then nothing is brought in.

    What was brought in is not kept any longer; what was refused neither, since it must be corrected and sent anew.
    """
    with transaction.atomic():
        found = _brought_in(file, answers)
        if not isinstance(found, Asked):
            file.delete()
    return found


def _brought_in(file: SentFile, answers: Mapping[str, str]) -> BroughtIn | PricesIn | Asked:
    data, who = bytes(file.data), file.who
    if file.what == PRICES:
        supplier = file.supplier.name if file.supplier else ""
        return bring_in_prices(file.name, data, supplier, answers, who, file.day or timezone.localdate())
    cells = cells_of(file.name, data, answers)
    if isinstance(cells, Asked):
        return cells
    table = read_table(cells, answers)
    if isinstance(table, Asked):
        return table
    if file.what == COUNTS:
        return bring_in_counts(table, things_now(), who, file.day, or_say=", or fill in “Counted on”")
    return bring_in_sales(table, things_now(), who, answers)


def first_rows(file: SentFile, answers: Mapping[str, str]) -> FirstRows:
    """The first rows, to be looked at beside a question."""
    cells = cells_of(file.name, bytes(file.data), answers)
    if isinstance(cells, Asked):
        text = bytes(file.data[: ROWS_SHOWN * LONGEST_ROW]).decode("utf-8-sig", errors="replace")
        return FirstRows(text=tuple(line[:LONGEST_ROW] for line in text.splitlines()[:ROWS_SHOWN]))
    return FirstRows(cells=tuple(tuple(map(_shown, row)) for row in cells[:ROWS_SHOWN]))


def _shown(cell: Cell) -> str:
    return "" if cell is None else str(cell)[:LONGEST_ROW]
