"""A supplier's price list into the shelf: each price with its day, and rows whose item nobody here knows told."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db import transaction

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_list import Asked
from floatbowl.shelf.supplier_prices import PriceRow
from floatbowl.shop.models import Supplier, SupplierPrice
from floatbowl.shop.shelf.buying import write_price
from floatbowl.shop.shelf.price_columns import ReadPrices, read_prices
from floatbowl.shop.shelf.tables import cells_of
from floatbowl.shop.shelf.things import Named, things_now


@dataclass(slots=True)
class PricesIn:
    """Prices that were new or known, and rows and columns left out with the reason."""

    new: int = 0
    known: int = 0
    left_out: list[str] = field(default_factory=list)


def bring_in_prices(
    name: str, data: bytes, supplier: str, answers: Mapping[str, str], who: str, since: date
) -> PricesIn | Asked:
    """Read a list and keep its prices; a list read twice changes nothing. Raises ``Refused``.

    A row belongs to the item that our own number names, where the list has ours; else to the one that this supplier's
    number was written down for, or whose own number it is.
    """
    found = Supplier.objects.filter(name__iexact=supplier.strip()).first()
    if found is None:
        raise Refused(f"{supplier!r} is no supplier here; write them down on the Suppliers page first")
    cells = cells_of(name, data, answers)
    if isinstance(cells, Asked):
        return cells
    read = read_prices(cells, supplier=found.name, answers=answers, currency=found.currency)
    if isinstance(read, Asked):
        return read
    done = PricesIn(left_out=[f"line {row.line}: {row.why}" for row in read.prices.left_out])
    named_by = _named_by(found, read)
    with transaction.atomic():
        by_item: dict[Named, list[PriceRow]] = {}
        for row in read.prices.rows:
            named = named_by(row)
            if named is None:
                called = read.ours.get(row.line) or row.part
                done.left_out.append(f"line {row.line}: {called} is not known to be any kit or part of ours")
            else:
                by_item.setdefault(named, []).append(row)
        for named, rows in by_item.items():
            new = _keep_all(found, named, rows, since, who, read.has_theirs)
            done.new, done.known = done.new + new, done.known + len(rows) - new
    done.left_out += read.left_out
    return done


def _named_by(supplier: Supplier, read: ReadPrices) -> Callable[[PriceRow], Named | None]:
    """Which item a row of the list is of; None for one that nobody here knows."""
    ours = _our_numbers()
    known = ours | _their_numbers(supplier)

    def named(row: PriceRow) -> Named | None:
        own = read.ours.get(row.line, "").casefold()
        return ours.get(own) if own else known.get(row.part.casefold())

    return named


def _keep_all(
    supplier: Supplier, named: Named, rows: Sequence[PriceRow], since: date, who: str, has_theirs: bool
) -> int:
    """Keep an item's prices of one list; returns how many were new: none where they hold on that day already.

    The supplier's number is kept with them where the list has it. Prices of one day belong together, so that all of
    them are written where one differs.
    """
    told = {(row.pack, row.from_quantity): _each(row) for row in rows}
    if told == _held_on(supplier, named, since):
        return 0
    return sum(
        write_price(
            supplier, named, _each(row), since=since, who=who, pack=row.pack, from_pieces=row.from_quantity,
            number=row.part if has_theirs else "",
        )
        for row in rows
    )  # fmt: skip


def _each(row: PriceRow) -> Decimal:
    """The price of one piece, to the places that are kept."""
    return (Decimal(row.each.numerator) / Decimal(row.each.denominator)).quantize(Decimal("0.0001"))


def _held_on(supplier: Supplier, named: Named, day: date) -> dict[tuple[int, int], Decimal]:
    """The prices that hold on a day, by pack and from how many pieces: those of the latest day until then."""
    rows = supplier.prices.filter(item__kind=named[0], item__key=named[1], since__lte=day).order_by("since", "pk")
    latest = rows.last()
    held = rows.filter(since=latest.since) if latest else rows
    return {(row.pack, row.from_pieces): row.price for row in held}


def _our_numbers() -> dict[str, Named]:
    """Numbers of ours that name one thing only."""
    ours: dict[str, list[Named]] = {}
    for named in things_now().all:
        ours.setdefault(named[1].casefold(), []).append(named)
    return {key: names[0] for key, names in ours.items() if len(names) == 1}


def _their_numbers(supplier: Supplier) -> dict[str, Named]:
    """The supplier's own numbers, as they were written down for things of ours."""
    theirs = SupplierPrice.objects.filter(supplier=supplier).exclude(number="").order_by("pk")
    return {
        number.casefold(): (kind, key) for number, kind, key in theirs.values_list("number", "item__kind", "item__key")
    }
