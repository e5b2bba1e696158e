"""The wet-bench test record: each test with its limit and figures, what was refused, what was replaced, the result.

Filled in, or printed empty to be filled in by hand at the bench.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final, Literal

from floatbowl.papers.cautions import AIR_LINE, BACKFIRE, GOVERNOR, RUNNING_INDOORS, SENDING, TEST_FLUID
from floatbowl.papers.paper import Caution, Page, as_data, known_choice, printed, square_code, with_own

Outcome = Literal["pass", "fail", "not done", ""]
OUTCOMES: Final = ("pass", "fail", "not done")
BLANK_TESTS: Final = 9
BLANK_PARTS: Final = 4
#: Always printed on a record.
CAUTIONS: Final = (TEST_FLUID, AIR_LINE, SENDING)
#: Printed too when the unit was run on an engine.
ON_AN_ENGINE: Final = (RUNNING_INDOORS, GOVERNOR, BACKFIRE)


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchTest:
    """One test: its limit, how long it ran, the figures before and after the work, each with its unit."""

    name: str
    limit: str = ""
    limit_source: str = ""
    time: str = ""
    before: str = ""
    after: str = ""
    outcome: Outcome = ""
    note: str = ""
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """What was refused, by whom, and where that is written down."""

    what: str
    refused_by: str = ""
    written: str = ""


@dataclass(frozen=True, slots=True)
class ReplacedPart:
    """One part that went in, with its size written out, and where it came from."""

    name: str
    size: str = ""
    origin: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WetBenchRecord:
    """All that the record says. Empty text is "not known" and leaves room to write.

    ``refusals`` and ``parts`` are ``None`` when nobody has said; empty when there are none.
    """

    shop_name: str = ""
    job_number: str = ""
    job_address: str = ""
    date: date | None = None
    owner_name: str = ""
    machine: str = ""
    carburettor: str = ""
    head: str = ""
    fluid: str = ""
    tested_by: str = ""
    on_an_engine: bool = False
    tests: tuple[BenchTest, ...] = ()
    refusals: tuple[Refusal, ...] | None = None
    parts: tuple[ReplacedPart, ...] | None = None
    result: str = ""
    #: Besides the record's own and those of its tests.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def wet_bench_record_pdf(record: WetBenchRecord) -> bytes:
    """The record as a PDF; the same record gives the same bytes.

    Without tests, their places are left blank to be filled in by hand. Raises ``ValueError`` for an unknown page size
    or outcome.
    """
    return printed("test_record.typ", _as_data(record), record.date)


def tally(tests: tuple[BenchTest, ...]) -> str:
    """How the tests came out, counted.

    >>> tally((BenchTest(name="head", outcome="pass"), BenchTest(name="plate", outcome="fail"), BenchTest(name="vent")))
    'Of 3 tests: 1 pass, 1 fail, 1 with no outcome noted.'
    """
    counts = Counter(known_choice(f"outcome of {test.name!r}", test.outcome, OUTCOMES) for test in tests)
    told = [f"{counts[outcome]} {outcome}" for outcome in OUTCOMES if counts[outcome]]
    if counts[""]:
        told.append(f"{counts['']} with no outcome noted")
    return f"Of {len(tests)} test{'' if len(tests) == 1 else 's'}: {', '.join(told)}." if tests else ""


def _as_data(record: WetBenchRecord) -> dict[str, Any]:
    own = CAUTIONS + (ON_AN_ENGINE if record.on_an_engine else ())
    counted = tally(record.tests)
    tests = record.tests or (BenchTest(name=""),) * BLANK_TESTS
    parts = (ReplacedPart(""),) * BLANK_PARTS if record.parts is None else record.parts
    filled = replace(record, tests=tests, parts=parts, cautions=with_own(own, record.cautions))
    return as_data(filled) | {"outcomes": OUTCOMES, "tally": counted, "code": square_code(record.job_address)}
