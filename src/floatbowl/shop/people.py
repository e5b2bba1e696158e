"""Who is at the counter: choosing a name from the list, adding one, taking one off."""

from __future__ import annotations

from typing import Final

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from floatbowl.shop.models import Person
from floatbowl.shop.security import back_to, remember_who, who_is

LONGEST_NAME: Final = 80


class NameForm(forms.Form):
    """One name, as it shall stand beside changes."""

    name = forms.CharField(
        label="Name",
        max_length=LONGEST_NAME,
        error_messages={"required": "Write a name.", "max_length": "Write a shorter name: at most 80 letters."},
    )

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


def names_here() -> list[str]:
    """The people who work here now, by name."""
    return list(Person.objects.filter(here=True).values_list("name", flat=True))


@require_http_methods(["GET", "POST"])
def choose(request: HttpRequest) -> HttpResponse:
    """Choose who is at this browser; or add a name to the list; or take one off it."""
    onward = request.POST.get("next") or request.GET.get("next") or reverse("home")
    form = NameForm(request.POST if request.POST.get("do") == "add" else None)
    if request.method == "POST":
        if (chosen := request.POST.get("choose", "")) and chosen in names_here():
            return remember_who(back_to(request, onward), chosen)
        if (gone := request.POST.get("remove", "")) and Person.objects.filter(name=gone).update(here=False):
            messages.success(request, f"{gone} is off the list. What they changed keeps their name.")
        elif form.is_bound and form.is_valid():
            Person.objects.update_or_create(name=form.cleaned_data["name"], defaults={"here": True})
            return remember_who(back_to(request, onward), form.cleaned_data["name"])
    shown = {"form": form, "names": names_here(), "next": onward, "current": who_is(request)}
    return render(request, "who.html", shown)


class Naming:
    """Who changes something: the name chosen on this browser, or the one typed into the form itself."""

    def __init__(self, request: HttpRequest) -> None:
        chosen = who_is(request)
        self.asked = not chosen
        self.typed = request.POST.get("who", "")
        self.name = chosen or " ".join(self.typed.split())
        self.names = names_here() if self.asked else []
        self.wrong = self._wrong() if request.method == "POST" else ""

    def _wrong(self) -> str:
        if not self.name:
            return "Say who you are: the name stands beside what you change."
        return "Write a shorter name: at most 80 letters." if len(self.name) > LONGEST_NAME else ""

    @property
    def is_known(self) -> bool:
        """Whether the change may be made in this name."""
        return not self.wrong

    def remember(self, response: HttpResponse) -> HttpResponse:
        """Keep a name that was typed, here and on the list."""
        if self.asked:
            Person.objects.update_or_create(name=self.name, defaults={"here": True})
            remember_who(response, self.name)
        return response
