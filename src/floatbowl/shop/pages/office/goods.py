"""The goods behind a paper, by the names people call them."""

from __future__ import annotations

from dataclasses import dataclass

from floatbowl.shop.models import Item, OfficePaper
from floatbowl.shop.models.office import ACCEPTED
from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.pages.counter.book import Book, book_of
from floatbowl.shop.standing import current_reference


@dataclass(frozen=True)
class GoodsSaid:
    """One kind of goods behind a paper. ``short`` is how many are missing for it now."""

    name: str
    pieces: int
    on_hand: int
    free: int
    short: int


def name_of_goods(kind: str, key: str, book: Book) -> str:
    """What people call it; its key where the records no longer hold it."""
    if kind == KIT:
        return book.kit_name(key) if key in book.kits else f"kit {key}"
    return book.parts[key].name if key in book.parts else f"part {key}"


def goods_said(paper: OfficePaper) -> list[GoodsSaid]:
    """The goods of an offer beside what is on the shelf; several lines of one thing are counted together."""
    book = book_of(current_reference())
    pieces: dict[tuple[str, str], int] = {}
    for _, kind, key, count in paper.goods:
        pieces[kind, key] = pieces.get((kind, key), 0) + count
    said = []
    for (kind, key), count in pieces.items():
        item = Item.objects.filter(kind=kind, key=key).first()
        on_hand, free = (item.on_hand, item.free) if item else (0, 0)
        there = on_hand if paper.state == ACCEPTED else free
        said.append(GoodsSaid(name_of_goods(kind, key, book), count, on_hand, max(0, free), max(0, count - there)))
    return said


def in_words(text: str, paper: OfficePaper) -> str:
    """What the shelf said, with the names of things instead of their keys."""
    book = book_of(current_reference())
    for _, kind, key, _ in paper.goods:
        text = text.replace(f"{kind} {key}", f"“{name_of_goods(kind, key, book)}”")
    return text
