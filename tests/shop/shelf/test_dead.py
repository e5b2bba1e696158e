"""What lies still in a shop that has just begun: by the sales brought in from before, and by the enquiries."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone
from tests.shop.shelf.test_asked_and_expected import lost, sold

from floatbowl.reference.facts import Reference
from floatbowl.shelf.dead_stock import Rules
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.changing import receive
from floatbowl.shop.shelf.dead import lying_still
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.ledger import About
from floatbowl.shop.shelf.things import things_now

TODAY, DAY = timezone.localdate(), timedelta(days=1)
RULES = Rules()


def still(rules: Rules = RULES) -> dict[str, str]:
    things = things_now()
    return {thing.key: dead.says for thing, dead in lying_still(things, expected(things), rules)}


@pytest.fixture
def new_shop(records: Reference) -> Reference:
    """Begun today, with two years of sales brought in: a gasket each month, nothing else."""
    begin("Ines")
    for month in range(24):
        sold("part", "G-1", 1, TODAY - (9 + 30 * month) * DAY)
    sold("part", "G-1", 1, TODAY - 740 * DAY)
    return records


def test_what_nobody_asked_for_in_the_record_brought_in(new_shop: Reference) -> None:
    found = still()
    assert set(found) == {"T-25G", "W-1"}
    assert found["W-1"].startswith("never asked for; the record runs over 2")
    sold("part", "W-1", 1, TODAY - 40 * DAY)
    assert set(still()) == {"T-25G"}


def test_an_enquiry_in_vain_asked_for_it_too(new_shop: Reference) -> None:
    lost("T-25G", TODAY - 3 * DAY)
    assert set(still()) == set()  # the washers go into that kit


def test_a_part_is_asked_for_with_the_kits_it_goes_into(new_shop: Reference) -> None:
    sold("kit", "T-25G", 1, TODAY - 50 * DAY)
    assert still() == {}


def test_what_came_lately_has_not_had_its_time(new_shop: Reference) -> None:
    receive(things_now().of("part", "W-1"), 1, "", About(why="receipt"))
    assert set(still()) == {"T-25G"}


def test_enough_for_many_years_is_told_at_once(new_shop: Reference) -> None:
    receive(things_now().of("part", "G-1"), 200, "", About(why="receipt"))
    found = still(Rules(no_sale_months=240, most_years=5))
    assert set(found) == {"G-1"}
    years = float(found["G-1"].split()[0])
    assert 208 / 24 < years < 208 / 6  # a year asks for about twelve


def test_without_any_record_the_day_it_was_first_counted_decides(records: Reference) -> None:
    begin("Ines")
    assert still() == {}
