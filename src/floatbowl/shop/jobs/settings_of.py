"""What the records say beside an entry of a job: the setting, its range, its datum, and which way a needle turns."""

from __future__ import annotations

from floatbowl.reference.facts import Setting
from floatbowl.shop.models import Job, JobEntry
from floatbowl.shop.pages.counter.book import book_of
from floatbowl.shop.standing import current_weigher
from floatbowl.units import parse_length_mm, show_length

#: An entry of a step to the quantity of the records that stands beside it.
BESIDE = {
    "strip-sheet.idle needle": "idle turns",
    "strip-sheet.main needle": "main turns",
    "build.level": "float level",
    "build.datum": "float level",
    "on-the-engine.idle turns": "idle turns",
    "on-the-engine.main turns": "main turns",
}
OPPOSITE = {"richer": "leaner", "leaner": "richer"}


def settings_of(job: Job) -> list[Setting]:
    """The recorded settings of the carburettor the job is taken for."""
    return book_of(current_weigher().reference).settings_of.get(job.carburettor, []) if job.carburettor else []


def spoken_setting(job: Job, entry: str, unit: str = "mm") -> str:
    """The recorded setting beside an entry, in a sentence; empty where none belongs to it or none is recorded."""
    quantity = BESIDE.get(entry)
    if quantity is None:
        return ""
    rows = [row for row in settings_of(job) if row.quantity == quantity]
    if not rows:
        return f"No {quantity} is recorded for this carburettor." if job.carburettor else ""
    return " ".join(spoken(row, unit) for row in rows)


def remark(job: Job, kept: JobEntry | None) -> str:
    """A word where a figure lies outside what the records allow; empty where it does not, or nothing is recorded."""
    if kept is None or kept.number is None or kept.name not in BESIDE:
        return ""
    for row in settings_of(job):
        if row.quantity == BESIDE[kept.name] and row.low is not None and row.high is not None:
            figure = 1000 * kept.number if row.unit == "mm" else kept.number
            if not row.low <= figure <= row.high:
                return f"Outside the recorded {row.low:g} to {row.high:g} {row.unit}: look again, or note why."
    return ""


def spoken(row: Setting, unit: str = "mm") -> str:
    """One setting with its range, datum and direction; a length in millimetres or inches.

    >>> spoken(Setting(carburettor="k", quantity="idle turns", value="1.25", unit="turns out", low=1.0, high=2.0,
    ...     datum="from lightly seated", needle="air", inward="richer"))
    'Recorded idle turns: 1.25 turns out (1 to 2), from lightly seated. Needle for air: in is richer, out is leaner.'
    """
    said = f"Recorded {row.quantity}: {in_unit(row.value, row.unit, unit)}"
    if row.low is not None and row.high is not None:
        low, high = (in_unit(f"{bound:g}", row.unit, unit) for bound in (row.low, row.high))
        said += f" ({low.removesuffix(f' {row.unit}')} to {high.removesuffix(f' {row.unit}')})"
    said += f", {row.datum}." if row.datum else "."
    if row.inward in OPPOSITE:
        kind = f"Needle for {row.needle}" if row.needle else "Needle"
        said += f" {kind}: in is {row.inward}, out is {OPPOSITE[row.inward]}."
    return said


def in_unit(value: str, recorded: str, unit: str) -> str:
    """A recorded value with its unit; a length in the unit that is shown.

    >>> in_unit("15.9", "mm", "inch"), in_unit("1.25", "turns out", "inch")
    ('.626 in', '1.25 turns out')
    """
    if recorded in ("mm", "in") and unit in ("mm", "inch"):
        try:
            return show_length(parse_length_mm(f"{value} {recorded}"), unit)
        except ValueError:
            pass
    return f"{value} {recorded}".rstrip()
