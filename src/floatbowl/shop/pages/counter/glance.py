"""A quick answer while a number is still being typed: what it looks like so far, no advice and no next look."""

from __future__ import annotations

from floatbowl.identify.answer import CUT_OFF, Advice, Answer
from floatbowl.identify.explain import contradictions, differences, reasons
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.observed import Enquiry


def glance(weigher: Weigher, enquiry: Enquiry) -> Answer:
    """The standing of an unfinished enquiry. Raises ``ReadingError`` for what cannot be a number."""
    standing = weigher.weigh(enquiry)
    said, parts = contradictions(standing)
    return Answer(
        enquiry=enquiry,
        carburettors=standing.carburettors(CUT_OFF),
        kits=standing.kits(CUT_OFF),
        not_listed=standing.not_listed,
        mixed=standing.mixed,
        no_kit=standing.no_kit,
        advice=Advice("ask", None),
        reasons=reasons(standing),
        contradictions=said,
        differences=differences(standing),
        parts=parts,
    )
