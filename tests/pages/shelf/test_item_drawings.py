"""What an item's drawings begin with and count."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone
from tests.pages.shelf.conftest import Shelf

from floatbowl.shop.models import LedgerLine, ToldSale
from floatbowl.shop.pages.shelf.charts import demand_by_month, stock_over_time
from floatbowl.shop.shelf.ledger import About, item_of, take

TODAY = timezone.localdate()


def test_what_lay_there_begins_on_the_day_of_the_first_count_with_what_was_counted(shelf: Shelf) -> None:
    item = item_of("part", "G-1")
    only = stock_over_time(item)
    assert only is not None
    assert only.shows == "Known since today: 8 on hand."
    LedgerLine.objects.update(at=timezone.now() - timedelta(days=10))
    take(item, 2, About(why="sale"))
    drawn = stock_over_time(item)
    assert drawn is not None
    assert drawn.told[0] == (f"{TODAY - timedelta(days=10):%d %B %Y}", "8")
    assert "between 6 and 8, now 6" in drawn.shows


def test_two_years_are_drawn_with_what_lay_there_before(shelf: Shelf) -> None:
    item = item_of("part", "G-1")
    LedgerLine.objects.update(at=timezone.now() - timedelta(days=900))
    take(item, 2, About(why="sale"))
    drawn = stock_over_time(item)
    assert drawn is not None
    assert drawn.told[0][1] == "8"
    assert "between 6 and 8, now 6" in drawn.shows


def test_this_month_so_far_is_told_apart(shelf: Shelf) -> None:
    item = item_of("part", "G-1")
    ToldSale.objects.create(item=item, quantity=3, day=TODAY.replace(day=1) - timedelta(days=5))
    ToldSale.objects.create(item=item, quantity=4, day=TODAY)
    drawn = demand_by_month(("part", "G-1"), None, None)
    assert drawn is not None
    assert "Asked for 3 in the last 24 months, up to the last whole one. This month so far 4;" in drawn.shows
    page = shelf.see("buy/")
    assert "This month so far is not counted yet" in page
    assert "for no more pieces than were ever sold of it in one go" in page
