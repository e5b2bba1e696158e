"""What guards every page: bounded uploads, headers, and knowing who is at the counter."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

WHO_COOKIE = "who"
ONE_WORKING_DAY_SECONDS = 16 * 60 * 60

Answering = Callable[[HttpRequest], HttpResponse]


def bounded_upload(answer: Answering) -> Answering:
    """Refuse a request whose Content-Length is over the limit, before any of its body is read."""

    def bounded(request: HttpRequest) -> HttpResponse:
        stated = request.META.get("CONTENT_LENGTH") or "0"
        if not stated.isdigit() or int(stated) > settings.UPLOAD_LIMIT:
            megabytes = settings.UPLOAD_LIMIT // (1024 * 1024)
            said = f"That is too large to send: the pages take at most {megabytes} MB at once. Send less and try again."
            return HttpResponse(said, status=413, content_type="text/plain; charset=utf-8")
        return answer(request)

    return bounded


def careful_headers(answer: Answering) -> Answering:
    """Nothing on these pages needs the camera without being asked, or a copy kept by anything in between."""

    def careful(request: HttpRequest) -> HttpResponse:
        response = answer(request)
        response.setdefault("Permissions-Policy", "camera=(self), microphone=(), geolocation=(), payment=()")
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.setdefault("Cache-Control", "private, no-cache")
        return response

    return careful


def know_who(answer: Answering) -> Answering:
    """Set ``request.who`` to the name last chosen on this browser; empty while nobody has chosen."""

    def knowing(request: HttpRequest) -> HttpResponse:
        request.who = request.get_signed_cookie(WHO_COOKIE, "", max_age=ONE_WORKING_DAY_SECONDS)  # type: ignore[attr-defined]
        return answer(request)

    return knowing


def who_is(request: HttpRequest) -> str:
    """The name of the person at this browser, or empty."""
    return getattr(request, "who", "")


def remember_who(response: HttpResponse, name: str) -> HttpResponse:
    """Keep the person's name on this browser for a working day."""
    response.set_signed_cookie(WHO_COOKIE, name, max_age=ONE_WORKING_DAY_SECONDS, httponly=True, samesite="Strict")
    return response


def who_context(request: HttpRequest) -> dict[str, Any]:
    """``who`` and the address to change it, for every template."""
    return {"who": who_is(request), "who_url": f"{reverse('who')}?{urlencode({'next': request.get_full_path()})}"}


def own_page(request: HttpRequest, wanted: str) -> str:
    """The wanted address if it is a page of this house, else empty."""
    own = url_has_allowed_host_and_scheme(wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure())
    return wanted if own else ""


def back_to(request: HttpRequest, wanted: str) -> HttpResponse:
    """Go back to a page of this house, never to another one."""
    return redirect(own_page(request, wanted) or "home")


def form_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say plainly that the form did not come from a page opened here, and that nothing was saved."""
    return render(request, "refused.html", {"reason": reason}, status=403)
