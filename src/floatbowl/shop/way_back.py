"""What is shown where there is no page: a way back, in the shop's own words; and nobody lands on a bare refusal."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import Resolver404, resolve, reverse

from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.security import who_is

Answering = Callable[[HttpRequest], HttpResponse]
#: Pages of a call are under the Counter; only its closing is sent to the Enquiries.
OF_A_CALL = "/enquiries/"


def page_instead(answer: Answering) -> Answering:
    """Whoever opens or reloads an address that only takes what is sent comes to the page it belongs to.

    What was sent to an address that takes nothing is told so on a page of our own.
    """

    def answering(request: HttpRequest) -> HttpResponse:
        response = answer(request)
        if response.status_code != HTTPStatus.METHOD_NOT_ALLOWED:
            return response
        if request.method in ("GET", "HEAD"):
            return redirect(belongs_to(request.path))
        page = render(request, "405.html", {"back": request.path}, status=HTTPStatus.METHOD_NOT_ALLOWED)
        page["Allow"] = response.get("Allow", "GET")
        return page

    return answering


def belongs_to(path: str) -> str:
    """The nearest page above an address that takes only what is sent.

    >>> belongs_to("/office/7/credit/"), belongs_to("/enquiries/5/close/")
    ('/office/7/', '/counter/5/')
    """
    parts = [part for part in path.split("/") if part]
    if path.startswith(OF_A_CALL) and len(parts) > 1 and parts[1].isdecimal():
        return reverse("counter:enquiry", args=[int(parts[1])])
    if path.startswith("/shelf/do/") and len(parts) > 4:
        return reverse("shelf:item", args=[parts[3], "/".join(parts[4:])])
    for length in range(len(parts) - 1, 0, -1):
        above = f"/{'/'.join(parts[:length])}/"
        if _is_page(above):
            return above
    return reverse("home")


def _is_page(address: str) -> bool:
    """Whether an address is known; one of the shelf that only looks like an item's is none."""
    try:
        found = resolve(address)
    except Resolver404:
        return False
    return found.view_name != "shelf:item" or found.kwargs["kind"] in (KIT, PART)


def broken(request: HttpRequest) -> HttpResponse:
    """Something went wrong in the house: said without a stack, and without asking the database for anything."""
    shown_with = {"who": who_is(request), "who_url": reverse("who")}
    return HttpResponse(render_to_string("500.html", shown_with), status=HTTPStatus.INTERNAL_SERVER_ERROR)
