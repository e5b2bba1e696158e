"""The list and one item's page: found, counted, received, moved, scrapped, built, reversed; what is wrong is told."""

from __future__ import annotations

import pytest
from django.test import Client
from tests.pages.shelf.conftest import Shelf, words

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Job, WantedPart
from floatbowl.shop.models.shelf import Holding, Item, LedgerLine

GASKET, KIT = "part/G-1", "kit/T-25G"


def on_hand(key: str) -> int:
    return int(Item.objects.get(key=key).on_hand)


def test_an_empty_shop_is_told_what_to_do(db: None) -> None:
    page = words(Client(SERVER_NAME="localhost").get("/shelf/").content.decode())
    assert "No kit or part is in the records yet" in page


def test_the_records_numbers_are_taken_over_by_a_button(records: Reference) -> None:
    shelf = Shelf()
    page = shelf.see()
    assert "4 items have a number on hand in the records" in page
    assert "8 by the records" in page
    answer = words(shelf.post("begin/").content.decode())
    assert "3 items begun with 14 pieces" in answer
    assert "Packing cord" in answer
    assert "by the records" not in shelf.see("", q="gasket")


def test_what_is_short_comes_first_with_whom_it_is_for(shelf: Shelf) -> None:
    job = Job.objects.create(owner="Anselm Pickard")
    WantedPart.objects.create(job=job, name="Seat washer", part="W-1", quantity=9, source="outside")
    page = shelf.see()
    assert page.index("Seat washer") < page.index("Bowl gasket")
    assert f"4 short for job {job.pk}, Anselm Pickard" in page
    assert "1 item, what is short first" in shelf.see("", which="short")


def test_found_as_one_types(shelf: Shelf) -> None:
    piece = shelf.client.get("/shelf/", {"q": "seat wash"}, headers={"HX-Request": "true", "HX-Target": "found"})
    body = piece.content.decode()
    assert "Seat washer" in body
    assert "Bowl gasket" not in body
    assert "<html" not in body
    assert "Nothing fits “zzz”" in shelf.see("", q="zzz")


def test_a_count_is_kept_once_and_says_what_it_changed(shelf: Shelf) -> None:
    told = {"pieces": "6", "place": "", "sent": "a" * 32}
    assert "2 fewer than was thought" in words(shelf.do("count", GASKET, **told).content.decode())
    assert "written already" in words(shelf.do("count", GASKET, **told).content.decode())
    assert on_hand("G-1") == 6
    assert "Last counted" in shelf.see(f"{GASKET}/")
    assert LedgerLine.objects.get(why="count").who == "Ines"


@pytest.mark.parametrize("typed", ["", "six", "-1", "1.5", "9999999999", "²"])
def test_what_is_no_count_stands_beside_its_field_with_what_was_typed(shelf: Shelf, typed: str) -> None:
    answer = shelf.do("count", GASKET, pieces=typed, place="Drawer 7")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Write how many pieces" in page
    assert 'aria-invalid="true" aria-describedby="wrong-count-pieces"' in page
    assert 'value="Drawer 7"' in page
    assert on_hand("G-1") == 8


def test_received_moved_used_and_scrapped(shelf: Shelf) -> None:
    job = Job.objects.create(owner="Anselm Pickard")
    shelf.do("receive", GASKET, pieces="4", place="A1", says="from the fair")
    shelf.do("move", GASKET, pieces="3", source="", place="B2")
    shelf.do("use", GASKET, pieces="2", place="A1", job=str(job.pk))
    shelf.do("scrap", GASKET, pieces="1", place="B2", says="torn")
    held = dict(Holding.objects.filter(item__key="G-1").values_list("place", "quantity"))
    assert held == {"": 5, "A1": 2, "B2": 2}
    page = shelf.see(f"{GASKET}/")
    assert "5 without a place, 2 at A1, 2 at B2" in page
    assert f"job {job.pk}" in page
    assert "from the fair" in page


