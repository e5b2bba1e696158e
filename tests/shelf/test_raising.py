"""All of a supplier's lines may be raised to fill an order: a small case against every order there is, and why."""

from __future__ import annotations

import itertools
from decimal import Decimal
from fractions import Fraction

import pytest

from floatbowl.shelf.fill_order import SupplierLine, Terms, fill_order
from floatbowl.shelf.raising import raised, worth_looking_at

#: Two lines are suggested; four more are sold. The pin is wanted soonest and cheapest; the float has a price break.
LINES = (
    SupplierLine(part="gasket", suggested=7, breaks=((1, Decimal("1.20")),), per_year=24.0, pack=5),
    SupplierLine(part="needle", suggested=2, breaks=((1, Decimal("6.00")), (6, Decimal("5.10"))), per_year=9.0),
    SupplierLine(part="pin", suggested=0, breaks=((10, Decimal("0.30")),), per_year=60.0, position=12.0, pack=10),
    SupplierLine(part="float", suggested=0, breaks=((1, Decimal("9.00")), (3, Decimal("8.40"))), per_year=4.0, pack=1),
    SupplierLine(part="screw", suggested=0, breaks=((1, Decimal("2.00")),), per_year=6.0, position=5.0, pack=2),
    SupplierLine(part="dead", suggested=0, breaks=((1, Decimal("4.00")),), per_year=0.0),
)
TERMS = Terms(minimum=Decimal(60), freight=Decimal("6.50"), freight_free_from=Decimal(80), most_years=1.0)


def keeping(line: SupplierLine, pieces: int) -> Fraction:
    """What a choice costs beyond its goods, in exact fractions and piece by piece: nothing of the module's own sums."""
    base = line.least_pieces
    price = Fraction(line.price(pieces))
    usual = Fraction(line.price(base or line.breaks[0][0]))
    years = sum(
        (Fraction(max(0.0, line.position)) + base + n) / Fraction(line.per_year) for n in range(1, pieces - base + 1)
    )
    return price * Fraction(TERMS.holding_per_year) * years - (usual - price) * pieces


def every_order() -> list[tuple[Fraction, tuple[int, ...], Decimal]]:
    """Every order that reaches the minimum, with what it costs beyond its goods."""
    choices = []
    for line in LINES:
        most = max(line.least_pieces, int(line.per_year * TERMS.most_years - line.position))
        sold = [n for n in range(line.least_pieces, most + 1) if n % line.pack == 0]
        choices.append([n for n in sold if n == line.least_pieces or n >= line.breaks[0][0]])
    found = []
    for pieces in itertools.product(*choices):
        goods = sum((line.cost(n) for line, n in zip(LINES, pieces, strict=True)), Decimal(0))
        if goods >= TERMS.minimum:
            freight = Decimal(0) if goods >= Decimal(80) else Decimal("6.50")
            beyond = sum(keeping(line, n) for line, n in zip(LINES, pieces, strict=True)) + Fraction(freight)
            found.append((beyond, pieces, goods))
    return sorted(found)


def test_the_order_is_the_best_of_all_orders_there_are() -> None:
    orders = every_order()
    assert len(orders) > 400
    least, pieces, goods = orders[0]
    assert orders[1][0] - least > Fraction(1, 10_000), "the best one is alone, or the test would not tell"
    found = fill_order(worth_looking_at(LINES, TERMS), TERMS)
    assert found.proven
    assert dict(found.best.pieces) == {line.part: n for line, n in zip(LINES, pieces, strict=True) if n}
    assert found.best.goods == goods
    assert found.best.beyond == pytest.approx(float(least), abs=1e-6)
    assert set(dict(found.best.pieces)) > {"gasket", "needle"}, "a line that was not suggested came in"


def test_only_what_is_suggested_would_cost_more() -> None:
    alone = fill_order([line for line in LINES if line.suggested], TERMS)
    found = fill_order(worth_looking_at(LINES, TERMS), TERMS)
    assert alone.missing or found.best.beyond < alone.best.beyond


def test_why_a_line_was_raised() -> None:
    gasket, needle, pin = LINES[:3]
    assert raised(gasket, 7) is None
    packs = raised(gasket, 10)
    assert packs is not None
    assert (packs.more, packs.to_fill_pack) == (3, 3)
    broken = raised(needle, 6)
    assert broken is not None
    assert (broken.more, broken.to_fill_pack, broken.saved) == (4, 0, Decimal("0.90"))
    # The third of nine a year is wanted after a third of a year, the sixth after two thirds.
    assert (broken.from_months, broken.to_months) == pytest.approx((4.0, 8.0))
    early = raised(pin, 10)
    assert early is not None
    assert (early.from_months, early.to_months) == pytest.approx((13 / 5, 22 / 5))


def test_of_many_lines_the_soonest_for_their_money_are_looked_at() -> None:
    slow = [SupplierLine(part=f"slow {n}", suggested=0, breaks=((1, Decimal(3)),), per_year=1.0 + n) for n in range(40)]
    kept = worth_looking_at([*slow, *LINES], TERMS, most=4)
    assert [line.part for line in kept[:2]] == ["gasket", "needle"]
    assert {line.part for line in kept[2:]} == {"slow 39", "slow 38", "slow 37", "slow 36"}
    assert "dead" not in {line.part for line in worth_looking_at(LINES, TERMS)}


def test_a_line_that_would_last_too_long_is_not_looked_at() -> None:
    rare = SupplierLine(part="rare", suggested=0, breaks=((50, Decimal(1)),), per_year=10.0)
    assert worth_looking_at([rare], Terms(most_years=2.0)) == []
    assert worth_looking_at([rare], Terms(most_years=5.0)) == [rare]
