"""The parts a job wants: from the chosen kit, loose, made here or from outside; and what is left in the kit, and why.

A set is complete only when every wanted part is in hand and a person has ticked, joint by joint, that the gasket's
holes were checked.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from floatbowl.bench.joints import HolesChecked, Joint, joints, unchecked
from floatbowl.bench.judging import Word
from floatbowl.bench.kit_contents import Measured, why_not
from floatbowl.bench.measurements import bench_parts
from floatbowl.bench.on_record import OnRecord, PartOnRecord
from floatbowl.bench.verdict import Verdict

Whence = Literal["kit", "loose", "made here", "outside"]
#: Kinds the shop makes itself, and how (common practice).
MADE_HERE: Mapping[str, str] = {
    "bush": "turned to the bore and reamed",
    "throttle plate": "cut from sheet, its rim bevelled",
    "spring": "wound",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One part wanted: what for, from where, and why. ``part`` is empty where no record names one."""

    what_for: str
    kind: str
    quantity: float
    whence: Whence
    part: str = ""
    name: str = ""
    sizes: tuple[str, ...] = ()
    why: str = ""

    @property
    def to_wait_for(self) -> bool:
        """Whether it must be made or fetched before it is in hand."""
        return self.whence in ("made here", "outside")


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A part of the kit that this job does not take, and why."""

    part: str
    name: str
    quantity: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsWanted:
    """The whole list. ``missing`` says, sentence by sentence, what keeps it from being complete."""

    wanted: tuple[Wanted, ...]
    left_over: tuple[LeftOver, ...]
    missing: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Every part in hand and every joint's holes checked."""
        return not self.missing


def parts_wanted(
    verdicts: Iterable[Verdict],
    known: OnRecord,
    kit: Sequence[PartOnRecord] = (),
    *,
    measured: Iterable[Measured] = (),
    checked: Iterable[HolesChecked] = (),
    in_hand: Collection[str] = (),
) -> PartsWanted:
    """What to lay ready for one carburettor, given the verdicts and the contents of the chosen kit.

    Every joint gets a new gasket; a verdict to repair or replace adds its part. ``measured`` are sizes taken from
    this carburettor (``kit_contents.to_match``), which outrank the records. ``in_hand`` names what was made or has
    come (``Wanted.what_for``). Parts not measured yet, or to be measured again, keep the set from being complete.
    """
    told = tuple(verdicts)
    sizes = tuple(measured)
    store = _Store(kit, sizes)
    wanted = [_for_joint(joint, known, store) for joint in joints()]
    wanted += [each for verdict in told for each in _for_verdict(verdict, known, store)]
    waits = [_wait(each) for each in wanted if each.to_wait_for and each.what_for not in in_hand]
    unsettled = [each.sentence for each in told if each.word in (Word.NOT_YET, Word.AGAIN)]
    missing = (*unsettled, *waits, *unchecked(tuple(checked)))
    return PartsWanted(wanted=tuple(wanted), left_over=store.left_over(told), missing=missing)


class _Store:
    """The kit while it is being laid out: what is still in it, and why some of it will not do."""

    def __init__(self, kit: Sequence[PartOnRecord], measured: Sequence[Measured]) -> None:
        self.kit = tuple(kit)
        self.measured = measured
        self.left = [each.quantity for each in kit]
        self.refused: dict[int, str] = {}

    def take(self, kind: str, word: str, record: PartOnRecord | None, quantity: float) -> PartOnRecord | None:
        """One of the kit's parts of this kind and place that fits, taken out of it."""
        for place, each in enumerate(self.kit):
            if each.part.kind != kind or word not in each.position or self.left[place] < quantity:
                continue
            if why := why_not(each, record, self.measured):
                self.refused[place] = why
                continue
            self.left[place] -= quantity
            return each
        return None

    def left_over(self, verdicts: Sequence[Verdict]) -> tuple[LeftOver, ...]:
        return tuple(
            LeftOver(each.part.part, each.part.name, self.left[place], self._why(place, verdicts))
            for place, each in enumerate(self.kit)
            if self.left[place] > 0
        )

    def _why(self, place: int, verdicts: Sequence[Verdict]) -> str:
        if place in self.refused:
            return f"not the size here: {self.refused[place]}"
        each = self.kit[place]
        if self.left[place] < each.quantity:
            return "more of them in the kit than places on this carburettor"
        kind = each.part.kind
        about = next((v for v in verdicts if kind in _kinds(v.part)), None)
        if about is None:
            return "nothing on the sheet asks for it"
        return f"{bench_parts()[about.part].says} {_stays(about)}"


