"""Once the shelf keeps count, the Notebook shows its figure and says what its own number is; sums take a comma."""

from __future__ import annotations

import re
from html import unescape

from django.test import Client

from floatbowl.shop.models import LedgerLine
from floatbowl.shop.records import rows_where
from floatbowl.shop.shelf.ledger import About, item_of, promise, write


def words(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def see(client: Client, address: str) -> str:
    return client.get(address).content.decode()


def test_before_the_shelf_has_begun_the_record_speaks(ines: Client) -> None:
    page = words(see(ines, "/notebook/part/G-1/"))
    assert "On hand 3" in page
    assert "On the shelf now" not in page


def test_the_shelfs_figure_is_shown_with_its_page_and_the_recorded_one_by_what_it_is(ines: Client) -> None:
    write(item_of("part", "G-1"), 8, About(why="first count"), "A1")
    promise(item_of("part", "G-1"), 2, "offer 1", "Ines")
    page = see(ines, "/notebook/part/G-1/")
    assert "On hand when these records were loaded 3" in words(page)
    assert "On the shelf now 8, 2 of them promised" in words(page)
    assert 'href="/shelf/part/G-1/"' in page
    assert "On the shelf now not counted yet" in words(see(ines, "/notebook/kit/T-25/"))
    row = rows_where("parts", part="G-1")[0].row
    assert "On hand when these records were loaded" in see(ines, f"/notebook/row/parts/{row}/")


def test_a_price_takes_a_decimal_comma(ines: Client) -> None:
    row = rows_where("parts", part="G-1")[0].row
    address = f"/notebook/row/parts/{row}/"
    page = see(ines, address)
    sent = dict(re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', page))
    typed = {**sent, "part": "G-1", "kind": "gasket", "name": "Bowl gasket", "price": "2,75"}
    ines.post(address, typed)
    assert rows_where("parts", part="G-1")[0].fact.price == 2.75  # type: ignore[attr-defined]
    assert not LedgerLine.objects.exists()
