"""What is wrong with a pack, one clear line a fault, and the exception that carries all of them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

#: Faults told one by one; more than these are only counted.
MOST_TOLD: Final = 200
#: Characters of a wrong cell that are shown.
SHOWN: Final = 40


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, where it is, and what to do. ``line`` 0 and an empty ``column`` mean the whole file.

    >>> print(Fault("marks.csv", 12, "form", "'stampd' is not one of stamped, cast, printed; write one of these"))
    marks.csv:12: form: 'stampd' is not one of stamped, cast, printed; write one of these
    """

    file: str
    line: int
    column: str
    says: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.column}: {self.says}" if self.column else f"{place}: {self.says}"


class PackFaults(Exception):  # noqa: N818 - it carries many, each a fault
    """A pack that cannot be read or written. ``faults`` tells at most 200 of them, ``more`` counts the rest."""

    def __init__(self, faults: tuple[Fault, ...], more: int = 0) -> None:
        super().__init__(faults, more)
        self.faults = faults
        self.more = more

    def __str__(self) -> str:
        told = [str(fault) for fault in self.faults]
        if self.more:
            told.append(f"and {self.more} more")
        return "\n".join(told)


@dataclass(slots=True)
class FaultList:
    """Gathers faults while a pack is read, so that one reading tells all of them."""

    faults: list[Fault] = field(default_factory=list)
    more: int = 0

    def add(self, file: str, line: int, column: str, says: str) -> None:
        """Note one fault."""
        if len(self.faults) < MOST_TOLD:
            self.faults.append(Fault(file, line, column, says))
        else:
            self.more += 1

    def stop_if_any(self) -> None:
        """Raise PackFaults when anything was found: file by file as they were read, in the order of lines."""
        if self.faults:
            files = list(dict.fromkeys(fault.file for fault in self.faults))
            told = sorted(self.faults, key=lambda fault: (files.index(fault.file), fault.line))
            raise PackFaults(tuple(told), self.more)


def refusal(file: str, says: str, line: int = 0, column: str = "") -> PackFaults:
    """A pack refused for one reason."""
    return PackFaults((Fault(file, line, column, says),))


def shown(text: str) -> str:
    """A wrong cell, quoted and cut so that it stays on one line.

    >>> shown("a" * 50)
    "'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa...'"
    """
    return repr(text if len(text) <= SHOWN else text[:SHOWN] + "...")
