"""The shop's stories: evidence that comes in step by step, and what a fair person would say after each step."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any, Final

from floatbowl.reference.observed import Enquiry, Look, Reading

#: What belongs to the enquiry as a whole; each may be told in any step.
ABOUT_THE_CALL: Final = ("machine", "serial", "year", "want_level", "want_fuel")


@dataclass(frozen=True)
class Step:
    """What one step adds (fields of the enquiry format, version 1) and what is expected once it is known.

    ``expect`` may name: ``actions`` (any of these), ``carburettors`` (the likeliest is one of these), ``kit`` (sent),
    ``leading_kit`` (likelier than any other of its level and fuel), ``ask_features`` (one of these is asked first),
    ``even`` (two that are about as likely), ``mixed`` (told to be built from two, or not), ``contradiction``,
    ``warning`` and ``no_kit``.
    """

    says: str
    evidence: Mapping[str, Any]
    expect: Mapping[str, Any]


@dataclass(frozen=True)
class Story:
    """One story. ``deciding`` replaces step ``deciding_step`` when the deciding look is reversed; what came after
    that step belonged to the first answer and is left out."""

    key: str
    title: str
    told: str
    steps: tuple[Step, ...]
    deciding_step: int
    deciding: Step

    @property
    def reversed_steps(self) -> tuple[Step, ...]:
        """The steps up to the deciding look, which now has its other answer."""
        return (*self.steps[: self.deciding_step - 1], self.deciding)


def _step(row: Mapping[str, Any]) -> Step:
    evidence = {name: value for name, value in row.items() if name not in ("says", "expect")}
    return Step(row["says"], evidence, row.get("expect", {}))


def _story(row: Mapping[str, Any]) -> Story:
    deciding = row["deciding"]
    turned = Step(deciding["what"], deciding["instead"], deciding["expect"])
    steps = tuple(map(_step, row["steps"]))
    return Story(row["story"], row["title"], row["told"], steps, deciding["step"], turned)


def read_stories() -> tuple[Story, ...]:
    """Every story, in order."""
    text = resources.files("floatbowl.demo").joinpath("stories.json").read_text(encoding="utf-8")
    return tuple(_story(row) for row in json.loads(text)["stories"])


def enquiry_line(key: str, steps: Iterable[Step]) -> dict[str, Any]:
    """The steps' evidence together, as one line of the enquiry format."""
    line: dict[str, Any] = {"enquiry": key}
    for step in steps:
        for name, value in step.evidence.items():
            if isinstance(value, list):
                line[name] = [*line.get(name, ()), *value]
            else:
                line[name] = value
    return line


def enquiry_after(key: str, steps: Iterable[Step]) -> Enquiry:
    """The steps' evidence together, ready to be weighed."""
    line = enquiry_line(key, steps)
    return Enquiry(
        enquiry=key,
        readings=tuple(_reading(row) for row in line.get("readings", ())),
        looks=tuple(Look(**row) for row in line.get("looks", ())),
        **{name: line[name] for name in ABOUT_THE_CALL if name in line},
    )


def _reading(row: Mapping[str, Any]) -> Reading:
    cells = tuple(tuple(cell.items()) for cell in row.get("cells", ()))
    return Reading(**{**row, "cells": cells})


def enquiry_lines() -> str:
    """All stories as a file of enquiries, one line each."""
    lines = (enquiry_line(story.key, story.steps) for story in read_stories())
    return "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines)
