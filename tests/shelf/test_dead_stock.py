"""Dead stock: which rule is told, how many pieces it holds, and the money in them."""

from __future__ import annotations

import dataclasses
from datetime import date
from decimal import Decimal

import pytest

from floatbowl.engine.refusal import Refused
from floatbowl.shelf.dead_stock import OnShelf, Rules, dead_stock

TODAY = date(2026, 3, 2)
GASKET = OnShelf(part="gasket", on_hand=10, cost=Decimal("0.90"), received=date(2022, 3, 2))


def told(line: OnShelf, rules: Rules | None = None) -> tuple[str, float, Decimal, str] | None:
    found = dead_stock([line], TODAY, rules)
    return (found[0].why, found[0].quantity, found[0].tied_up, found[0].says) if found else None


def test_never_sold_in_its_time() -> None:
    assert told(GASKET) == ("no sale", 10, Decimal("9.0"), "never asked for; on the shelf for 48 months")


def test_last_sold_long_ago_or_lately() -> None:
    assert told(dataclasses.replace(GASKET, last_sold=date(2023, 5, 1))) == (
        "no sale",
        10,
        Decimal("9.0"),
        "last asked for 01 May 2023; on the shelf for 48 months",
    )
    assert told(dataclasses.replace(GASKET, last_sold=date(2025, 5, 1), per_year=3)) is None


def test_what_came_lately_has_not_had_its_time() -> None:
    assert told(dataclasses.replace(GASKET, received=date(2025, 6, 1))) is None


def test_too_much_counts_only_what_is_beyond_the_years() -> None:
    many = dataclasses.replace(GASKET, on_hand=40, last_sold=date(2026, 2, 1), per_year=4)
    assert told(many) == ("too much", 20, Decimal("18.0"), "10.0 years of demand on hand")
    assert told(many, Rules(most_years=10)) is None


def test_what_was_asked_for_may_be_too_much_however_lately_it_came() -> None:
    new = dataclasses.replace(GASKET, on_hand=40, received=date(2026, 3, 1), per_year=4)
    assert told(new) is None
    assert told(dataclasses.replace(new, last_sold=date(2026, 2, 1))) == (
        "too much",
        20,
        Decimal("18.0"),
        "10.0 years of demand on hand",
    )


def test_where_nobody_knows_when_it_came_the_record_is_named() -> None:
    by_record = dataclasses.replace(GASKET, received=date(2024, 2, 1), by_record=True)
    assert told(by_record) == ("no sale", 10, Decimal("9.0"), "never asked for; the record runs over 25 months")


def test_past_keeping_comes_first() -> None:
    cork = dataclasses.replace(GASKET, keeps_months=36, last_sold=date(2026, 2, 1), per_year=8)
    assert told(cork) == ("past keeping", 10, Decimal("9.0"), "received 48 months ago, keeps 36")


def test_what_a_job_waits_for_is_not_dead() -> None:
    assert told(dataclasses.replace(GASKET, for_offers=4)) == (
        "no sale",
        6,
        Decimal("5.4"),
        "never asked for; on the shelf for 48 months",
    )
    assert told(dataclasses.replace(GASKET, for_offers=10)) is None


def test_most_money_first() -> None:
    dear = dataclasses.replace(GASKET, part="float", on_hand=2, cost=Decimal(30))
    assert [dead.part for dead in dead_stock([GASKET, dear], TODAY)] == ["float", "gasket"]


def test_rules_that_cannot_be_are_refused() -> None:
    with pytest.raises(Refused, match="months without a sale"):
        Rules(no_sale_months=0)
