"""A supplier's price list into the shelf: each price with its day, and rows whose item nobody here knows told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db import transaction

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.supplier_list import Asked, read_list
from floatbowl.shelf.supplier_prices import PriceRow
from floatbowl.shop.models import Supplier, SupplierPrice
from floatbowl.shop.shelf.buying import write_price
from floatbowl.shop.shelf.tables import cells_of
from floatbowl.shop.shelf.things import Named, things_now


@dataclass(slots=True)
class PricesIn:
    """Prices that were new or known, and rows left out with the reason."""

    new: int = 0
    known: int = 0
    left_out: list[str] = field(default_factory=list)


def bring_in_prices(
    name: str, data: bytes, supplier: str, answers: Mapping[str, str], who: str, since: date
) -> PricesIn | Asked:
    """Read a list and keep its prices; a list read twice changes nothing. Raises ``Refused``.

    A row belongs to the item that this supplier's number was written down for, or whose own number it is.
    """
    found = Supplier.objects.filter(name__iexact=supplier.strip()).first()
    if found is None:
        raise Refused(f"{supplier!r} is no supplier here; write them down on the Suppliers page first")
    cells = cells_of(name, data, answers)
    if isinstance(cells, Asked):
        return cells
    plain = [[cell.isoformat() if isinstance(cell, date) else cell for cell in row] for row in cells]
    read = read_list(plain, supplier=found.name, answers=answers, currency=found.currency)
    if isinstance(read, Asked):
        return read
    done = PricesIn(left_out=[f"line {row.line}: {row.why}" for row in read.left_out])
    known = _known_numbers(found)
    with transaction.atomic():
        for row in read.rows:
            named = known.get(row.part.casefold())
            if named is None:
                done.left_out.append(f"line {row.line}: {row.part} is not known to be any kit or part of ours")
            elif _keep(found, named, row, since, who):
                done.new += 1
            else:
                done.known += 1
    return done


def _keep(supplier: Supplier, named: Named, row: PriceRow, since: date, who: str) -> bool:
    """Keep one price; the same as the newest is known, whatever its day."""
    each = Decimal(row.each.numerator) / Decimal(row.each.denominator)
    each = each.quantize(Decimal("0.0001"))
    last = supplier.prices.filter(
        item__kind=named[0], item__key=named[1], pack=row.pack, from_pieces=row.from_quantity
    ).order_by("since", "pk")
    newest = last.last()
    if newest is not None and (newest.price == each or newest.since > since):
        return False
    return write_price(
        supplier, named, each, since=since, who=who, pack=row.pack, from_pieces=row.from_quantity, number=row.part
    )


def _known_numbers(supplier: Supplier) -> dict[str, Named]:
    """Numbers of ours that name one thing only, and the supplier's own, which go first."""
    ours: dict[str, list[Named]] = {}
    for named in things_now().all:
        ours.setdefault(named[1].casefold(), []).append(named)
    found = {key: names[0] for key, names in ours.items() if len(names) == 1}
    theirs = SupplierPrice.objects.filter(supplier=supplier).exclude(number="").order_by("pk")
    found |= {
        number.casefold(): (kind, key) for number, kind, key in theirs.values_list("number", "item__kind", "item__key")
    }
    return found
