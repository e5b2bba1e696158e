"""A small shop with kits on its shelf and somebody in its office."""

from __future__ import annotations

import re
from decimal import Decimal
from html import unescape
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader
from tests.pages.counter.conftest import Counter, small_shop  # noqa: F401  (a fixture)

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Item, OfficePaper, OfficeSettings
from floatbowl.shop.models.photograph import new_key
from floatbowl.shop.shelf.ledger import About, item_of, write


def words(page: str) -> str:
    """What a page says, without its markup."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def printed(answer: Any) -> str:
    """What a PDF that was sent says."""
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages).split())


def fields(page: str, form: str) -> dict[str, str]:
    """What stands in the fields of one form of a page, as a browser would send it without a button."""
    found = re.search(rf"<form[^>]*(?:id=\"{form}\"|action=\"{form}\")[^>]*>(.*?)</form>", page, re.S)
    assert found, f"no form {form}"
    sent: dict[str, str] = {}
    for tag in re.findall(r"<input[^>]*>", found[1]):
        told = {key: unescape(value) for key, value in re.findall(r'([\w-]+)="([^"]*)"', tag)}
        is_tick = told.get("type") in ("checkbox", "radio")
        ticked = not is_tick or re.search(r"\bchecked\b", tag)
        if "name" in told and ticked and told["name"] != "csrfmiddlewaretoken":
            sent[told["name"]] = told.get("value", "on" if is_tick else "")
    for name, text in re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>(.*?)</textarea>', found[1], re.S):
        sent[name] = unescape(text).lstrip("\n")
    for name, options in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', found[1], re.S):
        chosen = re.search(r'<option value="([^"]*)"[^>]*selected', options) or re.search(r'value="([^"]*)"', options)
        sent[name] = unescape(chosen[1]) if chosen else ""
    return sent


class Office:
    """A browser in the office; each method is one thing a person does."""

    def __init__(self, who: str = "Ines") -> None:
        self.client = Client()
        self.client.post("/who/", {"do": "add", "name": who, "next": "/"})

    def see(self, address: str) -> str:
        answer = self.client.get(address)
        assert answer.status_code == 200, (address, answer)
        return answer.content.decode()

    def begin(self, address: str = "/office/new/") -> dict[str, str]:
        """The fields of a draft as they first stand on the page."""
        return fields(self.see(address), "offer-form")

    def press(self, address: str, typed: dict[str, str], do: str) -> Any:
        return self.client.post(address, {**typed, "do": do})

    def line(self, place: int = 0, **told: str) -> dict[str, str]:
        """The fields of one line."""
        line = {"kind": "other", "says": "Bush", "quantity": "1", "price": "10", "rate": "", "discount": "", **told}
        return {f"{name}-{place}": text for name, text in line.items()}

    def make(self, *lines: dict[str, str], to: str = "Corwin Hollis", **more: str) -> OfficePaper:
        """An offer of these lines, or of one bush."""
        typed = {"to": to, "return_rule": "Unopened, within 30 days.", "valid_days": "30", "sent": new_key(), **more}
        for line in lines or (self.line(),):
            typed |= line
        answer = self.press("/office/new/", typed, "make")
        assert answer.status_code == 302, words(answer.content.decode())
        return self.at(answer)

    def at(self, answer: Any) -> OfficePaper:
        """The paper that an answer leads to."""
        assert answer.status_code == 302, words(answer.content.decode())
        return OfficePaper.objects.get(pk=int(answer["Location"].strip("/").split("/")[1]))

    def do(self, paper: OfficePaper, step: str, **typed: str) -> Any:
        return self.client.post(f"/office/{paper.pk}/{step}/", typed)

    def invoice(self, *lines: dict[str, str], **more: str) -> OfficePaper:
        """The invoice of an offer that was made and accepted."""
        offer = self.make(*lines, **more)
        assert self.do(offer, "accept").status_code == 302
        return self.at(self.do(offer, "invoice"))


def rules(**told: Any) -> OfficeSettings:
    """The shop's rules set to these."""
    OfficeSettings.objects.update_or_create(pk=1, defaults={"currency": "EUR", **told})
    return OfficeSettings.objects.get(pk=1)


#: A part of the small shop's records.
GASKET = "bowl-gasket-b-ring2"


def gaskets(pieces: int, place: str = "A1") -> Item:
    """So many bowl gaskets counted into a place."""
    return on_shelf("part", GASKET, pieces, place)


def on_shelf(kind: str, key: str, pieces: int, place: str = "A1") -> Item:
    """So many of an item counted into a place."""
    item = item_of(kind, key)
    write(item, pieces, About(why="receipt", unit_cost=Decimal(1)), place)
    return item


@pytest.fixture
def shop(small_shop: Reference) -> Reference:  # noqa: F811
    return small_shop


@pytest.fixture
def office(shop: Reference) -> Office:
    return Office()


@pytest.fixture
def call(shop: Reference) -> Counter:
    """A call about a carburettor whose number was read, and two looks that bear it out."""
    call = Counter()
    call.post("caller", caller="Anselm Pickard", phone="01000 960144", version="1")
    call.read("K36/118", part="tag", made="stamped")
    return call
