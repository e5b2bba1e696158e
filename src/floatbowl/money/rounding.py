"""Rounding to a step of money, exactly: the amount is a fraction until the last moment, so a half is a half.

Which way a half goes and whether each line or only the total is rounded is the tax authority's to say, and the shop's
to choose where it leaves a choice.
"""

from __future__ import annotations

from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Final, Literal, get_args

from floatbowl.engine.refusal import Refused

How = Literal["half up", "half even", "half down", "down", "up"]
HOWS: Final = get_args(How)
_HALF: Final = Fraction(1, 2)
#: More digits than any sum of money in the shop has.
_DIGITS: Final = 60


def rounded(amount: Fraction, step: Decimal, how: How = "half up") -> Decimal:
    """The amount as a whole number of steps. Below nothing it is the mirror image: a credit undoes a sale.

    ``half up``: 0.5 of a penny or more goes up (HMRC manual VATREC12030; the Australian GST Act s 9-90; Skatteverket).
    ``half down``: exactly half goes down (New Zealand GST Act s 19O lets up to half a cent be disregarded).
    ``down``: to the step below (HMRC Notice 700, para 17.5, a concession on invoices). Raises ``Refused`` for an
    unknown way or a step that is not above 0.

    >>> rounded(Fraction("0.125"), Decimal("0.01")), rounded(Fraction("-0.125"), Decimal("0.01"))
    (Decimal('0.13'), Decimal('-0.13'))
    >>> rounded(Fraction("4.92"), Decimal("0.05"))
    Decimal('4.90')
    """
    if not (step.is_finite() and step > 0):
        raise Refused(f"{step} is no step to round to; write one like 0.01")
    if how not in HOWS:
        raise Refused(f"{how!r} is no way to round; write one of {', '.join(HOWS)}")
    whole, rest = divmod(abs(amount) / Fraction(step), 1)
    if rest and _goes_up(int(whole), rest, how):
        whole += 1
    steps = -int(whole) if amount < 0 else int(whole)
    with localcontext() as context:
        context.prec = _DIGITS
        return steps * step


def _goes_up(whole: int, rest: Fraction, how: How) -> bool:
    if how == "half even":
        return rest > _HALF or (rest == _HALF and whole % 2 == 1)
    return {"half up": rest >= _HALF, "half down": rest > _HALF, "down": False, "up": True}[how]
