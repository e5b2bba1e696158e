"""Fields of forms that take what people type: a sum with a decimal point or a decimal comma."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from floatbowl.engine.refusal import Refused
from floatbowl.money.typed import TwoMeaningsError, typed_number


class SumField(forms.DecimalField):
    """A sum of money from 0 with two places at most; an empty one is no sum at all."""

    def __init__(self, **kwargs: Any) -> None:
        told = {"min_value": 0, "max_digits": 10, "decimal_places": 2, "required": False, "localize": False}
        super().__init__(**(told | {"widget": forms.TextInput(attrs={"inputmode": "decimal"})} | kwargs))

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        """The sum; None for an empty field. Raises ValidationError, also for a comma that may mean two things."""
        text = str(value if value is not None else "").strip()
        if text in self.empty_values:
            return None
        try:
            return typed_number(text)
        except TwoMeaningsError as asked:
            raise forms.ValidationError(f"{asked}.") from asked
        except Refused:
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid") from None
