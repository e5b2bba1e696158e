"""What the office papers of the tests are about: one invented sale."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from floatbowl.money.document import Invoice
from floatbowl.money.lines import Line
from floatbowl.money.tax import Rate, TaxRule

Words = Callable[[bytes], str]
STANDARD, REDUCED, ZERO = Rate("standard", Decimal(20)), Rate("reduced", Decimal(5)), Rate("zero", Decimal(0))
TO = "Wil Harrowgate\nUpper Lodge"
HEAD: dict[str, Any] = {"shop_name": "Nettlebeck Carburettor Room", "tax_number": "VAT number 000 0000 00"}


def kit(price: str = "1200") -> Line:
    """A full kit."""
    return Line(says="Tarnsyke K36 full kit", quantity=Decimal(1), unit_price=Decimal(price), rate=STANDARD)


def seats(count: int = 2, price: str = "6.50") -> Line:
    """So many needle seats."""
    return Line(says="Needle seat", quantity=Decimal(count), unit_price=Decimal(price), rate=STANDARD)


def postage() -> Line:
    """Postage, at the reduced rate."""
    return Line(says="Postage", quantity=Decimal(1), unit_price=Decimal("5.20"), rate=REDUCED)


def invoice(*lines: Line, **more: Any) -> Invoice:
    """The invoice of these lines."""
    told = {"number": "I-0077", "issued": date(2026, 12, 1), "to": TO, "currency": "GBP", "rule": TaxRule()}
    return Invoice(lines=lines, **(told | more))