def _stays(verdict: Verdict) -> str:
    many = bool(bench_parts()[verdict.part].many)
    if verdict.word in (Word.NOT_YET, Word.AGAIN):
        return f"{'are' if many else 'is'} not settled yet: {verdict.word}"
    if verdict.word is Word.REFUSE:
        return f"{'are' if many else 'is'} refused: keep the kit shut until that is settled"
    return f"{'were' if many else 'was'} found fit to stay; keep it as a spare"


def _kinds(part: str) -> tuple[str, ...]:
    row = bench_parts()[part]
    return tuple(filter(None, (row.repair_kind, row.replace_kind)))


def _for_joint(joint: Joint, known: OnRecord, store: _Store) -> Wanted:
    how = joint.how_made if joint.made_here == "yes" else ""
    return _found(
        joint.says, joint.kind, joint.position_word, 1.0, "a joint opened gets a new gasket", how, known, store
    )


def _for_verdict(verdict: Verdict, known: OnRecord, store: _Store) -> tuple[Wanted, ...]:
    row = bench_parts()[verdict.part]
    kinds = {Word.REPAIR: row.repair_kind, Word.REPLACE: row.replace_kind, Word.REFUSE: row.repair_kind}
    kind = kinds.get(verdict.word, "")
    if not kind:
        return ()
    how = MADE_HERE.get(kind, "")
    return (_found(row.says, kind, "", float(row.quantity), verdict.sentence, how, known, store),)


def _found(
    what_for: str, kind: str, word: str, quantity: float, why: str, how_made: str, known: OnRecord, store: _Store
) -> Wanted:
    """From the kit, else loose off the shelf, else made here, else from outside."""
    record = next(iter(known.parts_of(kind, word)), None)
    count = record.quantity if record else quantity
    if (inside := store.take(kind, word, record, count)) is not None:
        return _wanted(what_for, kind, count, "kit", inside, why)
    if record is not None and (odd := why_not(record, None, store.measured)):
        told = f"{why} (the part on record will not do: {odd})"
        return _wanted(what_for, kind, count, "made here" if how_made else "outside", None, told)
    if record is not None and (record.part.on_hand or 0) >= count:
        return _wanted(what_for, kind, count, "loose", record, why)
    short = f"{why} {_short(record, count)}"
    if how_made:
        return _wanted(what_for, kind, count, "made here", record, f"{short}: {how_made}")
    return _wanted(what_for, kind, count, "outside", record, short)


def _short(record: PartOnRecord | None, count: float) -> str:
    if record is None:
        return "(no part is recorded for it)"
    return f"({record.part.on_hand or 0:g} on the shelf, {count:g} wanted)"


def _wanted(what_for: str, kind: str, count: float, whence: Whence, part: PartOnRecord | None, why: str) -> Wanted:
    sizes = tuple(f"{s.quantity} {s.value} {s.unit}".strip() for s in part.sizes) if part else ()
    return Wanted(
        what_for=what_for,
        kind=kind,
        quantity=count,
        whence=whence,
        part=part.part.part if part else "",
        name=part.part.name if part else "",
        sizes=sizes,
        why=why,
    )


def _wait(wanted: Wanted) -> str:
    name = wanted.name or wanted.kind
    verb = "to be made here" if wanted.whence == "made here" else "to come from outside"
    return f"{wanted.what_for}: {name} is {verb}."
