"""The addresses of all pages: one include a place."""

from __future__ import annotations

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path
from django.views.generic import RedirectView

from floatbowl.shop import people

PLACES = [place for place in ("counter", "enquiries", "notebook") if find_spec(f"floatbowl.shop.pages.{place}.urls")]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", RedirectView.as_view(url=f"/{PLACES[0]}/"), name="home"),
    path("who/", people.choose, name="who"),
    *(path(f"{place}/", include(f"floatbowl.shop.pages.{place}.urls")) for place in PLACES),
]
