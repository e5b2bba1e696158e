"""Prices of a supplier's list, each with a key of its own, so that the same list read twice is not there twice."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """One price of one part from one supplier, for ``from_quantity`` pieces or more, sold in packs of ``pack``.

    ``price`` is as listed and pays for ``price_is_for`` pieces: one, or the pack.
    """

    supplier: str
    part: str
    price: Decimal
    currency: str
    name: str = ""
    pack: int = 1
    price_is_for: int = 1
    from_quantity: int = 1
    line: int = 0

    @property
    def key(self) -> str:
        """The row's own name: supplier, part number, pack and quantity; not its price, which may change."""
        named = "\x1f".join((self.supplier, self.part, str(self.pack), str(self.from_quantity)))
        return hashlib.sha256(named.encode()).hexdigest()[:32]

    @property
    def each(self) -> Fraction:
        """The price of one piece, exactly."""
        return Fraction(self.price) / self.price_is_for

    @property
    def says(self) -> tuple[Fraction, str, str]:
        """What may change: 1.5 and 1.50 are the same price, and so are 3.00 for two."""
        return self.each, self.currency, self.name


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A row of the list that gives no price, and why."""

    line: int
    why: str


@dataclass(frozen=True, slots=True)
class PriceList:
    """All prices of a list, and the rows that gave none."""

    rows: tuple[PriceRow, ...]
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True, slots=True)
class Arrived:
    """A list beside what is known: new rows, changed ones (known, new), unchanged ones, and those it has no more."""

    new: tuple[PriceRow, ...]
    changed: tuple[tuple[PriceRow, PriceRow], ...]
    same: tuple[PriceRow, ...]
    gone: tuple[PriceRow, ...]


def beside_known(known: Iterable[PriceRow], read: PriceList) -> Arrived:
    """What a list changes: read a second time, all of it is the same and nothing is new."""
    before = {row.key: row for row in known}
    now = {row.key: row for row in read.rows}
    both = [(before[key], row) for key, row in now.items() if key in before]
    return Arrived(
        new=tuple(row for key, row in now.items() if key not in before),
        changed=tuple((old, row) for old, row in both if old.says != row.says),
        same=tuple(row for old, row in both if old.says == row.says),
        gone=tuple(row for key, row in before.items() if key not in now),
    )
