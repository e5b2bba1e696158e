"""What is said beside a field when nothing more fitting is written for it: plain words for Django's own phrases."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.core import validators

VALIDATORS: Final[dict[Any, str]] = {
    validators.MaxValueValidator: "Write %(limit_value)s or less.",
    validators.MinValueValidator: "Write %(limit_value)s or more.",
    validators.MinLengthValidator: "Write at least %(limit_value)d signs; there are %(show_value)d.",
    validators.MaxLengthValidator: "Write it shorter: %(limit_value)d signs at most; there are %(show_value)d.",
    validators.StepValueValidator: "Write a multiple of %(limit_value)s.",
    validators.ProhibitNullCharactersValidator: "There is a sign in it that cannot be kept; write it anew.",
}
DECIMALS: Final = {
    "invalid": "Write a number.",
    "max_digits": "Write it shorter: %(max)s digits at most.",
    "max_decimal_places": "Write at most %(max)s places after the point.",
    "max_whole_digits": "Write at most %(max)s digits before the point.",
}
FIELDS: Final[dict[Any, dict[str, str]]] = {
    forms.Field: {"required": "Write something here."},
    forms.CharField: {},
    forms.IntegerField: {"invalid": "Write a whole number."},
    forms.FloatField: {"invalid": "Write a number."},
    forms.DecimalField: {"invalid": "Write a number."},
    forms.DateField: {"invalid": "Write the day as year-month-day, such as 2026-03-31."},
    forms.ChoiceField: {"invalid_choice": "Choose one of those offered."},
    forms.TypedChoiceField: {"invalid_choice": "Choose one of those offered."},
    forms.MultipleChoiceField: {
        "invalid_choice": "Choose among those offered.",
        "invalid_list": "Choose among those offered.",
    },
    forms.FileField: {
        "invalid": "Choose the file once more.",
        "missing": "Choose a file.",
        "empty": "There is nothing in that file.",
    },
}


def use_our_words() -> None:
    """Put our words in the place of Django's, for every form of the shop; called once when it starts."""
    for validator, says in VALIDATORS.items():
        validator.message = says
    validators.DecimalValidator.messages = dict(DECIMALS)
    for field, words in FIELDS.items():
        field.default_error_messages = {**field.default_error_messages, **words}
