"""A reference compiled into arrays, so that evidence is weighed against every carburettor at once.

A *hypothesis* is a recorded carburettor, or one that is not in the records: first an unlisted *sibling* of each recorded
one (alike, but for a changed number), then one per maker ("some carburettor of this maker that nobody recorded"), and a
last one for an unknown maker. Every array over hypotheses has that order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt

from floatbowl.identify.compiled import Ints
from floatbowl.identify.marks import MarkIndex
from floatbowl.identify.numbers import Alphabet, devices_in, separators_in, symbols_of_mark
from floatbowl.identify.unlisted import UnlistedNumbers
from floatbowl.identify.wear import ErrorModel, Floats
from floatbowl.reference.facts import ROLES, Mark, Reference

Bools = npt.NDArray[np.bool_]
NOT_TOLD: Final = -1
#: When a mark holds a device and a number, how often the number is read without the device (estimate).
_DEVICE_LEFT_OUT: Final = 0.4
#: When two marks count only together, how often both are given as one reading (estimate).
_READ_TOGETHER: Final = 0.5


@dataclass(frozen=True, slots=True)
class MarkRows:
    """Marks as they stand on carburettors: one row for each way a mark may be given as a reading.

    ``identifying`` are the rows of marks that identify, ``others`` those of all other roles.
    """

    hypothesis: Ints
    mark: Ints
    role: Ints
    part: Ints
    form: Ints
    share: Floats
    separators: Ints
    identifying: slice
    others: slice


@dataclass(frozen=True, slots=True)
class Kits:
    """Kits, and which hypotheses each fits: pairs (``fits_kit``, ``fits_hypothesis``)."""

    keys: tuple[str, ...]
    fits_kit: Ints
    fits_hypothesis: Ints


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All arrays of one version of a reference. ``bears`` (recorded x roles): 1 where such a mark is recorded."""

    reference: Reference
    keys: tuple[str, ...]
    at: Mapping[str, int]
    makers: tuple[str, ...]
    maker_of: Ints
    share: Floats
    alphabet: Alphabet
    index: MarkIndex
    rows: MarkRows
    parts: tuple[str, ...]
    separator_sets: tuple[frozenset[str], ...]
    unlisted: UnlistedNumbers
    kits: Kits
    bears: Floats
    names: Mapping[str, str] = field(default_factory=dict)

    @property
    def recorded(self) -> int:
        """How many recorded carburettors there are; hypotheses from here on are not in the records."""
        return len(self.keys)

    @property
    def hypotheses(self) -> int:
        return 2 * len(self.keys) + len(self.makers) + 1

    @property
    def siblings(self) -> slice:
        """Where the unlisted siblings of the recorded carburettors stand."""
        return slice(len(self.keys), 2 * len(self.keys))


