"""A shelf to work at: the small shop's records, and somebody who counts."""

from __future__ import annotations

import re
from itertools import count
from typing import Any

import pytest
from django.test import Client
from tests.shop.shelf.conftest import records  # noqa: F401  (a fixture)

from floatbowl.reference.facts import Reference
from floatbowl.shop.shelf.beginning import begin

_names = count(1)


def words(page: str) -> str:
    """What a page says, without its markup."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


class Shelf:
    """A browser at the shelf; each method is one thing a person does."""

    def __init__(self) -> None:
        self.client = Client(SERVER_NAME="localhost")
        self.client.post("/who/", {"do": "add", "name": "Ines", "next": "/"})

    def see(self, address: str = "", **query: str) -> str:
        answer = self.client.get(f"/shelf/{address}", query)
        assert answer.status_code == 200, (address, answer.status_code)
        return words(answer.content.decode())

    def do(self, deed: str, item: str, **told: str) -> Any:
        sent = {"sent": f"{next(_names):032x}"} | told
        return self.client.post(f"/shelf/do/{deed}/{item}/", sent, follow=True)

    def post(self, address: str, **told: Any) -> Any:
        return self.client.post(f"/shelf/{address}", told, follow=True)


@pytest.fixture
def shelf(records: Reference) -> Shelf:  # noqa: F811
    begin("Ines")
    return Shelf()
