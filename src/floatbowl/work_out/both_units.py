"""A length in both units, as it is said to people whose gauges are in either."""

from __future__ import annotations

from floatbowl.units import MM_PER_INCH


def in_both(length_m: float, places: int = 2) -> str:
    """A length in millimetres and thousandths of an inch, to so many places of a millimetre and one more of an inch.

    >>> in_both(0.00025), in_both(0.009525, 3), in_both(-0.0008, 1)
    ('0.25 mm (.010 in)', '9.525 mm (.3750 in)', '-0.8 mm (-.03 in)')
    """
    mm, inches = length_m * 1000, length_m * 1000 / MM_PER_INCH
    return f"{mm:.{places}f} mm ({inches:.{places + 1}f} in)".replace("(0.", "(.").replace("(-0.", "(-.")
