"""The whole way of one enquiry: weigh, look for the next look, advise, explain."""

from __future__ import annotations

from dataclasses import replace

from floatbowl.identify.advice import advise
from floatbowl.identify.answer import CUT_OFF, Answer, NextLook
from floatbowl.identify.confirm import confirming_look
from floatbowl.identify.explain import contradictions, differences, reasons, warnings
from floatbowl.identify.looks import next_looks
from floatbowl.identify.weigh import Standing, Weigher
from floatbowl.reference.observed import Enquiry


def consult(weigher: Weigher, enquiry: Enquiry) -> Answer:
    """Everything there is to say about one enquiry. Raises ``ReadingError`` for a reading that cannot be a number."""
    return answer_of(weigher.weigh(enquiry))


def answer_of(standing: Standing) -> Answer:
    """The answer of a standing."""
    looks = next_looks(standing)
    advice = advise(standing, looks)
    said, parts = contradictions(standing)
    return Answer(
        enquiry=standing.enquiry,
        carburettors=standing.carburettors(CUT_OFF),
        kits=standing.kits(CUT_OFF),
        not_listed=standing.not_listed,
        mixed=standing.mixed,
        no_kit=standing.no_kit,
        advice=advice,
        next=tuple(_with_why(look) for look in looks or _confirming(standing, advice.action)),
        reasons=reasons(standing),
        contradictions=said,
        differences=differences(standing),
        warnings=warnings(standing, advice.kit),
        parts=parts,
    )


def _confirming(standing: Standing, action: str) -> tuple[NextLook, ...]:
    look = confirming_look(standing) if action == "ask" else None
    return (look,) if look is not None else ()


def _with_why(look: NextLook) -> NextLook:
    if look.bits >= 1.0:
        why = "Settles most of what is open about the kit."
    elif look.bits >= 0.3:
        why = "Narrows the kits well for the time it takes."
    else:
        why = "Tells a little more about the kit."
    return replace(look, why=why)
