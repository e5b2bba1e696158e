"""The shop's own rules: its name, its money and tax, its numbers, and its usual prices."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import currencies
from floatbowl.money.tax import Rate
from floatbowl.reference.fault import shown
from floatbowl.shop.models import OfficeSettings
from floatbowl.shop.office.drafting import begun_settings
from floatbowl.shop.office.rules import check_pattern
from floatbowl.shop.pages.counter.page import UNPROCESSABLE
from floatbowl.shop.pages.counter.read_back import RETURN_RULE

SUMS = ("hour_price", "postage", "core_deposit")
NUMBERS = ("offer_number", "invoice_number", "credit_number")
PRICES = (
    ("no tax", "No tax is charged"),
    ("before tax", "Prices are before tax"),
    ("with tax", "Prices have their tax in them"),
)
ROUNDED = (("total", "on the total of each rate"), ("line", "on each line"))
MOST_DAYS = 3650


class RulesForm(forms.ModelForm):  # type: ignore[type-arg]
    """The shop's rules, as they are typed."""

    currency = forms.ChoiceField(label="Currency")
    prices = forms.ChoiceField(label="Tax", choices=PRICES)
    rounded_by = forms.ChoiceField(label="Tax is rounded", choices=ROUNDED)
    rates = forms.CharField(label="Rates of tax", required=False, widget=forms.Textarea(attrs={"rows": 3}))

    class Meta:
        model = OfficeSettings
        fields = (
            "shop_name", "address", "tax_number", "currency", "prices", "rounded_by", "rates", *NUMBERS,
            "valid_days", "hour_price", "postage", "core_deposit", "return_rule",
        )  # fmt: skip
        widgets: ClassVar = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "return_rule": forms.Textarea(attrs={"rows": 4}),
            "valid_days": forms.TextInput(attrs={"inputmode": "numeric"}),
            **{name: forms.TextInput(attrs={"inputmode": "decimal"}) for name in SUMS},
        }
        labels: ClassVar = {
            "shop_name": "The shop's name, as it stands on every paper",
            "address": "Address",
            "tax_number": "Tax number, with its name",
            "offer_number": "Numbers of offers",
            "invoice_number": "Numbers of invoices",
            "credit_number": "Numbers of credit notes",
            "valid_days": "Offers hold, in days",
            "hour_price": "Price of an hour's work",
            "postage": "Usual postage and packing",
            "core_deposit": "Usual core deposit",
            "return_rule": "Return rule, printed on every offer",
        }
        error_messages: ClassVar = {
            **{
                name: {
                    "invalid": "Write a sum with a decimal point, such as 12.50.",
                    "max_decimal_places": "Two places at most.",
                }
                for name in SUMS
            },
            "valid_days": {"invalid": "Write a whole number of days, such as 30.", "required": "Write how many days."},
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        codes = [(each.code, f"{each.code}, {each.name}") for each in currencies().values()]
        self.fields["currency"].choices = codes  # type: ignore[attr-defined]
        self.initial["rates"] = "\n".join(f"{name} {percent}" for name, percent in self.instance.rates)
        self.initial["return_rule"] = self.instance.return_rule or RETURN_RULE

    def clean_rates(self) -> list[list[str]]:
        """Each row a name and a percentage."""
        found: list[list[str]] = []
        for row in filter(str.strip, self.cleaned_data["rates"].splitlines()):
            name, _, percent = row.strip().removesuffix("%").rstrip().rpartition(" ")
            try:
                rate = Rate(" ".join(name.split()), Decimal(percent))
            except (InvalidOperation, Refused):
                raise forms.ValidationError(
                    f"{shown(row.strip())} is no rate: write its name and its percentage."
                ) from None
            if not rate.name:
                raise forms.ValidationError(f"{shown(row.strip())} has no name: write one before it, such as standard.")
            if any(rate.name == known for known, _ in found):
                raise forms.ValidationError(f"There are two rates called {rate.name}; give each its own name.")
            found.append([rate.name, percent])
        return found

    def clean_valid_days(self) -> int:
        days: int = self.cleaned_data["valid_days"]
        if not 1 <= days <= MOST_DAYS:
            raise forms.ValidationError(f"Write from 1 to {MOST_DAYS} days.")
        return days

    def clean(self) -> dict[str, Any]:
        """Numbers that can be used and differ, and a rate where tax is charged."""
        told: dict[str, Any] = super().clean() or self.cleaned_data
        for name in NUMBERS:
            try:
                check_pattern(told.get(name, ""))
            except ValueError as wrong:
                self.add_error(name, str(wrong))
        if len({told.get(name) for name in NUMBERS}) < len(NUMBERS) and not self.errors:
            self.add_error("credit_number", "Give offers, invoices and credit notes numbers that differ.")
        if told.get("prices") != "no tax" and "rates" in told and not told["rates"]:
            self.add_error("rates", "Write at least one rate, such as standard 20; or choose that no tax is charged.")
        self._ask_about_sums(told)
        return told

    def _ask_about_sums(self, told: dict[str, Any]) -> None:
        """In another currency a usual price is another number; ask once before the old one is kept."""
        before, code = self.initial.get("currency"), told.get("currency")
        if not code or code == before or self.data.get("meant") == code:
            return
        for name in SUMS:
            if told.get(name) is not None and told[name] == self.initial.get(name):
                was = f"{told[name]} {before}"
                self.add_error(name, f"This was {was}. Write it in {code}, or keep it once more if it is meant so.")


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest) -> HttpResponse:
    """The shop's rules, shown and changed; papers already made keep theirs."""
    form = RulesForm(request.POST or None, instance=begun_settings())
    if request.method == "POST" and form.is_valid():
        changed = form.save(commit=False)
        changed.save(update_fields=list(RulesForm.Meta.fields))
        messages.success(request, "Kept. Papers made from now on follow it; those already made stay as they are.")
        return redirect("office:rules")
    return render(
        request, "office/rules.html", {"place": "office", "form": form}, status=UNPROCESSABLE if form.errors else 200
    )
