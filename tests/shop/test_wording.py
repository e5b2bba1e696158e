"""Forms speak our words: none of Django's own phrases is left beside a field."""

from __future__ import annotations

import pytest
from django import forms
from django.core import validators


class Everything(forms.Form):
    name = forms.CharField(max_length=3)
    long = forms.CharField(min_length=5, required=False)
    whole = forms.IntegerField(min_value=2, max_value=5)
    low = forms.IntegerField(min_value=2, max_value=5)
    sum = forms.DecimalField(max_digits=4, decimal_places=2)
    places = forms.DecimalField(decimal_places=1)
    day = forms.DateField()
    choice = forms.ChoiceField(choices=[("a", "A")])
    empty = forms.CharField()
    number = forms.IntegerField()


def test_no_phrase_of_the_library_is_shown() -> None:
    form = Everything(
        {"name": "four", "long": "x", "whole": "9", "low": "1", "sum": "12345.678", "places": "1.25", "day": "soon",
         "choice": "b", "empty": "", "number": "x"}
    )  # fmt: skip
    assert set(form.errors) == set(Everything.base_fields)
    said = " ".join(text for errors in form.errors.values() for text in errors)
    for phrase in ("Ensure", "Enter a", "This field", "Select a valid"):
        assert phrase not in said
    assert form.errors["whole"] == ["Write 5 or less."]
    assert form.errors["name"] == ["Write it shorter: 3 signs at most; there are 4."]
    assert form.errors["empty"] == ["Write something here."]


def test_a_validator_that_stands_alone_speaks_so_too() -> None:
    with pytest.raises(forms.ValidationError) as wrong:
        validators.MaxValueValidator(3)(4)
    assert wrong.value.messages == ["Write 3 or less."]
