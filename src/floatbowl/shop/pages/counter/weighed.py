"""The standing as the page shows it: an answer turned into names, plain words and lists by size."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from floatbowl.identify.answer import Answer, Chance, Difference, Reason
from floatbowl.shop.pages.counter import words
from floatbowl.shop.pages.counter.book import Book
from floatbowl.shop.pages.counter.kits import KitGroup, ShownKit, groups_of, shown_group, tenths

#: So many groups of kits and carburettors are shown at once; the rest are counted.
MOST_GROUPS, MOST_CARBURETTORS, MOST_REASONS = 3, 6, 12
DRAFT_ADVICE = "By the number as far as it is typed. Add it when it is whole."
#: Two independent kinds of evidence let a kit go out without a written override.
KINDS_NEEDED = 2


@dataclass(frozen=True)
class ShownCarburettor:
    """One carburettor of the standing and the kits it takes."""

    key: str
    name: str
    chance: str
    tenths: int
    kits: str
    note: str = ""


@dataclass(frozen=True)
class ShownReason:
    """One reason for or against, with its weight in a word and in figures."""

    says: str
    about: str
    speaks: str
    weight: str
    figures: str


@dataclass(frozen=True)
class ShownDifference:
    """What differs between the remaining carburettors."""

    what: str
    values: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Standing:
    """The right-hand side of the counter."""

    answer: Answer
    headline: str
    advice: str
    action: str
    groups: tuple[KitGroup, ...] = ()
    more_groups: int = 0
    carburettors: tuple[ShownCarburettor, ...] = ()
    more_carburettors: int = 0
    not_listed: str = ""
    mixed: str = ""
    no_kit: str = ""
    differences: tuple[ShownDifference, ...] = ()
    reasons: tuple[ShownReason, ...] = ()
    castings: tuple[tuple[str, str], ...] = ()
    kinds: tuple[str, ...] = ()
    draft: bool = False
    told_anything: bool = True
    extra: dict[str, str] = field(default_factory=dict)

    @property
    def kits(self) -> tuple[ShownKit, ...]:
        """All kits shown, likeliest first."""
        return tuple(kit for group in self.groups for kit in group.kits)

    @property
    def differ_in(self) -> str:
        """What the remaining ones differ in, in one line."""
        return words.listed([difference.what for difference in self.differences])

    @property
    def enough_kinds(self) -> bool:
        return len(self.kinds) >= KINDS_NEEDED


def shown(answer: Answer, book: Book, draft: bool = False) -> Standing:
    """The answer as the page shows it."""
    enquiry = answer.enquiry
    told = bool(enquiry.readings or enquiry.looks or enquiry.machine or enquiry.machine_text or enquiry.bought)
    carburettors = answer.carburettors
    groups = groups_of(answer, book) if told else []
    return Standing(
        answer=answer,
        headline=_headline(answer, book, told),
        advice=DRAFT_ADVICE if draft else _advice(answer, book, told),
        action="draft" if draft else answer.advice.action,
        groups=tuple(shown_group(group, answer, book) for group in groups[:MOST_GROUPS]),
        more_groups=max(0, len(groups) - MOST_GROUPS),
        carburettors=tuple(_carburettor(c, answer, book) for c in carburettors[:MOST_CARBURETTORS]) if told else (),
        more_carburettors=max(0, len(carburettors) - MOST_CARBURETTORS),
        not_listed=words.in_100(answer.not_listed) if answer.not_listed >= 0.005 else "",
        mixed=words.in_100(answer.mixed) if answer.mixed >= 0.01 else "",
        no_kit=words.in_100(answer.no_kit) if answer.no_kit >= 0.01 else "",
        differences=tuple(_difference(d, book) for d in answer.differences),
        reasons=tuple(_reason(r, book) for r in _weightiest(answer.reasons)),
        castings=tuple((part, _best(chances, book)) for part, chances in answer.parts.items()),
        kinds=tuple(words.kind(kind) for kind in answer.advice.kinds),
        draft=draft,
        told_anything=told,
    )


def _headline(answer: Answer, book: Book, told: bool) -> str:
    """The standing in one line, for the top of the page and for a telephone's small screen."""
    if not told:
        return "Nothing told yet"
    if answer.mixed > 0.5:
        return f"{words.in_100(answer.mixed)}: built from two carburettors"
    if answer.not_listed > 0.5:
        return f"{words.in_100(answer.not_listed)}: not in our records"
    if answer.no_kit > 0.5:
        return f"{words.in_100(answer.no_kit)}: we have no kit for it"
    if not answer.kits:
        return "No kit found yet"
    best = next((kit for kit in answer.kits if kit.key == answer.advice.kit), answer.kits[0])
    return f"{words.in_100(best.probability)} this kit: {book.kit_name(best.key)}"


def _advice(answer: Answer, book: Book, told: bool) -> str:
    if not told:
        return "Begin with the machine, or with any number that can be read."
    advice = answer.advice
    if advice.action == "send" and advice.kit:
        return f"Read it back, then send {book.kit_name(advice.kit)}."
    if advice.action == "bench":
        return f"{advice.why} Ask for it to be sent in to the bench.".strip()
    return advice.why or "Ask one thing more before anything is sent."


def _carburettor(chance: Chance, answer: Answer, book: Book) -> ShownCarburettor:
    known = book.carburettors.get(chance.key)
    return ShownCarburettor(
        key=chance.key,
        name=book.name(chance.key),
        chance=words.in_100(chance.probability),
        tenths=tenths(chance.probability),
        kits=_takes(chance.key, answer, book),
        note=known.note if known else "",
    )


def _takes(carburettor: str, answer: Answer, book: Book) -> str:
    """Whether the likeliest kit is this carburettor's too, or which it needs instead."""
    fitting = [fit.kit for fit in book.kits_of.get(carburettor, ())]
    if not fitting:
        return "we have no kit for it"
    if answer.kits and answer.kits[0].key in fitting:
        return "takes the first kit"
    shown_kits = [chance.key for chance in answer.kits if chance.key in fitting]
    return f"takes another: {book.kit_name((shown_kits or fitting)[0])}"


def _weightiest(reasons: Iterable[Reason]) -> list[Reason]:
    return sorted(reasons, key=lambda reason: -abs(reason.decibans))[:MOST_REASONS]


def _reason(reason: Reason, book: Book) -> ShownReason:
    return ShownReason(
        says=reason.says,
        about=book.name(reason.for_) if reason.for_ in book.carburettors else "",
        speaks="for" if reason.decibans >= 0 else "against",
        weight=words.weight(reason.decibans),
        figures=words.times(reason.decibans),
    )


def _difference(difference: Difference, book: Book) -> ShownDifference:
    rows = tuple(
        (value or "not recorded", words.listed([book.name(key) for key in keys[:3]]) + _more(keys))
        for value, keys in difference.values.items()
    )
    return ShownDifference(difference.what, rows)


def _more(keys: Sequence[str]) -> str:
    return f" and {len(keys) - 3} more" if len(keys) > 3 else ""


def _best(chances: Sequence[Chance], book: Book) -> str:
    if not chances:
        return "nothing in our records"
    return f"{book.name(chances[0].key)}, {words.in_100(chances[0].probability)}"
