"""Suppliers: who they are, their terms, and their prices with dates."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from floatbowl.money.amount import currencies
from floatbowl.shop.models import Supplier
from floatbowl.shop.models.shelf import KIT, PART
from floatbowl.shop.pages.shelf.sending import (
    UNPROCESSABLE,
    AtFieldError,
    day_of,
    pieces,
    sent_name,
    sum_of,
    text_of,
    with_names,
)
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf.buying import terms_now, terms_to_come, write_price
from floatbowl.shop.shelf.things import Named, things_now

MOST_PRICES = 500


class SupplierForm(forms.ModelForm):  # type: ignore[type-arg]
    """A supplier's terms."""

    class Meta:
        model = Supplier
        fields = (
            "name", "address", "our_number", "currency", "minimum", "freight", "freight_free_from", "lead_days", "note",
        )  # fmt: skip
        labels: ClassVar = {
            "name": "Name",
            "address": "Address",
            "our_number": "Our number with them",
            "currency": "Currency, three letters",
            "minimum": "Least order, goods in all",
            "freight": "Freight",
            "freight_free_from": "Freight free from",
            "lead_days": "Days from order to arrival",
            "note": "Note",
        }
        widgets: ClassVar = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 2}),
            "minimum": forms.TextInput(attrs={"inputmode": "decimal"}),
            "freight": forms.TextInput(attrs={"inputmode": "decimal"}),
            "freight_free_from": forms.TextInput(attrs={"inputmode": "decimal"}),
        }
        error_messages: ClassVar = {
            "name": {"required": "Write the supplier's name.", "unique": "This supplier is there already."},
            "minimum": {"invalid": "Write a sum such as 120 or 120.50."},
            "freight": {"invalid": "Write a sum such as 9.50."},
            "freight_free_from": {"invalid": "Write a sum such as 250."},
            "lead_days": {"invalid": "Write a number of days."},
        }

    def clean_currency(self) -> str:
        """Three capitals of a currency known here."""
        text = str(self.cleaned_data["currency"]).upper()
        if text not in currencies():
            raise forms.ValidationError(f"Write the three letters of a currency: {', '.join(currencies())}.")
        return text

    def clean(self) -> dict[str, Any]:
        """No sum below nothing."""
        told = super().clean() or {}
        for name in ("minimum", "freight", "freight_free_from"):
            if (told.get(name) or 0) < 0:
                self.add_error(name, "A sum is not below nothing.")
        return told


@require_http_methods(["GET", "POST"])
def home(request: HttpRequest) -> HttpResponse:
    """All suppliers, and a form for a new one."""
    form = SupplierForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        supplier = form.save()
        return redirect("shelf:supplier", supplier.pk)
    shown_with = with_names(door="suppliers", suppliers=Supplier.objects.all(), form=form)
    return render(request, "shelf/suppliers.html", shown_with, status=UNPROCESSABLE if form.is_bound else 200)


@require_http_methods(["GET", "POST"])
def show(request: HttpRequest, number: int) -> HttpResponse:
    """One supplier: terms to change, and prices."""
    supplier = get_object_or_404(Supplier, pk=number)
    form = SupplierForm(request.POST or None, instance=Supplier.objects.get(pk=number))
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Kept.")
        return redirect("shelf:supplier", number)
    return render(
        request, "shelf/supplier.html", _whole(supplier, form), status=UNPROCESSABLE if form.is_bound else 200
    )


def _whole(supplier: Supplier, form: SupplierForm, refused: dict[str, str] | None = None) -> dict[str, Any]:
    things = things_now()
    terms = terms_now(supplier)
    prices = [(things.of(*named), found[0]) for named, found in terms.items()]
    prices.sort(key=lambda row: row[0].name)
    later = [(things.of(*one.named), one) for one in terms_to_come(supplier)]
    return with_names(
        door="suppliers",
        supplier=supplier,
        form=form,
        prices=prices[:MOST_PRICES],
        more=max(0, len(prices) - MOST_PRICES),
        later=later[:MOST_PRICES],
        more_later=max(0, len(later) - MOST_PRICES),
        today=timezone.localdate(),
        refused=refused or {},
    )


@require_POST
def price(request: HttpRequest, number: int) -> HttpResponse:
    """Keep one price with its day."""
    supplier = get_object_or_404(Supplier, pk=number)
    try:
        named = item_named(text_of(request, "item", 200))
        new = _keep(request, supplier, named)
    except AtFieldError as wrong:
        refused = {"field": wrong.field, "wrong": str(wrong)}
        shown_with = _whole(supplier, SupplierForm(instance=supplier), refused) | {"typed": request.POST}
        return render(request, "shelf/supplier.html", shown_with, status=UNPROCESSABLE)
    messages.success(request, _kept_says(request, things_now().of(*named).name, new))
    return redirect("shelf:supplier", number)


def _kept_says(request: HttpRequest, name: str, new: bool) -> str:
    if not new:
        return f"That price of {name} was known already."
    since = day_of(request, "since") or timezone.localdate()
    until = f" It holds from {since:%d %B %Y} on, and not before." if since > timezone.localdate() else ""
    return f"The price of {name} is kept.{until}"


def _keep(request: HttpRequest, supplier: Supplier, named: Named) -> bool:
    told = sum_of(request, "price")
    try:
        return write_price(
            supplier,
            named,
            told or Decimal(0),
            since=day_of(request, "since") or timezone.localdate(),
            who=who_is(request),
            pack=pieces(request, "pack"),
            from_pieces=pieces(request, "from_pieces"),
            number=text_of(request, "number", 120),
            sent=sent_name(request),
        )
    except AtFieldError:
        raise
    except ValueError as wrong:
        raise AtFieldError("price", f"{str(wrong)[:1].upper()}{str(wrong)[1:]}.") from wrong


def item_named(text: str) -> Named:
    """The kit or part by its number or its whole name. Raises AtFieldError."""
    folded = text.casefold()
    things = things_now().all
    found = [named for named, thing in things.items() if folded in (named[1].casefold(), thing.name.casefold())]
    if len(found) == 1:
        return found[0]
    if len(found) > 1:
        raise AtFieldError("item", "Several are called so: write its number.")
    near = [thing for thing in things.values() if folded and all(word in thing.searched for word in folded.split())]
    kinds = {KIT: "kit", PART: "part"}
    like = "; ".join(f"{thing.key} ({kinds[thing.kind]}, {thing.name})" for thing in near[:4])
    raise AtFieldError("item", f"No kit or part has this number. {f'Near it: {like}.' if like else ''}".strip())
