"""The ways marks may be given as readings: whole, without their device, or two that count only together as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from floatbowl.identify.encoded import plain_texts
from floatbowl.identify.numbers import FIRST_DEVICE, Alphabet, separators_in, symbols_of_mark
from floatbowl.reference.facts import Mark

#: When a mark holds a device and a number, how often the number is read without the device (estimate).
_DEVICE_LEFT_OUT: Final = 0.4
#: When two marks count only together, how often both are given as one reading (estimate).
_READ_TOGETHER: Final = 0.5


@dataclass(slots=True)
class Ways:
    """The ways marks may be given as readings: of which mark (its place), as what, how often, with which separators."""

    of: list[int] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    shares: list[float] = field(default_factory=list)
    separators: list[frozenset[str]] = field(default_factory=list)

    def add(self, of: int, text: str, share: float, separators: frozenset[str]) -> None:
        self.of.append(of)
        self.texts.append(text)
        self.shares.append(share)
        self.separators.append(separators)


def ways_to_read(marks: Sequence[Mark], alphabet: Alphabet) -> Ways:
    """Every way to read the marks: alone, with and without their device, or together with those they count with."""
    texts = [mark.text for mark in marks]
    plain = plain_texts(texts, alphabet)
    separators = {text: separators_in(text) for text in plain}
    # Nearly all marks are read in one way only.
    simple = [i for i, (mark, text) in enumerate(zip(marks, texts, strict=True)) if not mark.with_ and "{" not in text]
    ways = Ways(simple, [plain[texts[i]] for i in simple], [1.0] * len(simple), [separators[texts[i]] for i in simple])
    together: dict[tuple[str, str], list[int]] = {}
    for i, mark in enumerate(marks):
        if mark.with_:
            together.setdefault((mark.carburettor, mark.with_), []).append(i)
        elif "{" in mark.text:
            _with_and_without_device(ways, i, plain[mark.text], separators[mark.text], alphabet)
    for members in together.values():
        _together(ways, sorted(members, key=lambda i: "{" not in texts[i]), texts, alphabet)
    return ways


def _with_and_without_device(ways: Ways, of: int, text: str, separators: frozenset[str], alphabet: Alphabet) -> None:
    bare = "".join(alphabet.show(s) for s in symbols_of_mark(text, alphabet) if s < FIRST_DEVICE)
    if not bare:
        ways.add(of, text, 1.0, separators)
        return
    ways.add(of, text, 1 - _DEVICE_LEFT_OUT, separators)
    ways.add(of, bare, _DEVICE_LEFT_OUT, separators)


def _together(ways: Ways, ordered: list[int], texts: list[str], alphabet: Alphabet) -> None:
    """Marks that count only together, devices first: given as one reading, or one of them alone."""
    number = next((i for i in ordered if "{" not in texts[i]), ordered[0])
    alone = [texts[i] for i in ordered]
    joined = " ".join(alone)
    plain = plain_texts([joined, *alone], alphabet)
    ways.add(number, plain[joined], _READ_TOGETHER, separators_in(joined))
    for i in ordered:
        ways.add(i, plain[texts[i]], (1 - _READ_TOGETHER) / len(ordered), separators_in(texts[i]))
