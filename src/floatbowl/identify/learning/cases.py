"""Confirmed enquiries: what was told, and which carburettor it turned out to be."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from floatbowl.reference.enquiries import EnquiryFault, read_enquiries
from floatbowl.reference.observed import Enquiry

#: One case in so many is held back: it judges the new rates and takes no part in fitting them.
HELD_BACK_ONE_IN: Final = 4


@dataclass(frozen=True, slots=True)
class Case:
    """An enquiry, and the key of the carburettor it was confirmed to be; ``None``: one that is in no records here."""

    enquiry: Enquiry
    confirmed: str | None


def read_cases(lines: Iterable[bytes]) -> Iterator[Case | EnquiryFault]:
    """Enquiry lines that also say ``confirmed``, or what is wrong with a line. Blank lines are passed over."""
    for number, line in enumerate(lines, start=1):
        for told in read_enquiries([line]):
            yield replace(told, line=number) if isinstance(told, EnquiryFault) else _case(told, line, number)


def _case(enquiry: Enquiry, line: bytes, number: int) -> Case | EnquiryFault:
    told = json.loads(line.decode("utf-8-sig"))
    if "confirmed" not in told:
        says = "is missing; give the confirmed carburettor's key, or null for one that is not in the records"
        return EnquiryFault(number, enquiry.enquiry, "confirmed", says)
    confirmed = told["confirmed"]
    if confirmed is not None and not (isinstance(confirmed, str) and confirmed.strip()):
        return EnquiryFault(number, enquiry.enquiry, "confirmed", "is neither a carburettor's key nor null")
    return Case(enquiry, confirmed.strip() if confirmed is not None else None)


def split(cases: Sequence[Case], seed: int) -> tuple[list[Case], list[Case]]:
    """Cases to fit, and cases held back: by the enquiry's name, so that one enquiry told twice is never in both."""
    held = [_number(case.enquiry.enquiry, seed) % HELD_BACK_ONE_IN == 0 for case in cases]
    return (
        [case for case, back in zip(cases, held, strict=True) if not back],
        [case for case, back in zip(cases, held, strict=True) if back],
    )


def _number(name: str, seed: int) -> int:
    return int.from_bytes(hashlib.sha256(f"{seed} {name}".encode("utf-8", "surrogatepass")).digest()[:8], "big")
