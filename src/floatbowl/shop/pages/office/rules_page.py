"""The shop's own rules: its name, its money and tax, its numbers, and its usual prices."""

from __future__ import annotations

import itertools
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import currencies
from floatbowl.money.tax import Rate
from floatbowl.money.typed import TwoMeaningsError, typed_number
from floatbowl.reference.fault import shown
from floatbowl.shop.fields import SumField
from floatbowl.shop.models import OfficeSettings
from floatbowl.shop.office.patterns import may_be_equal
from floatbowl.shop.office.rules import NUMBERED, check_pattern, number_to_come
from floatbowl.shop.office.written_prices import begun_settings
from floatbowl.shop.pages.counter.page import UNPROCESSABLE
from floatbowl.shop.pages.counter.read_back import RETURN_RULE

SUMS = ("hour_price", "postage", "core_deposit")
NUMBERS = ("offer_number", "invoice_number", "credit_number")
PAPERS = {"offer_number": "Offers", "invoice_number": "Invoices", "credit_number": "Credit notes"}
PRICES = (
    ("no tax", "No tax is charged"),
    ("before tax", "Prices are before tax"),
    ("with tax", "Prices have their tax in them"),
)
ROUNDED = (("total", "on the total of each rate"), ("line", "on each line"))
MOST_DAYS = 3650
WRONG_SUM = {
    "invalid": "Write a sum such as 12.50 or 12,50.",
    "max_decimal_places": "Two places at most.",
    "min_value": "Write a sum from 0; nothing here costs less than nothing.",
}


class RulesForm(forms.ModelForm):  # type: ignore[type-arg]
    """The shop's rules, as they are typed."""

    currency = forms.ChoiceField(label="Currency")
    prices = forms.ChoiceField(label="Tax", choices=PRICES)
    rounded_by = forms.ChoiceField(label="Tax is rounded", choices=ROUNDED)
    rates = forms.CharField(label="Rates of tax", required=False, widget=forms.Textarea(attrs={"rows": 3}))
    hour_price = SumField(label="Price of an hour's work", error_messages=WRONG_SUM)
    postage = SumField(label="Usual postage and packing", error_messages=WRONG_SUM)
    core_deposit = SumField(label="Usual core deposit", error_messages=WRONG_SUM)

    class Meta:
        model = OfficeSettings
        fields = (
            "shop_name", "address", "tax_number", "currency", "prices", "rounded_by", "rates", *NUMBERS,
            "valid_days", "hour_price", "postage", "core_deposit", "return_rule", "how_to_pay", "pay_within_days",
        )  # fmt: skip
        widgets: ClassVar = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "return_rule": forms.Textarea(attrs={"rows": 4}),
            "how_to_pay": forms.Textarea(attrs={"rows": 4}),
            "pay_within_days": forms.TextInput(attrs={"inputmode": "numeric"}),
            "valid_days": forms.TextInput(attrs={"inputmode": "numeric"}),
        }
        labels: ClassVar = {
            "shop_name": "The shop's name, as it stands on every paper",
            "address": "Address",
            "tax_number": "Tax number, with its name",
            "offer_number": "Numbers of offers",
            "invoice_number": "Numbers of invoices",
            "credit_number": "Numbers of credit notes",
            "valid_days": "Offers hold, in days",
            "return_rule": "Return rule, printed on every offer",
            "how_to_pay": "How to pay",
            "pay_within_days": "To be paid within so many days",
        }
        error_messages: ClassVar = {
            "shop_name": {"required": "Write the shop's name: it stands at the head of every paper."},
            "valid_days": {"invalid": "Write a whole number of days, such as 30.", "required": "Write how many days."},
            "pay_within_days": {"invalid": "Write a whole number of days, such as 14; or nothing, for no day."},
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["shop_name"].required = True
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
                percent = str(typed_number(percent))
                rate = Rate(" ".join(name.split()), Decimal(percent))
            except TwoMeaningsError as asked:
                raise forms.ValidationError(f"{shown(row.strip())}: {asked}.") from asked
            except Refused:
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

    def clean_pay_within_days(self) -> int | None:
        days: int | None = self.cleaned_data["pay_within_days"]
        if days is not None and days > MOST_DAYS:
            raise forms.ValidationError(f"Write at most {MOST_DAYS} days.")
        return days

    def clean(self) -> dict[str, Any]:
        """Numbers that can be used and differ, and a rate where tax is charged."""
        told: dict[str, Any] = super().clean() or self.cleaned_data
        for name in NUMBERS:
            try:
                check_pattern(told.get(name, ""))
            except ValueError as wrong:
                self.add_error(name, str(wrong))
        for one, other in itertools.combinations(NUMBERS, 2):
            if not {one, other} & set(self.errors) and may_be_equal(told[one], told[other]):
                named = f"{PAPERS[other]} could come to the same number as {PAPERS[one]}"
                self.add_error(other, f"{named}: give them numbers that differ, such as by a letter in front.")
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
    shown_with = {"place": "office", "form": form, "next": _next_numbers()}
    return render(request, "office/rules.html", shown_with, status=UNPROCESSABLE if form.errors else 200)


def _next_numbers() -> dict[str, str]:
    """What the next paper of each kind will be called, by the rules that are kept."""
    today = timezone.localdate()
    return {name: f"The next one is {number_to_come(kind, today)}." for kind, name in NUMBERED.items()}