def compile_catalogue(reference: Reference, error_model: ErrorModel) -> Catalogue:
    """Compiles a reference. Time: about 1 s for 20,000 carburettors with three marks each."""
    keys = tuple(c.carburettor for c in reference.carburettors)
    at = {key: i for i, key in enumerate(keys)}
    makers = tuple(m.maker for m in reference.makers)
    maker_at = {maker: i for i, maker in enumerate(makers)}
    own = [maker_at.get(c.maker, len(makers)) for c in reference.carburettors]
    maker_of = np.array([*own, *own, *range(len(makers) + 1)], np.int32)
    shares = np.array([1.0 if c.share is None else c.share for c in reference.carburettors])
    share: Floats = shares / shares.sum() if shares.sum() > 0 else np.full(len(keys), 1.0 / max(1, len(keys)))
    alphabet = Alphabet(devices_in(mark.text for mark in reference.marks))
    ways = _ways_to_read(reference.marks, alphabet)
    texts = list(dict.fromkeys(way.text for way in ways))
    index = MarkIndex(texts, alphabet, error_model)
    place = np.empty(len(texts), np.int32)
    place[index.order] = np.arange(len(texts), dtype=np.int32)
    parts = tuple(sorted({mark.part for mark in reference.marks if mark.part}))
    separator_sets = tuple(dict.fromkeys(way.separators for way in ways))
    rows = _mark_rows(ways, at, dict(zip(texts, place.tolist(), strict=True)), parts, separator_sets)
    bears = np.zeros((len(keys), len(ROLES)))
    bears[rows.hypothesis, rows.role] = 1.0
    return Catalogue(
        reference, keys, at, makers, maker_of, share, alphabet, index, rows, parts, separator_sets,
        UnlistedNumbers.learn(reference, alphabet, maker_at, shares), _kits(reference, at), bears, _names(reference),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Way:
    """One way a mark may be given as a reading."""

    text: str
    source: Mark
    share: float
    separators: frozenset[str]


def _ways_to_read(marks: Iterable[Mark], alphabet: Alphabet) -> list[_Way]:
    ways: list[_Way] = []
    together: dict[tuple[str, str], list[Mark]] = {}
    for mark in marks:
        if mark.with_:
            together.setdefault((mark.carburettor, mark.with_), []).append(mark)
        else:
            ways += _with_and_without_device(mark, mark.text, 1.0, alphabet)
    for members in together.values():
        ordered = sorted(members, key=lambda mark: "{" not in mark.text)
        number = next((mark for mark in ordered if "{" not in mark.text), ordered[0])
        joined = " ".join(mark.text for mark in ordered)
        ways.append(_Way(_plain(joined, alphabet), number, _READ_TOGETHER, separators_in(joined)))
        for mark in ordered:
            alone = (1 - _READ_TOGETHER) / len(ordered)
            ways.append(_Way(_plain(mark.text, alphabet), mark, alone, separators_in(mark.text)))
    return ways


def _with_and_without_device(mark: Mark, text: str, share: float, alphabet: Alphabet) -> list[_Way]:
    full = _Way(_plain(text, alphabet), mark, share, separators_in(text))
    if "{" not in text:
        return [full]
    bare = "".join(alphabet.show(s) for s in symbols_of_mark(text, alphabet) if s < 37)
    if not bare:
        return [full]
    return [
        _Way(full.text, mark, share * (1 - _DEVICE_LEFT_OUT), full.separators),
        _Way(bare, mark, share * _DEVICE_LEFT_OUT, full.separators),
    ]


def _plain(text: str, alphabet: Alphabet) -> str:
    if text.isascii() and text.isalnum():
        return text.upper()
    return "".join(alphabet.show(symbol) for symbol in symbols_of_mark(text, alphabet))


def _mark_rows(
    ways: list[_Way],
    at: Mapping[str, int],
    place: Mapping[str, int],
    parts: tuple[str, ...],
    separator_sets: tuple[frozenset[str], ...],
) -> MarkRows:
    part_at = {part: i for i, part in enumerate(parts)}
    form_at = {"stamped": 0, "cast": 1, "printed": 2}
    set_at = {separators: i for i, separators in enumerate(separator_sets)}
    # Identifying ones first, so that they are one slice.
    known = sorted((w for w in ways if w.source.carburettor in at), key=lambda w: ROLES.index(w.source.role))

    def column(values: Iterable[int]) -> Ints:
        return np.fromiter(values, np.int32, len(known))

    hypothesis = column(at[way.source.carburettor] for way in known)
    role = column(ROLES.index(way.source.role) for way in known)
    share = np.fromiter((way.share for way in known), np.float64, len(known))
    # Marks of one role on one carburettor share that role's part evenly.
    slot = hypothesis.astype(np.int64) * len(ROLES) + role
    total = np.bincount(slot, share, minlength=len(at) * len(ROLES))
    identifying = int((role == ROLES.index("identifies")).sum())
    return MarkRows(
        hypothesis,
        column(place[way.text] for way in known),
        role,
        column(part_at.get(way.source.part, NOT_TOLD) for way in known),
        column(form_at.get(way.source.form, NOT_TOLD) for way in known),
        share / np.maximum(total[slot], 1e-300),
        column(set_at[way.separators] for way in known),
        slice(0, identifying),
        slice(identifying, len(known)),
    )


def _kits(reference: Reference, at: Mapping[str, int]) -> Kits:
    keys = tuple(kit.kit for kit in reference.kits)
    kit_at = {kit: i for i, kit in enumerate(keys)}
    pairs = sorted(
        {(kit_at[f.kit], at[f.carburettor]) for f in reference.kit_fits if f.kit in kit_at and f.carburettor in at}
    )
    array = np.array(pairs, np.int32).reshape(-1, 2)
    return Kits(keys, np.ascontiguousarray(array[:, 0]), np.ascontiguousarray(array[:, 1]))


def _names(reference: Reference) -> dict[str, str]:
    """What a person calls each carburettor: its name, or its maker with its identifying marks."""
    makers = {m.maker: m.name for m in reference.makers}
    marks: dict[str, list[str]] = {}
    for mark in reference.marks:
        if mark.role == "identifies":
            marks.setdefault(mark.carburettor, []).append(mark.text.strip("{}") if mark.with_ else mark.text)
    names = {}
    for c in reference.carburettors:
        number = " ".join(dict.fromkeys(marks.get(c.carburettor, []))).replace("{", "").replace("}", "")
        names[c.carburettor] = c.name or " ".join(filter(None, (makers.get(c.maker, c.maker), number or c.carburettor)))
    return names
