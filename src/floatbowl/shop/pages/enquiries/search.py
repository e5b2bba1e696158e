"""Finding an enquiry again: by caller, telephone, machine, or a number read or read back."""

from __future__ import annotations

import re

from django.db.models import Q, QuerySet

from floatbowl.shop.models.enquiry import Enquiry, Evidence, digits, plain

#: Doubtful readings are compared one by one; so many of the latest.
MOST_COMPARED = 5_000
FEWEST_SIGNS = 3


def find(words: str, which: str = "") -> QuerySet[Enquiry]:
    """Enquiries that the words fit, latest first; ``which`` is ``open``, an outcome, or empty for all."""
    found = Enquiry.objects.all()
    if which == "open":
        found = found.filter(closed_at=None)
    elif which:
        found = found.filter(outcome=which)
    words = words.strip()
    if words:
        found = found.filter(_fits(words)).distinct()
    return found


def _fits(words: str) -> Q:
    fits = Q(caller__icontains=words) | Q(in_hand__machine_text__icontains=words) | Q(notes__icontains=words)
    if re.fullmatch(r"[Ee]?\d{1,9}", words):
        fits |= Q(pk=int(words.lstrip("Ee")))
    if len(digits(words)) >= FEWEST_SIGNS:
        fits |= Q(phone_digits__contains=digits(words))
    number = plain(words)
    if len(number) >= FEWEST_SIGNS:
        fits |= Q(in_hand__read_backs__number_plain__contains=number, in_hand__read_backs__withdrawn_at=None)
        fits |= Q(in_hand__evidence__text_plain__contains=number, in_hand__evidence__struck_at=None)
        fits |= Q(in_hand__evidence__in=_doubtful_fitting(number))
    return fits


def _doubtful_fitting(number: str) -> list[int]:
    """Readings with doubtful places that may be this number."""
    doubtful = Evidence.objects.filter(kind=Evidence.READING, struck_at=None)
    doubtful = doubtful.filter(Q(text__contains="?") | Q(text__contains="[") | Q(text__contains="*"))
    rows = doubtful.order_by("-pk").values_list("pk", "text")[:MOST_COMPARED]
    return [pk for pk, text in rows if reading_fits(text, number)]


def reading_fits(text: str, number: str) -> bool:
    """Whether a reading with doubtful places may be this number (capitals and digits only).

    >>> reading_fits("K3?/11[83]", "K36118"), reading_fits("K3?/11[83]", "K36115")
    (True, False)
    >>> reading_fits("?????", "K3611")
    False
    """
    pattern, known = "", 0
    for lost, unread, some, sign in re.findall(r"(\*)|(\?)|\[([^\]]*)\]|\\?(.)", text.upper()):
        if lost:
            pattern += "[A-Z0-9]*"
        elif unread:
            pattern += "[A-Z0-9]?"
        elif some:
            choices = "".join(c for c in some if c.isalnum())
            pattern += f"[{choices}]" if choices else ""
            known += 1
        elif sign.isalnum():
            pattern += re.escape(sign)
            known += 1
    return known >= FEWEST_SIGNS and re.fullmatch(pattern, number) is not None
