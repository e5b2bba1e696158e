"""Filling an order to its minimum: against every possible order on small ones."""

from __future__ import annotations

import itertools
import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.fill_order import SupplierLine, Terms, beyond_worth, fill_order


def line(
    part: str, suggested: int, price: str, per_year: float, *, pack: int = 1, position: float = 0.0
) -> SupplierLine:
    breaks = ((1, Decimal(price)),)
    return SupplierLine(part=part, suggested=suggested, breaks=breaks, per_year=per_year, pack=pack, position=position)


@st.composite
def orders(draw: st.DrawFn) -> tuple[list[SupplierLine], Terms]:
    lines = []
    for number in range(draw(st.integers(1, 3))):
        price = Decimal(draw(st.integers(50, 900))) / 100
        breaks = [(1, price)]
        if draw(st.booleans()):
            breaks.append((draw(st.integers(2, 8)), (price * Decimal("0.9")).quantize(Decimal("0.01"))))
        lines.append(
            SupplierLine(
                part=f"part {number}",
                suggested=draw(st.integers(0, 4)),
                breaks=tuple(breaks),
                per_year=draw(st.sampled_from([0.0, 1.5, 4.0])),
                position=draw(st.sampled_from([0.0, 2.0])),
                pack=draw(st.sampled_from([1, 2, 5])),
            )
        )
    terms = Terms(
        minimum=Decimal(draw(st.integers(0, 60))),
        freight=Decimal(draw(st.sampled_from(["0", "7.50"]))),
        freight_free_from=draw(st.sampled_from([None, Decimal(40)])),
    )
    return lines, terms


def every_order(lines: list[SupplierLine], terms: Terms) -> float | None:
    """The least cost beyond the goods' worth of any order that reaches the minimum, by trying all."""
    choices = []
    for each in lines:
        most = max(each.least_pieces, math.floor(each.per_year * terms.most_years - each.position))
        more = range(each.least_pieces, most + 1, each.pack) if each.per_year else [each.least_pieces]
        choices.append([n for n in more if n == each.least_pieces or n >= each.breaks[0][0]])
    found = []
    for pieces in itertools.product(*choices):
        goods = sum(each.cost(n) for each, n in zip(lines, pieces, strict=True))
        if goods >= terms.minimum:
            beyond = sum(beyond_worth(each, n, terms) for each, n in zip(lines, pieces, strict=True))
            found.append(beyond + float(terms.freight_for(Decimal(goods))))
    return min(found, default=None)


@settings(max_examples=50, deadline=None)
@given(orders())
def test_no_order_that_reaches_the_minimum_costs_less(case: tuple[list[SupplierLine], Terms]) -> None:
    lines, terms = case
    found = fill_order(lines, terms)
    least = every_order(lines, terms)
    assert bool(found.missing) == (least is None)
    if least is None:
        assert dict(found.best.pieces) == {each.part: each.least_pieces for each in lines if each.least_pieces}
        assert not found.proven
        return
    assert found.best.beyond == pytest.approx(least, rel=1e-4, abs=1e-3)
    assert found.best.goods >= terms.minimum
    assert found.proven
    pieces = dict(found.best.pieces)
    assert found.best.goods == sum(each.cost(pieces.get(each.part, 0)) for each in lines)
    assert found.best.freight == terms.freight_for(found.best.goods)
    assert found.best.total == found.best.goods + found.best.freight
    for each in lines:
        assert pieces.get(each.part, 0) >= each.suggested
        assert pieces.get(each.part, 0) % each.pack == 0
    if found.simple is not None:
        assert found.simple.beyond >= found.best.beyond


@given(st.integers(0, 6), st.integers(0, 9), st.sampled_from([0.0, 2.0, 5.0]), st.floats(0.5, 12))
def test_keeping_is_counted_piece_by_piece(suggested: int, extra: int, position: float, per_year: float) -> None:
    """The n-th piece on the shelf is wanted after n years' share of demand; only those beyond the suggested count."""
    one = line("gasket", suggested, "4.00", per_year, position=position)
    years = math.fsum((position + suggested + n) / per_year for n in range(1, extra + 1))
    found = beyond_worth(one, suggested + extra, Terms(holding_per_year=0.2))
    assert found == pytest.approx(4.00 * 0.2 * years)


def test_what_a_price_break_saves_is_taken_off() -> None:
    breaks = ((1, Decimal("8.00")), (10, Decimal("6.80")))
    needles = SupplierLine(part="needle", suggested=6, breaks=breaks, per_year=12)
    keeping = 6.80 * 0.25 * (7 + 8 + 9 + 10) / 12
    assert beyond_worth(needles, 10, Terms()) == pytest.approx(keeping - 10 * (8.00 - 6.80))


