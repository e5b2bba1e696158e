"""What may be typed at the counter, and what is said beside a field that cannot be taken."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from floatbowl.identify.numbers import LONGEST_READING
from floatbowl.reference.facts import FeatureKind
from floatbowl.reference.observed import UNINFORMATIVE
from floatbowl.shop.models.enquiry import Enquiry, InHand, ReadBack
from floatbowl.shop.pages.counter import choices
from floatbowl.units import parse_length_mm

FIRST_YEAR, LAST_YEAR = 1880, 2100


class CallerForm(forms.ModelForm):  # type: ignore[type-arg]
    """Who rang, and which version of the kit they want."""

    class Meta:
        model = Enquiry
        fields = ("caller", "phone", "want_level", "want_fuel", "notes")
        error_messages: ClassVar = {
            "caller": {"max_length": "A name can have 200 characters at most. Put the rest under notes."},
            "phone": {"max_length": "A telephone number can have 80 characters at most. Put the rest under notes."},
        }


class MachineForm(forms.ModelForm):  # type: ignore[type-arg]
    """What it came on."""

    year = forms.CharField(required=False, max_length=20)

    class Meta:
        model = InHand
        fields = ("label", "machine_text", "serial", "year")
        error_messages: ClassVar = {
            "machine_text": {"max_length": "200 characters at most. Put the rest under notes."},
            "serial": {"max_length": "80 characters at most. Put the rest under notes."},
        }

    def clean_year(self) -> int | None:
        typed = self.cleaned_data["year"].strip()
        if not typed:
            return None
        if not (typed.isascii() and typed.isdigit() and FIRST_YEAR <= int(typed) <= LAST_YEAR):
            raise forms.ValidationError("A year is four figures, such as 1948. Leave it empty when it is not known.")
        return int(typed)


class ReadingForm(forms.Form):
    """A number as somebody read it, where it stands and how it reached us."""

    text = forms.CharField(
        strip=True,
        max_length=200,
        error_messages={
            "required": "Type what can be read. Write ? for each character that cannot be read.",
            "max_length": "No number is that long (200 characters at most). Type only the number.",
        },
    )
    part = forms.CharField(required=False, max_length=120)
    # Not "form": a field of that name hides the form from scripts.
    made = forms.ChoiceField(required=False, choices=choices.FORMS)
    via = forms.ChoiceField(required=False, choices=choices.VIAS)
    group = forms.CharField(required=False, max_length=120)

    def clean_text(self) -> str:
        text: str = self.cleaned_data["text"]
        if len(text) > LONGEST_READING and "[" not in text:
            raise forms.ValidationError(
                f"No number is that long ({LONGEST_READING} characters at most). Type only the number."
            )
        if not any(c.isalnum() or c in "?*[{" for c in text):
            raise forms.ValidationError("There is no letter or figure in that. Type the number as it can be read.")
        return text


class LookForm(forms.Form):
    """An answer to a look: one of its choices, a figure with its tool, or unsure."""

    value = forms.CharField(required=False, strip=True, max_length=80)
    tool = forms.CharField(required=False, max_length=120)
    via = forms.ChoiceField(required=False, choices=choices.VIAS)
    coached = forms.BooleanField(required=False)
    group = forms.CharField(required=False, max_length=120)

    def __init__(self, kind: FeatureKind, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "value" not in cleaned:
            return cleaned
        value = cleaned["value"]
        cleaned["number"] = None
        if value in UNINFORMATIVE:
            return cleaned
        if self.kind.kind == "measure":
            self._take_figure(cleaned, value)
        elif value not in self.kind.choice_list:
            offered = ", ".join(self.kind.choice_list)
            self.add_error("value", f"Choose one of the answers: {offered}; or unsure, or cannot see it.")
        return cleaned

    def _take_figure(self, cleaned: dict[str, Any], value: str) -> None:
        try:
            cleaned["number"] = figure(value, self.kind.unit)
        except ValueError as wrong:
            self.add_error("value", str(wrong) if value else "Type the figure, or choose unsure or cannot see it.")


def figure(typed: str, unit: str) -> float:
    """A measured figure in the look's unit; inches and fractions where it is a length.

    Raises ValueError that says what to type instead.
    """
    if unit in ("mm", ""):
        try:
            if unit == "mm":
                return parse_length_mm(typed)
            return float(typed.replace(",", "."))
        except ValueError:
            pass
    else:
        try:
            return float(typed.lower().removesuffix(unit.lower()).strip().replace(",", "."))
        except ValueError:
            pass
    example = 'such as 60.5, or 2 3/8" in inches' if unit == "mm" else f"such as 12{f' ({unit})' if unit else ''}"
    raise ValueError(f"“{typed}” is not a figure we can take. Type one {example}.")


class CloseForm(forms.ModelForm):  # type: ignore[type-arg]
    """How a call ended; a lost one needs its reason, since that is what tells us what to keep on the shelf."""

    class Meta:
        model = Enquiry
        fields = ("outcome", "why")

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if not cleaned.get("outcome"):
            self.add_error("outcome", "Choose how the call ended.")
        if cleaned.get("outcome") == "lost" and not (cleaned.get("why") or "").strip():
            self.add_error("why", "Say why it was lost, in a few words: no kit, price, went elsewhere …")
        if cleaned.get("outcome") == "sold" and not (cleaned.get("why") or "").strip() and not self._read_back():
            self.add_error("why", "No kit was read back in this call. Read it back first, or write here what was sold.")
        return cleaned

    def _read_back(self) -> bool:
        return ReadBack.objects.filter(in_hand__enquiry=self.instance, withdrawn_at=None).exists()
