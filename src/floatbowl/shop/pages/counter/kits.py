"""The kits of a standing: those that fit alike together, and what to know before one is promised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from floatbowl.identify.answer import Answer, Chance
from floatbowl.shop.pages.counter import words
from floatbowl.shop.pages.counter.book import Book
from floatbowl.shop.shelf.on_hand import Stand, stands_of

#: Kits whose chances differ by less fit the same carburettors, as far as anybody would notice.
SAME_CHANCE = 1e-6
#: What a kit needs besides is told for so many of the likeliest carburettors.
MOST_CARBURETTORS = 6


@dataclass(frozen=True)
class ShownKit:
    """One kit of the standing."""

    key: str
    name: str
    chance: str
    tenths: int
    level: str
    fuel: str
    price: str
    on_hand: str
    in_stock: bool
    conditions: tuple[str, ...] = ()
    not_wanted: str = ""


@dataclass(frozen=True)
class KitGroup:
    """Kits that fit alike: gaskets only or full, petrol or paraffin."""

    chance: str
    tenths: int
    fits: str
    kits: tuple[ShownKit, ...]


def tenths(probability: float) -> int:
    """How much of the bar is filled, in tenths, never empty for what is possible and never full for what is not sure.

    >>> tenths(0.97), tenths(0.001), tenths(1.0)
    (9, 1, 10)
    """
    return 10 if probability >= 0.995 else max(1, int(probability * 10))


def groups_of(answer: Answer, book: Book) -> list[list[Chance]]:
    """Kits that fit the same of the likely carburettors and are as likely, together; likeliest first."""
    likely = {chance.key for chance in answer.carburettors}
    groups: dict[tuple[frozenset[str], int], list[Chance]] = {}
    for chance in answer.kits:
        fits = frozenset(fit.carburettor for fit in book.fits_of_kit.get(chance.key, ()) if fit.carburettor in likely)
        groups.setdefault((fits, round(chance.probability / SAME_CHANCE)), []).append(chance)
    return list(groups.values())


def shown_group(group: Sequence[Chance], answer: Answer, book: Book) -> KitGroup:
    """One group, the version that is advised first, then what the caller asked for."""
    stands = stands_of("kit", {chance.key: _recorded(chance.key, book) for chance in group})
    kits = sorted(
        (shown_kit(chance, answer, book, stands[chance.key]) for chance in group),
        key=lambda kit: (kit.key != answer.advice.kit, bool(kit.not_wanted)),
    )
    fitting = {fit.carburettor for fit in book.fits_of_kit.get(group[0].key, ())}
    named = [book.name(chance.key) for chance in answer.carburettors if chance.key in fitting]
    more = f" and {len(named) - 2} more" if len(named) > 2 else ""
    fits = f"fits {words.listed(named[:2]) if not more else ', '.join(named[:2])}{more}" if named else ""
    return KitGroup(words.in_100(group[0].probability), tenths(group[0].probability), fits, tuple(kits))


def _recorded(kit: str, book: Book) -> float | None:
    known = book.kits.get(kit)
    return known.on_hand if known else None


def shown_kit(chance: Chance, answer: Answer, book: Book, stand: Stand) -> ShownKit:
    """A kit by name, with what the caller should know before it is promised."""
    kit = book.kits.get(chance.key)
    if kit is None:
        return ShownKit(
            chance.key, book.kit_name(chance.key), words.in_100(chance.probability), tenths(chance.probability),
            "", "", "", "not on our shelf list", False,
        )  # fmt: skip
    likely = {c.key for c in answer.carburettors[:MOST_CARBURETTORS]}
    fits = [fit for fit in book.fits_of_kit.get(chance.key, ()) if fit.carburettor in likely]
    conditions = dict.fromkeys(
        f"{book.name(fit.carburettor)}: {text}"
        for fit in fits
        for text in (fit.condition, _extra(fit.extra_parts))
        if text
    )
    on_hand, in_stock = _on_hand(stand)
    currency = book.reference.currency
    return ShownKit(
        key=kit.kit,
        name=kit.name,
        chance=words.in_100(chance.probability),
        tenths=tenths(chance.probability),
        level=kit.level,
        fuel=kit.fuel,
        price="" if kit.price is None else f"{kit.price:.2f} {currency}".strip(),
        on_hand=on_hand,
        in_stock=in_stock,
        conditions=tuple(conditions),
        not_wanted=_not_wanted(kit.level, kit.fuel, answer.enquiry.want_level, answer.enquiry.want_fuel),
    )


def _extra(parts: str) -> str:
    return f"needs besides: {parts}" if parts else ""


def _on_hand(stand: Stand) -> tuple[str, bool]:
    """How many are on hand, what of it is promised already, and whether one may still be sold."""
    if stand.on_hand is None or stand.free is None:
        return "not counted", False
    if stand.on_hand < 1:
        return "none on hand", False
    promised = f", {stand.promised} promised" if stand.promised else ""
    return f"{words.amount(stand.on_hand)} on hand{promised}", stand.free >= 1


def _not_wanted(level: str, fuel: str, want_level: str, want_fuel: str) -> str:
    """What speaks against this version of the kit for what the caller asked."""
    wrong = [
        f"this is the {have} one, the caller asked for {want}"
        for have, want in ((level, want_level), (fuel, want_fuel))
        if have and want and have != want
    ]
    return "; ".join(wrong)