def test_an_order_above_the_minimum_is_left_as_suggested() -> None:
    lines = [line("gasket", 10, "5.00", 20), line("needle", 3, "8.00", 5)]
    found = fill_order(lines, Terms(minimum=Decimal(50)))
    assert (found.best.pieces, found.best.goods) == ((("gasket", 10), ("needle", 3)), Decimal(74))
    assert (found.best.beyond, found.proven) == (0.0, True)


def test_the_quick_seller_is_raised_before_the_slow_one() -> None:
    lines = [line("slow", 2, "5.00", 2), line("quick", 2, "5.00", 40)]
    found = fill_order(lines, Terms(minimum=Decimal(50)))
    assert found.best.pieces == (("slow", 2), ("quick", 8))


def test_the_simple_rule_can_be_beaten_by_a_price_break() -> None:
    """The soonest wanted is a cheap washer; ten needles at their lower price save more than their keeping costs."""
    needles = SupplierLine(
        part="needle", suggested=6, breaks=((1, Decimal("8.00")), (10, Decimal("6.80"))), per_year=12, pack=1
    )
    found = fill_order([line("washer", 10, "0.50", 60), needles], Terms(minimum=Decimal(60)))
    assert dict(found.best.pieces)["needle"] == 10
    assert found.simple is not None
    assert found.best.beyond < found.simple.beyond


def test_a_little_more_is_bought_where_freight_is_then_free() -> None:
    lines = [line("gasket", 9, "5.00", 30)]
    with_freight = Terms(minimum=Decimal(20), freight=Decimal("9.00"), freight_free_from=Decimal(50))
    assert fill_order(lines, with_freight).best.pieces == (("gasket", 10),)
    cheap_freight = Terms(minimum=Decimal(20), freight=Decimal("0.02"), freight_free_from=Decimal(50))
    assert fill_order(lines, cheap_freight).best.pieces == (("gasket", 9),)


def test_a_minimum_out_of_reach_is_told_with_what_is_missing() -> None:
    lines = [line("gasket", 2, "5.00", 3), line("dead", 1, "4.00", 0)]
    found = fill_order(lines, Terms(minimum=Decimal(100), most_years=2.0))
    assert (found.best.pieces, found.missing, found.simple) == ((("gasket", 2), ("dead", 1)), Decimal(66), None)


def test_pieces_come_in_whole_packs_and_no_fewer_than_are_sold() -> None:
    least = SupplierLine(part="pin", suggested=3, breaks=((10, Decimal("0.20")),), per_year=5, pack=4)
    assert least.least_pieces == 12
    assert fill_order([least], Terms()).best.pieces == (("pin", 12),)


def test_a_line_of_many_packs_can_still_reach_the_minimum() -> None:
    found = fill_order([line("washer", 1, "0.05", 5000)], Terms(minimum=Decimal(100)))
    assert found.missing == 0
    assert Decimal(100) <= found.best.goods < Decimal(102)


def test_two_hundred_lines_are_proven() -> None:
    lines = [line(f"p{n}", n % 3, f"{1 + n % 17}.{n % 10}0", 1 + n % 23, pack=1 + n % 4) for n in range(200)]
    base = fill_order(lines, Terms()).best.goods
    found = fill_order(lines, Terms(minimum=base + 300, freight=Decimal(25), freight_free_from=base + 400))
    assert found.proven
    assert found.best.goods >= base + 300


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"breaks": ()}, "from the smallest quantity up"),
        ({"breaks": ((10, Decimal(1)), (1, Decimal(2)))}, "from the smallest quantity up"),
        ({"breaks": ((1, Decimal(0)),)}, "no Decimal above 0"),
        ({"breaks": ((1, 1.5),)}, "no Decimal above 0"),
        ({"suggested": -1}, "pieces suggested"),
        ({"pack": 0}, "pieces in a pack"),
    ],
)
def test_a_line_that_cannot_be_is_refused(wrong: dict[str, object], says: str) -> None:
    right: dict[str, object] = {"part": "pin", "suggested": 1, "breaks": ((1, Decimal(1)),), "per_year": 1.0}
    with pytest.raises(Refused, match=says):
        SupplierLine(**{**right, **wrong})  # type: ignore[arg-type]


def test_a_part_twice_on_an_order_is_refused() -> None:
    with pytest.raises(Refused, match="pin is on the order twice"):
        fill_order([line("pin", 1, "1.00", 1)] * 2, Terms())