@pytest.mark.parametrize(
    ("deed", "told", "says"),
    [
        ("move", {"pieces": "9", "source": "", "place": "B2"}, "9 were to be taken, but 8"),
        ("move", {"pieces": "1", "source": "A1", "place": "A1"}, "Name two places"),
        ("scrap", {"pieces": "1", "place": "", "says": ""}, "Write why it is scrapped"),
        ("use", {"pieces": "1", "place": "", "job": "77"}, "Write the number of the job"),
        ("receive", {"pieces": "0", "place": ""}, "1 or more"),
        ("receive", {"pieces": "1", "place": "x" * 81}, "at most 80 letters"),
    ],
)
def test_what_cannot_be_is_told_in_words_and_changes_nothing(
    shelf: Shelf, deed: str, told: dict[str, str], says: str
) -> None:
    answer = shelf.do(deed, GASKET, **told)
    assert answer.status_code == 422
    assert says in words(answer.content.decode())
    assert on_hand("G-1") == 8


def test_built_taken_apart_and_refused_by_the_names_of_what_is_short(shelf: Shelf) -> None:
    shelf.do("build", KIT, pieces="2", place="K1")
    assert (on_hand("T-25G"), on_hand("G-1"), on_hand("W-1")) == (3, 6, 1)
    answer = shelf.do("build", KIT, pieces="1", place="K1")
    assert answer.status_code == 422
    assert "Seat washer: 2 wanted, 1 free" in words(answer.content.decode())
    shelf.do("take-apart", KIT, pieces="1", place="A1")
    assert (on_hand("T-25G"), on_hand("W-1")) == (2, 3)


def test_a_line_is_reversed_with_its_reason_once(shelf: Shelf) -> None:
    shelf.do("receive", GASKET, pieces="4", place="A1")
    line = LedgerLine.objects.get(why="receipt")
    refused = shelf.post(f"reverse/{line.pk}/", says="")
    assert refused.status_code == 422
    assert "Write what was wrong with it" in words(refused.content.decode())
    assert "both lines stay" in words(shelf.post(f"reverse/{line.pk}/", says="wrong item").content.decode())
    assert on_hand("G-1") == 8
    again = shelf.post(f"reverse/{line.pk}/", says="wrong item")
    assert "reversed already" in words(again.content.decode())
    assert f"reversed by line {LedgerLine.objects.get(reverses=line).pk}" in shelf.see(f"{GASKET}/")


def test_what_is_promised_away_is_told(shelf: Shelf) -> None:
    from floatbowl.shop.shelf.ledger import item_of, promise

    job = Job.objects.create(owner="Anselm Pickard")
    promise(item_of("part", "G-1"), 7, "offer 1", "Wil")
    answer = shelf.do("use", GASKET, pieces="2", place="", job=str(job.pk))
    assert "1 are free" in words(answer.content.decode())
    assert "7 for offer 1" in shelf.see(f"{GASKET}/")


def test_an_unknown_item_or_deed_is_not_found(shelf: Shelf) -> None:
    assert shelf.client.get("/shelf/part/nothing/").status_code == 404
    assert shelf.client.get("/shelf/tool/G-1/").status_code == 404
    assert shelf.do("eat", GASKET, pieces="1").status_code == 404
    assert not Item.objects.filter(key="nothing").exists()


def test_a_key_with_odd_signs_has_a_page(records: Reference) -> None:
    from floatbowl.shop.shelf.ledger import About, item_of, write
    from floatbowl.shop.shelf.things import things_now

    write(item_of("part", "odd / key?"), 2, About(why="receipt"))
    page = Shelf().client.get(things_now().of("part", "odd / key?").address)
    assert page.status_code == 200
    assert "no longer in our records" in page.content.decode()


def test_the_label_opens_the_page(shelf: Shelf) -> None:
    answer = shelf.client.get("/shelf/label/part/G-1/")
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    number = Item.objects.get(key="G-1").pk
    assert shelf.client.get(f"/shelf/i/{number}/")["Location"] == "/shelf/part/G-1/"


def test_the_counter_shows_what_the_ledger_says(shelf: Shelf) -> None:
    from floatbowl.shop.models import InHand
    from floatbowl.shop.shelf.ledger import item_of, promise

    shelf.do("count", KIT, pieces="7", place="")
    promise(item_of("kit", "T-25G"), 2, "offer 1", "Wil")
    begun = shelf.client.post("/counter/", {"text": "K36/118"})
    page = words(shelf.client.get(begun["Location"]).content.decode())
    assert InHand.objects.exists()
    assert "7 on hand, 2 promised" in page
