"""The Notebook: what we know and how we know it."""

from __future__ import annotations

from typing import Any, Final

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from floatbowl.reference.facts import TABLES
from floatbowl.shop.models import ROWS
from floatbowl.shop.pages.notebook import confusable, history, labels
from floatbowl.shop.pages.notebook.layout import Kind, kinds
from floatbowl.shop.pages.notebook.names import address, title
from floatbowl.shop.pages.notebook.record import own_row, section
from floatbowl.shop.pages.notebook.search import find
from floatbowl.shop.pages.notebook.usage import uses
from floatbowl.shop.records import rows_where

ON_ONE_PAGE: Final = 60
CHANGES_ON_RECORD: Final = 5


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """One box to look everything up, and the ways in."""
    words = request.GET.get("find", "").strip()
    context: dict[str, Any] = {"words": words, "groups": find(words)}
    if request.headers.get("HX-Request") and request.headers.get("HX-Target") == "found":
        return render(request, "notebook/_found.html", context)
    return _page(request, "notebook/home.html", context | {"lists": [_listed(kind) for kind in kinds().values()]})


def _listed(kind: Kind) -> dict[str, Any]:
    count = ROWS[kind.table].objects.count()
    return {"title": labels.many(kind.table), "count": count, "href": reverse("notebook:kind", args=[kind.name])}


@require_safe
def listing(request: HttpRequest, kind: str) -> HttpResponse:
    """All records of one kind, a page at a time."""
    found = _kind(kind)
    keys = ROWS[found.table].objects.values_list(found.key, flat=True)
    page = Paginator(keys, ON_ONE_PAGE).get_page(request.GET.get("page"))
    rows = [{"title": title(kind, key), "key": key, "href": address(kind, key)} for key in page.object_list]
    add = reverse("notebook:add", args=[found.table])
    context = {"many": labels.many(found.table), "one": labels.one(found.table), "rows": rows, "page": page, "add": add}
    return _page(request, "notebook/kind.html", context)


@require_safe
def record(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """A record with all that belongs to it or uses it."""
    found = _kind(kind)
    rows = rows_where(found.table, None, **{found.key: key})
    if not rows:
        return _page(request, "notebook/gone.html", {"one": labels.one(found.table)}, status=404)
    here = request.path
    context = {
        "title": title(kind, key),
        "one": labels.one(found.table),
        "key": key,
        "own": [own_row(found, row, here) for row in rows],
        "sections": [section(one, key, here) for one in found.sections],
        "uses": uses(found, key) if kind in ("source", "feature", "tool") else [],
        "changes": history.of_record(found, key, CHANGES_ON_RECORD),
        "history": reverse("notebook:history", args=[kind, key]),
    }
    return _page(request, "notebook/record.html", context)


@require_safe
def record_history(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """Every change of a record and of what belongs to it."""
    found = _kind(kind)
    context = {"title": title(kind, key), "changes": history.of_record(found, key), "back": address(kind, key)}
    return _page(request, "notebook/history.html", context)


@require_safe
def changes(request: HttpRequest) -> HttpResponse:
    """The newest changes of all records."""
    context = {"title": "Notebook", "changes": history.latest(), "back": reverse("notebook:home")}
    return _page(request, "notebook/history.html", context)


@require_safe
def confused(request: HttpRequest) -> HttpResponse:
    """Marks most likely to be taken for one another that need different kits."""
    return _page(request, "notebook/confusable.html", {"pairs": confusable.pairs()})


def _kind(name: str) -> Kind:
    found = kinds().get(name)
    if found is None or found.table not in TABLES:
        raise Http404
    return found


def _page(request: HttpRequest, template: str, context: dict[str, Any], status: int = 200) -> HttpResponse:
    return render(request, template, context | {"place": "notebook"}, status=status)
