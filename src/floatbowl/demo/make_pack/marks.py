"""The marks: what was issued to tell a carburettor from others, and the decoys beside it."""

from __future__ import annotations

from random import Random
from typing import Final

from floatbowl.demo.make_pack.carburettors import MANUALS, Carburettor
from floatbowl.demo.make_pack.chance import chance_for, pick, whole
from floatbowl.demo.make_pack.tables import Row

PLACE_OF_NUMBER: Final = {
    "tarnsyke": ("tag", "stamped"),
    "brattock": ("throttle body", "stamped"),
    "sallowby": ("bowl", "cast"),
    "cawdle": ("tag", "stamped"),
    "yelbourn": ("lid", "cast"),
}
BOOK_FORMS: Final = {
    "Drumlow": ("drumlow-book", "D4-#####"),
    "Ardwath": ("ardwath-book", "A### ##E"),
    "Fellmarch": ("fellmarch-book", "FW ####"),
}
SUPPLIER: Final = ("gasket-supplier", "OW-#####")


def mark(one: Carburettor, text: str, role: str, part: str, form: str, word: str = "") -> Row:
    return {
        "carburettor": one.key,
        "text": text,
        "role": role,
        "part": part,
        "form": form,
        "with": word,
        "source": MANUALS[one.maker],
        "page": one.page,
    }


def own_marks(one: Carburettor) -> list[Row]:
    """The number that identifies it; a device in the lid counts only together with the number on the body."""
    part, form = PLACE_OF_NUMBER[one.maker]
    device = one.family["device"]
    word = f"{device.lower()}-{one.number.lower()}" if device else ""
    rows = [mark(one, one.number, "identifies", part, form, word)]
    if device:
        rows.insert(0, mark(one, f"{{{device}}}", "family", "lid", "cast", word))
    return rows


def foundry_marks(one: Carburettor) -> list[Row]:
    """Pattern numbers of the castings: the same on many carburettors, so they identify none."""
    random = chance_for("foundry", one.build["family"], one.build["build"])
    if one.maker == "tarnsyke":
        return [
            mark(one, one.build["foundry"], "casting", "bowl", "cast"),
            mark(one, "TARNSYKE", "family", "lid", "cast"),
        ]
    if one.maker == "brattock":
        return [mark(one, f"B{whole(random, 310, 989)}", "casting", "bowl", "cast")]
    if one.maker == "sallowby":
        return [
            mark(one, f"L{whole(random, 21, 89)}/{whole(random, 1, 4)}", "casting", "lid", "cast"),
            mark(one, "SALLOWBY", "family", "lid", "cast"),
        ]
    if one.maker == "cawdle":
        return [mark(one, f"{pick(random, 'ACEH')}{whole(random, 1200, 1790)}", "casting", "throttle body", "cast")]
    return [mark(one, "YELBOURN", "family", "lid", "cast")]


def in_form(random: Random, form: str) -> str:
    """A number in a book's form, each ``#`` a digit."""
    return "".join(str(whole(random, 0, 9)) if sign == "#" else sign for sign in form)


def book_number(one: Carburettor, make: str) -> Row | None:
    """The tractor maker's own number for it, where a book gives one."""
    random = chance_for("book", one.key, make)
    if make not in BOOK_FORMS or one.maker == "yelbourn":
        return None
    source, form = BOOK_FORMS[make]
    number = in_form(random, form)
    return mark(one, number, "cross", "", "printed") | {"source": source, "page": whole(random, 3, 96)}


def supplier_number(one: Carburettor) -> Row | None:
    random = chance_for("supplier", one.key)
    if one.maker == "yelbourn" or random.random() > 0.3:
        return None
    source, form = SUPPLIER
    number = in_form(random, form)
    return mark(one, number, "cross", "", "printed") | {"source": source, "page": whole(random, 2, 40)}


def mark_rows(made: list[Carburettor], makes: dict[str, set[str]]) -> list[Row]:
    """The rows of the table ``marks``. ``makes``: carburettor key to the makes of machine it came on."""
    rows: list[Row] = []
    for one in made:
        rows += own_marks(one) + foundry_marks(one)
        others = [book_number(one, make) for make in sorted(makes.get(one.key, ()))] + [supplier_number(one)]
        rows += [row for row in others if row]
    return rows
