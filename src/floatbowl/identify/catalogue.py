"""A reference compiled into arrays, so that evidence is weighed against every carburettor at once.

A *hypothesis* is a recorded carburettor, or one that is not in the records: first an unlisted *sibling* of each
recorded one (alike, but for a changed number), then one per maker ("some carburettor of this maker that nobody
recorded"), and a last one for an unknown maker. Every array over hypotheses has that order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import repeat
from typing import Final

import numpy as np
import numpy.typing as npt

from floatbowl.identify.compiled import Numbers
from floatbowl.identify.marks import MarkIndex
from floatbowl.identify.numbers import Alphabet, devices_in
from floatbowl.identify.siblings import Borne, SiblingNumbers
from floatbowl.identify.unlisted import UnlistedNumbers
from floatbowl.identify.ways import Ways, ways_to_read
from floatbowl.identify.wear import ErrorModel, Floats
from floatbowl.reference.facts import FORMS, ROLES, Mark, Reference

Bools = npt.NDArray[np.bool_]
NOT_TOLD: Final = -1


@dataclass(frozen=True, slots=True)
class MarkRows:
    """Marks as they stand on carburettors: one row for each way a mark may be given as a reading.

    ``kind``: which of the distinct ``kinds`` (kinds x role, part, form, separators) a row is; a fact about a row's kind
    is worked out once for all rows of it. ``identifying`` are the rows of marks that identify, ``others`` the rest.
    """

    hypothesis: Numbers
    mark: Numbers
    share: Floats
    kind: Numbers
    kinds: Numbers
    identifying: slice
    others: slice

    @property
    def role(self) -> Numbers:
        """The role of each row."""
        return np.asarray(self.kinds[self.kind, 0])

    @property
    def part(self) -> Numbers:
        """The part each row stands on."""
        return np.asarray(self.kinds[self.kind, 1])


@dataclass(frozen=True, slots=True)
class Kits:
    """Kits, and which hypotheses each fits: pairs (``fits_kit``, ``fits_hypothesis``)."""

    keys: tuple[str, ...]
    at: Mapping[str, int]
    fits_kit: Numbers
    fits_hypothesis: Numbers


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All arrays of one version of a reference. ``bears`` (recorded x roles): 1 where such a mark is recorded."""

    reference: Reference
    keys: tuple[str, ...]
    at: Mapping[str, int]
    makers: tuple[str, ...]
    maker_of: Numbers
    share: Floats
    alphabet: Alphabet
    index: MarkIndex
    rows: MarkRows
    parts: tuple[str, ...]
    separator_sets: tuple[frozenset[str], ...]
    unlisted: UnlistedNumbers
    sibling_numbers: SiblingNumbers
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


def compile_catalogue(reference: Reference, error_model: ErrorModel, earlier: Catalogue | None = None) -> Catalogue:
    """Compiles a reference. Time: about half a second for 20,000 carburettors with four marks each.

    What the ``earlier`` catalogue, of the same error model, worked out from the very same tables is taken from it.
    """
    keys = tuple(c.carburettor for c in reference.carburettors)
    makers = tuple(m.maker for m in reference.makers)
    maker_at = {maker: i for i, maker in enumerate(makers)}
    own = [maker_at.get(c.maker, len(makers)) for c in reference.carburettors]
    maker_of = np.array([*own, *own, *range(len(makers) + 1)], np.intp)
    shares = np.array([1.0 if c.share is None else c.share for c in reference.carburettors])
    share: Floats = shares / shares.sum() if shares.sum() > 0 else np.full(len(keys), 1.0 / max(1, len(keys)))
    if earlier is not None and earlier.keys == keys:
        at, keys = earlier.at, earlier.keys
    else:
        at, earlier = {key: i for i, key in enumerate(keys)}, None
    numbers = _numbers_of(reference, error_model, at, earlier)
    same = same_tables(earlier, reference, "marks", "carburettors", "makers")
    unlisted = same.unlisted if same else UnlistedNumbers.learn(reference, numbers.alphabet, maker_at, shares)
    siblings = same.sibling_numbers if same else _sibling_numbers(numbers, maker_of, share, unlisted)
    names = same.names if same else _names(reference)
    fits = same_tables(earlier, reference, "kits", "kit_fits")
    return Catalogue(
        reference, keys, at, makers, maker_of, share, numbers.alphabet, numbers.index, numbers.rows, numbers.parts,
        numbers.separator_sets, unlisted, siblings, fits.kits if fits else _kits(reference, at), numbers.bears, names,
    )  # fmt: skip


def _sibling_numbers(
    numbers: _Numbers | Catalogue, maker_of: Numbers, share: Floats, unlisted: UnlistedNumbers
) -> SiblingNumbers:
    rows = numbers.rows
    own = rows.hypothesis[rows.identifying]
    borne = Borne(
        rows.mark[rows.identifying],
        maker_of[own],
        share[own] * rows.share[rows.identifying],
    )
    return SiblingNumbers.find(numbers.index, borne, unlisted.rules)


def same_tables(earlier: Catalogue | None, reference: Reference, *tables: str) -> Catalogue | None:
    """The earlier catalogue when it was compiled from these very tables, else ``None``."""
    if earlier is None:
        return None
    same = all(getattr(earlier.reference, table) is getattr(reference, table) for table in tables)
    return earlier if same else None


