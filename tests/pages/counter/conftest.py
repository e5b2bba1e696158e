"""A small shop: a few look-alikes of two of the invented makers, with their kits, and somebody at its counter."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from django.test import Client

from floatbowl.demo.make_pack.whole_pack import PACK
from floatbowl.reference.facts import Reference
from floatbowl.reference.pack import read_pack
from floatbowl.shop.models import InHand

KEPT = ("k36-118", "k36-113", "206-d-3", "206-d-4", "200-e-7")
HTMX = {"HX-Request": "true"}


@cache
def small_reference() -> Reference:
    """The rows of the invented shop's pack that speak of a few carburettors only."""
    whole = read_pack(PACK)
    kits = {row.kit for row in whole.kit_fits if row.carburettor in KEPT}
    parts = {row.part for row in whole.kit_parts if row.kit in kits}
    parts |= {row.part for row in whole.carburettor_parts if row.carburettor in KEPT}
    known: dict[str, set[str]] = {"carburettor": set(KEPT), "kit": kits, "part": parts}
    tables: dict[str, Any] = {}
    for table in ("carburettors", "marks", "features", "kits", "kit_parts", "kit_fits", "came_on", "settings"):
        tables[table] = tuple(row for row in getattr(whole, table) if _kept(row, known, table))
    for table in ("parts", "part_sizes", "carburettor_parts"):
        tables[table] = tuple(row for row in getattr(whole, table) if _kept(row, known, table))
    machines = {row.machine for row in tables["came_on"]}
    tables["machines"] = tuple(row for row in whole.machines if row.machine in machines)
    return replace(whole, **tables, replacements=())


def _kept(row: Any, known: dict[str, set[str]], table: str) -> bool:
    # A mark's or a feature's "part" is a casting, not a part of the shelf.
    fields = ("carburettor", "kit") if table in ("marks", "features") else tuple(known)
    return all(getattr(row, field) in known[field] for field in fields if hasattr(row, field))


@pytest.fixture
def small_shop(db: None) -> Reference:
    from floatbowl.shop.load import load_reference
    from floatbowl.shop.standing import forget

    load_reference(small_reference(), "Ines")
    forget()
    return small_reference()


class Counter:
    """A browser that takes one call; each method is one thing a person does and returns the answer."""

    def __init__(self, **first: str) -> None:
        self.client = Client()
        begun = self.client.post("/counter/", first or {"notes": "rang about a carburettor"})
        assert begun.status_code == 302, begun.content.decode()
        self.at = begun["Location"]
        number, place = self.at.strip("/").split("/")[1:]
        self.in_hand = InHand.objects.get(enquiry_id=number, place=place)

    def see(self) -> str:
        return self.client.get(self.at).content.decode()

    def post(self, what: str, **told: str) -> Any:
        return self.client.post(f"{self.at}{what}/", told, headers=HTMX)

    def get(self, what: str, **told: str) -> Any:
        return self.client.get(f"{self.at}{what}/", told, headers=HTMX)

    def read(self, text: str, **more: str) -> Any:
        return self.post("reading", text=text, **{"via": "seen", **more})

    def look(self, feature: str, value: str, **more: str) -> Any:
        return self.post("look", feature=feature, value=value, **{"via": "seen", "coached": "1", **more})


@pytest.fixture
def call(small_shop: Reference) -> type[Counter]:
    """Begin a call: ``call(text="K36/118")``."""
    return Counter
