"""What is worked out beforehand is what the first page asks for."""

from __future__ import annotations

import pytest
from django.test import Client
from tests.shop.shelf.test_last_orders import supplier  # noqa: F401  (a fixture)

from floatbowl.shelf import choosing
from floatbowl.shop.models import Supplier
from floatbowl.shop.shelf import expected as module
from floatbowl.shop.shelf import warming


def test_the_first_item_page_works_nothing_out_again(
    supplier: Supplier,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    warming.warm()

    def again(*_: object, **__: object) -> None:
        raise AssertionError("it is worked out again")

    for place, name in ((module, "_worked_out"), (module, "choose"), (module, "expect"), (choosing, "demand_over")):
        monkeypatch.setattr(place, name, again)
    client = Client(SERVER_NAME="localhost")
    page = client.get("/shelf/part/W-1/").content.decode()
    assert "Of one month to come" in page


def test_nothing_on_record_is_nothing_to_work_out(db: None) -> None:
    warming.warm()
