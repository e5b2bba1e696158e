"""Many enquiries weighed at once: read, spread over processes, written in their order or not at all."""

from __future__ import annotations

import gc
import json
import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from floatbowl.reference.enquiries import EnquiryFault, read_enquiries
from floatbowl.reference.observed import Enquiry

if TYPE_CHECKING:
    from floatbowl.identify.weigh import Weigher

#: Enquiries handed to a process at once: few enough that none waits long for the last one.
CHUNK: Final = 25
#: Fewer enquiries than this are not worth a second process.
WORTH_SPREADING: Final = 50


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a file of enquiries: its number, and the enquiry or what is wrong with it."""

    number: int
    told: Enquiry | EnquiryFault


@dataclass(frozen=True, slots=True)
class Result:
    """One line of results. ``fault`` is the whole sentence for a person, empty where the enquiry was weighed."""

    text: str
    fault: str = ""


class _Numbered:
    """Passes lines on and knows the number of the last one."""

    def __init__(self, lines: Iterable[bytes]) -> None:
        self._lines = iter(lines)
        self.number = 0

    def __iter__(self) -> Iterator[bytes]:
        for line in self._lines:
            self.number += 1
            yield line


def read_lines(lines: Iterable[bytes]) -> list[Line]:
    """Every line that is not blank, in order."""
    numbered = _Numbered(lines)
    return [Line(numbered.number, told) for told in read_enquiries(numbered)]


def results(weigher: Weigher, lines: Sequence[Line], jobs: int, done: Callable[[int], None]) -> Iterator[Result]:
    """The result of each line, in order, the same whatever ``jobs`` is; ``done`` is told how many more are through.

    The processes are forked, so that they share the compiled reference; where that cannot be, one process does all.
    Raises ``BrokenProcessPool`` when the system ended one of them.
    """
    chunks = [lines[at : at + CHUNK] for at in range(0, len(lines), CHUNK)]
    for each in _spread(weigher, chunks, jobs):
        done(len(each))
        yield from each


def _spread(weigher: Weigher, chunks: Sequence[Sequence[Line]], jobs: int) -> Iterator[list[Result]]:
    global _weigher
    _weigher = weigher
    with ExitStack() as stack:
        if jobs > 1 and len(chunks) * CHUNK > WORTH_SPREADING and "fork" in multiprocessing.get_all_start_methods():
            gc.freeze()  # So that no process goes through, and copies, the reference in search of garbage.
            stack.callback(gc.unfreeze)
            pool = ProcessPoolExecutor(min(jobs, len(chunks)), multiprocessing.get_context("fork"))
            stack.callback(pool.shutdown, cancel_futures=True)
            yield from pool.map(_weigh_chunk, chunks)
        else:
            yield from map(_weigh_chunk, chunks)


#: What the forked processes find in their copy of this one's memory.
_weigher: Weigher | None = None


def _weigh_chunk(lines: Sequence[Line]) -> list[Result]:
    assert _weigher is not None
    return [_result(_weigher, line) for line in lines]


def _result(weigher: Weigher, line: Line) -> Result:
    from floatbowl.identify.answer import as_result
    from floatbowl.identify.consult import consult

    if isinstance(line.told, EnquiryFault):
        says = f"{line.told.field}: {line.told.says}" if line.told.field else line.told.says
        return _failed(line.number, line.told.enquiry, says)
    try:
        return Result(json.dumps(as_result(consult(weigher, line.told)), ensure_ascii=False))
    except ValueError as fault:
        return _failed(line.number, line.told.enquiry, str(fault))
    except Exception as fault:  # One enquiry that trips the weighing must not cost the other thousands.
        return _failed(line.number, line.told.enquiry, f"cannot be weighed ({type(fault).__name__}: {fault})")


def _failed(number: int, enquiry: str | None, says: str) -> Result:
    place = {"enquiry": enquiry, "line": number, "error": says}
    return Result(json.dumps(place, ensure_ascii=False), f"{number}: {says}")


def cores() -> int:
    """How many processes this machine lets us run at once."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # Not on every system.
        return os.cpu_count() or 1