@dataclass(frozen=True, slots=True)
class _Numbers:
    """What is compiled of the marks."""

    alphabet: Alphabet
    index: MarkIndex
    rows: MarkRows
    parts: tuple[str, ...]
    separator_sets: tuple[frozenset[str], ...]
    bears: Floats


def _numbers_of(
    reference: Reference, error_model: ErrorModel, at: Mapping[str, int], earlier: Catalogue | None
) -> _Numbers | Catalogue:
    same = same_tables(earlier, reference, "marks")
    if same is not None:
        return same
    marks = reference.marks
    alphabet = Alphabet(devices_in([mark.text for mark in marks]))
    ways = ways_to_read(marks, alphabet)
    texts = list(dict.fromkeys(ways.texts))
    if earlier is not None and earlier.alphabet == alphabet and earlier.index.marks == texts:
        index = earlier.index
    else:
        index = MarkIndex(texts, alphabet, error_model)
    place = np.empty(len(texts), np.int32)
    place[index.order] = np.arange(len(texts), dtype=np.int32)
    parts = tuple(sorted({mark.part for mark in marks if mark.part}))
    separator_sets = tuple(dict.fromkeys(ways.separators))
    rows = _mark_rows(marks, ways, at, dict(zip(texts, place.tolist(), strict=True)), parts, separator_sets)
    bears = np.zeros((len(reference.carburettors), len(ROLES)))
    bears[rows.hypothesis, rows.role] = 1.0
    return _Numbers(alphabet, index, rows, parts, separator_sets, bears)


def _mark_rows(
    marks: Sequence[Mark],
    ways: Ways,
    at: Mapping[str, int],
    place: Mapping[str, int],
    parts: tuple[str, ...],
    separator_sets: tuple[frozenset[str], ...],
) -> MarkRows:
    def of_marks(known: Mapping[str, int], words: list[str]) -> Numbers:
        return np.fromiter(map(known.get, words, repeat(NOT_TOLD)), np.intp, len(words))

    def numbered(words: tuple[str, ...]) -> dict[str, int]:
        return {word: i for i, word in enumerate(words)}

    set_at = {separators: i for i, separators in enumerate(separator_sets)}
    of = np.array(ways.of, np.intp)
    hypothesis = of_marks(at, [mark.carburettor for mark in marks])[of]
    role = of_marks(numbered(ROLES), [mark.role for mark in marks])[of]
    # Identifying ones first, so that they are one slice.
    order = np.argsort(role, kind="stable")
    order = order[hypothesis[order] >= 0]
    of, hypothesis, role = of[order], hypothesis[order], role[order]
    share = np.array(ways.shares)[order]
    # Marks of one role on one carburettor share that role's part evenly.
    slot = hypothesis * len(ROLES) + role
    total = np.bincount(slot, share, minlength=len(at) * len(ROLES))
    identifying = int((role == ROLES.index("identifies")).sum())
    part = of_marks(numbered(parts), [mark.part for mark in marks])[of]
    form = of_marks(numbered(FORMS), [mark.form for mark in marks])[of]
    separators = np.fromiter(map(set_at.__getitem__, ways.separators), np.intp, len(ways.separators))[order]
    # One number a kind: sorting whole numbers is much quicker than sorting rows.
    code = ((role * (len(parts) + 1) + part + 1) * (len(FORMS) + 1) + form + 1) * len(separator_sets) + separators
    _, first, kind = np.unique(code, return_index=True, return_inverse=True)
    return MarkRows(
        hypothesis,
        np.fromiter(map(place.__getitem__, ways.texts), np.intp, len(ways.texts))[order],
        share / np.maximum(total[slot], 1e-300),
        kind.ravel(),
        np.column_stack([role, part, form, separators])[first],
        slice(0, identifying),
        slice(identifying, order.size),
    )


def _kits(reference: Reference, at: Mapping[str, int]) -> Kits:
    keys = tuple(kit.kit for kit in reference.kits)
    kit_at = {kit: i for i, kit in enumerate(keys)}
    pairs = sorted(
        {(kit_at[f.kit], at[f.carburettor]) for f in reference.kit_fits if f.kit in kit_at and f.carburettor in at}
    )
    array = np.array(pairs, np.intp).reshape(-1, 2)
    return Kits(keys, kit_at, np.ascontiguousarray(array[:, 0]), np.ascontiguousarray(array[:, 1]))


def _names(reference: Reference) -> dict[str, str]:
    """What a person calls each carburettor: its name, or its maker with its identifying marks."""
    makers = {m.maker: m.name for m in reference.makers}
    unnamed = {c.carburettor for c in reference.carburettors if not c.name}
    marks: dict[str, list[str]] = {}
    if unnamed:
        for mark in reference.marks:
            if mark.role == "identifies" and mark.carburettor in unnamed:
                marks.setdefault(mark.carburettor, []).append(mark.text.strip("{}") if mark.with_ else mark.text)
    names = {c.carburettor: c.name for c in reference.carburettors}
    for c in reference.carburettors:
        if not c.name:
            number = " ".join(dict.fromkeys(marks.get(c.carburettor, []))).replace("{", "").replace("}", "")
            names[c.carburettor] = " ".join(filter(None, (makers.get(c.maker, c.maker), number or c.carburettor)))
    return names
