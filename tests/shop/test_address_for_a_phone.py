"""The address that a square code carries: one that opens on a phone, or none."""

from __future__ import annotations

import pytest
from django.test import RequestFactory

from floatbowl.shop.address import for_a_phone


@pytest.mark.parametrize(
    ("asked_at", "names", "address"),
    [
        ("localhost:8000", ["localhost", "127.0.0.1"], ""),
        ("127.0.0.1:8000", ["127.0.0.1", "127.0.1.1", "192.168.1.7"], "http://192.168.1.7:8000/bench/3/"),
        ("[::1]:8000", ["[::1]", "workshop"], "http://workshop:8000/bench/3/"),
        ("192.168.1.7:8000", ["192.168.1.7"], "http://192.168.1.7:8000/bench/3/"),
        ("workshop", ["workshop"], "http://workshop/bench/3/"),
    ],
)
def test_it_is_one_that_others_can_open(settings: object, asked_at: str, names: list[str], address: str) -> None:
    settings.ALLOWED_HOSTS = names  # type: ignore[attr-defined]
    request = RequestFactory().get("/", headers={"host": asked_at})
    assert for_a_phone(request, "/bench/3/") == address
