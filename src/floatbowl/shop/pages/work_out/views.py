"""What can be worked out: the list, and one page a calculation."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.template import TemplateDoesNotExist
from django.template.loader import get_template
from django.urls import reverse
from django.views.decorators.http import require_safe

from floatbowl.shop.pages.work_out.forms import (
    LENGTHS_NAME,
    TURN_NAME,
    fields_of,
    lengths_of,
    query_of,
    turned,
    typed_texts,
)
from floatbowl.shop.pages.work_out.plot import plotted
from floatbowl.shop.unit import choose_unit, shown_unit
from floatbowl.work_out.as_json import shown_ask
from floatbowl.work_out.asking import Outcome, worked
from floatbowl.work_out.calculation import DIRECTION_ONLY, Calculation
from floatbowl.work_out.everything import Group, calculations, groups
from floatbowl.work_out.spoken import Lengths, spoken


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Everything that can be worked out, by group, with a box to look for one."""
    words = request.GET.get("find", "").strip()
    lengths = lengths_of(request.GET.dict(), shown_unit(request))
    query = _lengths_query(request, lengths)
    context = {"words": words, "groups": found(words), "lengths": lengths, "query": query}
    if request.headers.get("HX-Target") == "found":
        return render(request, "work_out/_found.html", context)
    return _page(request, "work_out/home.html", context)


def found(words: str) -> list[Group]:
    """The groups with the calculations that speak of every word."""
    wanted = words.casefold().split()
    kept = [
        Group(group.title, tuple(one for one in group.calculations if all(word in _text(one) for word in wanted)))
        for group in groups()
    ]
    return [group for group in kept if group.calculations]


def _text(one: Calculation) -> str:
    return " ".join((one.key, one.title, one.about, *(ask.says for ask in one.asks))).casefold()


@require_safe
def calculation(request: HttpRequest, key: str) -> HttpResponse:
    """One calculation: what it asks, and the answer to what was typed so far."""
    one = calculations().get(key)
    if one is None:
        raise Http404
    sent = request.GET.dict()
    lengths = lengths_of(sent, shown_unit(request))
    if into := sent.get(TURN_NAME):
        return choose_unit(HttpResponseRedirect(f"{request.path}?{turned(one, sent, lengths, into)}"), into)
    texts, doubts = typed_texts(one, sent)
    outcome = worked(one, texts, doubts, lengths)
    fields = fields_of(one, sent, lengths, outcome)
    context = {
        "one": one,
        "fields": fields,
        "any_doubted": any(field.doubted for field in fields),
        "doubt_typed": any(field.doubt_typed for field in fields),
        "lengths": lengths,
        "other": "inch" if lengths == "mm" else "mm",
        "lengths_name": LENGTHS_NAME,
        "turn_name": TURN_NAME,
        "back": f"{reverse('work_out:home')}{_lengths_query(request, lengths)}",
        "address": f"{request.path}?{query_of(one, sent, lengths)}",
        "drawing": drawing_of(one),
        "direction_only": "" if one.validated else DIRECTION_ONLY,
        **_answer(one, outcome, lengths),
    }
    if request.headers.get("HX-Target") == "answer":
        return render(request, "work_out/_renewed.html", context)
    return _page(request, "work_out/calculation.html", context)


def drawing_of(one: Calculation) -> str:
    """The template of the line drawing of what to measure; empty where there is none."""
    template = f"work_out/drawings/{one.drawing}.svg"
    try:
        get_template(template)
    except TemplateDoesNotExist:
        return ""
    return template


def _answer(one: Calculation, outcome: Outcome, lengths: Lengths) -> dict[str, Any]:
    answer = outcome.answer
    if answer is None:
        return {"answer": None, "says": "", "why_not": _why_not(one, outcome)}
    return {
        "answer": answer,
        "says": answer.says,
        "is_example": outcome.is_example,
        "why_not": "",
        "figures": [(figure.says, spoken(figure, lengths)) for figure in answer.figures],
        "notes": [note for note in answer.notes if note != DIRECTION_ONLY],
        "doubtful": any(figure.sd for figure in answer.figures),
        "plot": plotted(answer.curve) if answer.curve else None,
        "usual_used": [
            (ask.says, shown_ask(ask, outcome, lengths))
            for ask in one.asks
            if ask.name in outcome.values and ask.name not in outcome.told
        ],
    }


def _why_not(one: Calculation, outcome: Outcome) -> str:
    if outcome.refused:
        return outcome.refused
    missing = [text.removeprefix("is needed: ") for text in outcome.faults.values() if text.startswith("is needed: ")]
    if len(missing) == len(outcome.faults):
        return f"Still needed: {'; '.join(missing)}."
    return "There is no answer yet: look at the field marked with a cross."


def _lengths_query(request: HttpRequest, lengths: Lengths) -> str:
    """The unit, where the address must say it because this browser would choose the other one."""
    return f"?{LENGTHS_NAME}={lengths}" if lengths != shown_unit(request) else ""


def _page(request: HttpRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    return render(request, template, context | {"place": "work-out"})
