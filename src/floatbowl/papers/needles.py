"""Which way a mixture needle turns richer: decided by whether it closes fuel or air, and by nothing else."""

from __future__ import annotations

from typing import Final, Literal

from floatbowl.papers.paper import known_choice

#: What an adjuster closes: ``fuel``, ``air``, ``neither`` (a speed screw), or empty: nobody has looked.
Governs = Literal["fuel", "air", "neither", ""]
GOVERNS: Final = ("fuel", "air", "neither")

_DIRECTION: Final = {
    "fuel": "needle for FUEL: out is richer, in is leaner",
    "air": "needle for AIR: out is leaner, in is richer",
    "neither": "no mixture needle",
    "": "not known whether it is for fuel or for air: find out before you turn it",
}


def direction(governs: Governs) -> str:
    """Which way is richer, in words. Raises ``ValueError`` for another word than fuel, air or neither.

    A needle that closes fuel lets more through when it is turned out, one that closes air leans the mixture (two
    army handbooks state opposite directions for their carburettors: TM 10-3930-644-14&P in is richer, an air needle;
    TM 9-2320-211-20 in is leaner, a fuel needle).

    >>> direction("air")
    'needle for AIR: out is leaner, in is richer'
    """
    return _DIRECTION[known_choice("needle for", governs, GOVERNS)]
