"""The addresses of all pages: one include a place."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path
from django.views.generic import RedirectView

from floatbowl.shop import people

handler500 = "floatbowl.shop.way_back.broken"

urlpatterns: list[URLPattern | URLResolver] = [
    path("", RedirectView.as_view(pattern_name="counter:home"), name="home"),
    path("who/", people.choose, name="who"),
    path("counter/", include("floatbowl.shop.pages.counter.urls")),
    path("photographs/", include("floatbowl.shop.pages.photographs.urls")),
    path("enquiries/", include("floatbowl.shop.pages.enquiries.urls")),
    path("bench/", include("floatbowl.shop.pages.bench.urls")),
    path("office/", include("floatbowl.shop.pages.office.urls")),
    path("shelf/", include("floatbowl.shop.pages.shelf.urls")),
    path("notebook/", include("floatbowl.shop.pages.notebook.urls")),
    path("work-out/", include("floatbowl.shop.pages.work_out.urls")),
]
