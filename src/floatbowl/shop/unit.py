"""Millimetres or inches: what this browser shows and takes a bare number in."""

from __future__ import annotations

from typing import Final, Literal, cast

from django.http import HttpRequest, HttpResponse

UNIT_COOKIE: Final = "unit"
A_YEAR_SECONDS: Final = 365 * 24 * 60 * 60
UNITS: Final = ("mm", "inch")

Shown = Literal["mm", "inch"]


def shown_unit(request: HttpRequest) -> Shown:
    """The unit chosen on this browser; millimetres while none was."""
    chosen = request.COOKIES.get(UNIT_COOKIE, "")
    return cast(Shown, chosen) if chosen in UNITS else "mm"


def choose_unit(response: HttpResponse, unit: str) -> HttpResponse:
    """Keep the unit on this browser; one that is none changes nothing."""
    if unit in UNITS:
        response.set_cookie(UNIT_COOKIE, unit, max_age=A_YEAR_SECONDS, httponly=True, samesite="Strict")
    return response
