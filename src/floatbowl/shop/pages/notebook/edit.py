"""Adding, changing and taking out rows: nothing typed is lost, nobody's change is written over unseen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from floatbowl.reference.columns import cell_of, columns_of
from floatbowl.reference.fact import Fact
from floatbowl.reference.facts import TABLES
from floatbowl.shop import people
from floatbowl.shop.models import Change
from floatbowl.shop.models.tables import keys_of
from floatbowl.shop.pages.notebook import labels
from floatbowl.shop.pages.notebook.layout import kind_of_table
from floatbowl.shop.pages.notebook.names import address, is_listed, referred, title
from floatbowl.shop.pages.notebook.record import shown_row
from floatbowl.shop.pages.notebook.rowform import RowForm
from floatbowl.shop.pages.notebook.usage import uses
from floatbowl.shop.records import ChangedMeanwhileError, Stored, add, change, stored
from floatbowl.shop.security import back_to, own_page

OK: Final = 200
CONFLICT: Final = 409
NOT_SAVED: Final = 422


@dataclass(frozen=True, slots=True)
class Meanwhile:
    """What somebody else made of the row while this form was open."""

    who: str
    last: Change | None
    gone: bool
    theirs: dict[str, str]


@require_http_methods(["GET", "POST"])
def add_row(request: HttpRequest, table: str) -> HttpResponse:
    """A new row; the address says which record it belongs to."""
    if table not in TABLES:
        raise Http404
    given = _given(request, table)
    form = RowForm(table, now=None, given=given, data=request.POST if request.method == "POST" else None)
    who = people.Naming(request)
    if request.method == "POST":
        with transaction.atomic():  # What the form found free is still free when the row is written.
            if form.is_valid() and who.is_known:
                row = add(form.fact(), who.name)
                messages.success(request, f"Added: {labels.one(table)} {_called(row)}.")
                return who.remember(back_to(request, _after(request, row)))
    return _page(request, table, form, who, given=given)


@require_http_methods(["GET", "POST"])
def edit_row(request: HttpRequest, table: str, row: int) -> HttpResponse:
    """Change a row. A second person who changes it at the same time is told, and keeps what was typed."""
    if table not in TABLES:
        raise Http404
    now = stored(table, row)
    if request.method == "POST":
        return _save(request, table, row, now)
    if now is None:
        return _gone(request, table)
    form = RowForm(table, now=now.fact, given=_fixed(now.fact))
    return _page(request, table, form, people.Naming(request), now=now, given=_fixed(now.fact))


def _save(request: HttpRequest, table: str, row: int, now: Stored | None) -> HttpResponse:
    shown = request.POST.get("shown", "")
    fixed = _fixed(now.fact) if now else _given(request, table, request.POST)
    form = RowForm(table, now=now.fact if now else None, given=fixed, data=request.POST)
    who = people.Naming(request)
    if now is None or now.print != shown:
        form.is_valid()
        return _meanwhile(request, table, row, form, who, ChangedMeanwhileError(now, _last_change(table, row)), fixed)
    if not (form.is_valid() and who.is_known):
        return _page(request, table, form, who, now=now, given=fixed)
    after = form.fact()
    try:
        change(table, row, shown=shown, after=after, who=who.name)
    except ChangedMeanwhileError as fault:
        return _meanwhile(request, table, row, form, who, fault, fixed)
    messages.success(request, f"Saved: {labels.one(table)} {_called(Stored(table, row, after))}.")
    return who.remember(back_to(request, _after(request, Stored(table, row, after))))


def _meanwhile(
    request: HttpRequest,
    table: str,
    row: int,
    form: RowForm,
    who: people.Naming,
    fault: ChangedMeanwhileError,
    given: dict[str, str],
) -> HttpResponse:
    """Show both texts: what stands now, and what was typed here, which stays in the form."""
    now = fault.now
    typed = {c.name: str(form.data.get(c.name, "")) for c in form.columns}
    theirs = {
        c.name: cell_of(getattr(now.fact, c.field))
        for c in form.columns
        if now and cell_of(getattr(now.fact, c.field)) != typed[c.name]
    }
    told = Meanwhile(fault.last.who if fault.last else "", fault.last, now is None, theirs)
    return _page(request, table, form, who, now=now, given=given, meanwhile=told, status=CONFLICT)


@require_http_methods(["GET", "POST"])
def remove_row(request: HttpRequest, table: str, row: int) -> HttpResponse:
    """Take a row out, after showing what it says; a record that others still name stays."""
    now = stored(table, row) if table in TABLES else None
    if now is None:
        return _gone(request, table)
    who = people.Naming(request)
    kind = kind_of_table(table)
    used = uses(kind, getattr(now.fact, kind.key)) if kind else []
    meanwhile = request.method == "POST" and request.POST.get("shown") != now.print
    if request.method == "POST" and not used and not meanwhile and who.is_known:
        try:
            change(table, row, shown=now.print, after=None, who=who.name)
        except ChangedMeanwhileError:
            meanwhile = True
        else:
            messages.success(request, f"Removed: {labels.one(table)} {_called(now)}. The changes keep what it said.")
            return who.remember(back_to(request, _asked_back(request) or _home_of(now, removed=True)))
    shown = shown_row(now, [c.name for c in columns_of(TABLES[table])], request.path, filled_only=True)
    context = {"one": labels.one(table), "shown": shown, "print": now.print, "used": used, "meanwhile": meanwhile}
    context |= {"naming": who, "called": _called(now), "back": _asked_back(request) or _home_of(now)}
    return render(request, "notebook/remove.html", _placed(context), status=CONFLICT if meanwhile else OK)


def _page(
    request: HttpRequest,
    table: str,
    form: RowForm,
    who: people.Naming,
    *,
    given: dict[str, str],
    now: Stored | None = None,
    meanwhile: Meanwhile | None = None,
    status: int = OK,
) -> HttpResponse:
    theirs = meanwhile.theirs if meanwhile else {}
    context: dict[str, Any] = {
        "form": form,
        "naming": who,
        "lines": [
            {"field": field, "theirs": theirs.get(field.name), "differs": field.name in theirs} for field in form
        ],
        "given": [_given_line(table, column, value) for column, value in given.items()],
        "one": labels.one(table),
        "print": now.print if now else "",
        "meanwhile": meanwhile,
        "is_new": now is None and meanwhile is None,
        "called": _called(now) if now else "",
        "remove": _with_next(request, reverse("notebook:remove", args=[table, now.row])) if now else "",
        "add_again": _with_next(request, reverse("notebook:add", args=[table]), given) if meanwhile else "",
        "back": _asked_back(request) or (_home_of(now) if now else _home_of_given(table, given)),
    }
    if status == OK and form.is_bound and (form.errors or not who.is_known):
        status = NOT_SAVED
    return render(request, "notebook/edit.html", _placed(context), status=status)


def _placed(context: dict[str, Any]) -> dict[str, Any]:
    return context | {"place": "notebook"}


def _gone(request: HttpRequest, table: str) -> HttpResponse:
    one = labels.one(table) if table in TABLES else "record"
    return render(request, "notebook/gone.html", _placed({"one": one}), status=404)


def _given(request: HttpRequest, table: str, also: Any = None) -> dict[str, str]:
    """Columns decided by the address: those that name a record there is."""
    asked = {
        c.name: (also or {}).get(f"given-{c.name}") or request.GET.get(c.name, "") for c in columns_of(TABLES[table])
    }
    return {c: v for c, v in asked.items() if v and (kind := referred(table, c, v)) and is_listed(kind, v)}


def _fixed(fact: Fact) -> dict[str, str]:
    """The column that says which record a row belongs to stays as it is."""
    name = keys_of(type(fact))[0]
    return {name: cell_of(getattr(fact, name))}


def _given_line(table: str, column: str, value: str) -> dict[str, str]:
    own = kind_of_table(table)
    kind = "" if own and own.key == column else referred(table, column, value)
    text = title(kind, value) if kind else value
    return {"label": labels.label(table, column), "text": text, "name": column, "value": value}


def _called(row: Stored) -> str:
    fact = row.fact
    kind = kind_of_table(row.table)
    if kind:
        return str(getattr(fact, "name", "") or getattr(fact, "title", "") or getattr(fact, kind.key))
    shown = [name for name in keys_of(type(fact))[1:] if getattr(fact, name)] or list(keys_of(type(fact))[:1])
    kind_name = referred(row.table, shown[0], cell_of(getattr(fact, shown[0])))
    value = cell_of(getattr(fact, shown[0]))
    return title(kind_name, value) if kind_name else value


def _home_of(row: Stored, removed: bool = False) -> str:
    """The page of the record a row belongs to; for a record that is gone, the list of its kind."""
    own = kind_of_table(row.table)
    if own:
        key = str(getattr(row.fact, own.key))
        return reverse("notebook:kind", args=[own.name]) if removed else address(own.name, key)
    return _home_of_given(row.table, _fixed(row.fact))


def _home_of_given(table: str, given: dict[str, str]) -> str:
    for column, value in given.items():
        if kind := referred(table, column, value):
            return address(kind, value)
    own = kind_of_table(table)
    return reverse("notebook:kind", args=[own.name]) if own else reverse("notebook:home")


def _after(request: HttpRequest, row: Stored) -> str:
    """Back to where the row was seen, at its place there."""
    return f"{request.GET.get('next') or _home_of(row)}#{row.table}-{row.row}"


def _with_next(request: HttpRequest, url: str, given: dict[str, str] | None = None) -> str:
    asked = (given or {}) | ({"next": back} if (back := _asked_back(request)) else {})
    return f"{url}?{urlencode(asked)}" if asked else url


def _asked_back(request: HttpRequest) -> str:
    """The page this one was opened from, if it is one of ours."""
    return own_page(request, request.GET.get("next", ""))


def _last_change(table: str, row: int) -> Change | None:
    return Change.objects.filter(table=table, row=row).order_by("id").last()
