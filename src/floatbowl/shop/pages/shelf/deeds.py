"""What is done to one item from its page: counted, received, moved, scrapped, used, built, taken apart, priced."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest

from floatbowl.shop.models import Counted, Job
from floatbowl.shop.models.shelf import LedgerLine
from floatbowl.shop.office.floors import floor_currency, keep_floor
from floatbowl.shop.pages.shelf.sending import AtFieldError, pieces, place, sent_name, sum_of, text_of
from floatbowl.shop.security import who_is
from floatbowl.shop.shelf import building, changing
from floatbowl.shop.shelf.buying import said
from floatbowl.shop.shelf.counting import count_at
from floatbowl.shop.shelf.ledger import About
from floatbowl.shop.shelf.things import Thing

Done = tuple[str, bool]


def _about(request: HttpRequest, why: str, document: str = "") -> About:
    says = text_of(request, "says")
    return About(why=why, who=who_is(request), says=says, document=document, sent=sent_name(request))


def even_promised(request: HttpRequest) -> bool:
    """Whether somebody ticked that it is done although some of it is promised."""
    return request.POST.get("even_promised") == "yes"


def _at(where: str) -> str:
    return f"at {where}" if where else "without a place"


def _count(request: HttpRequest, thing: Thing) -> Done:
    counted, where = pieces(request), place(request)
    known = Counted.objects.filter(sent=sent_name(request)).exists()
    kept = count_at(thing.kind, thing.key, counted, where, _about(request, "count"))
    if not kept.changed:
        return f"Counted {counted} {_at(where)}: it agrees.", not known
    more = "more" if kept.changed > 0 else "fewer"
    return f"Counted {counted} {_at(where)}: {abs(kept.changed)} {more} than was thought.", not known


def _receive(request: HttpRequest, thing: Thing) -> Done:
    number, where = pieces(request), place(request)
    return f"{number} put {_at(where)}.", changing.receive(thing, number, where, _about(request, "receipt"))


def _move(request: HttpRequest, thing: Thing) -> Done:
    number, source, target = pieces(request), place(request, "source"), place(request, "place")
    new = changing.move(thing, number, source, target, _about(request, "move"), even_promised=even_promised(request))
    return f"{number} moved; they lie {_at(target)} now.", new


def _scrap(request: HttpRequest, thing: Thing) -> Done:
    number, where = pieces(request), place(request)
    if not text_of(request, "says"):
        raise AtFieldError("says", "Write why it is scrapped: it is looked at when buying again.")
    about = _about(request, "scrap")
    return f"{number} scrapped.", changing.scrap(thing, number, where, about, even_promised=even_promised(request))


def _use(request: HttpRequest, thing: Thing) -> Done:
    number, where = pieces(request), place(request)
    job = text_of(request, "job").lstrip("#")
    if not job.isdecimal() or not Job.objects.filter(pk=int(job[:9])).exists():
        raise AtFieldError("job", "Write the number of the job; it stands on the tag.")
    new = changing.use(thing, number, where, _about(request, "job", f"job {int(job)}"))
    return f"{number} used on job {int(job)}.", new


def _build(request: HttpRequest, thing: Thing) -> Done:
    number, where, sent = pieces(request), place(request), sent_name(request)
    known = LedgerLine.objects.filter(sent=f"{sent}/kit").exists()
    building.build(thing.key, number, where, who_is(request), sent)
    return f"{number} built; their parts are taken off the shelf.", not known


def _take_apart(request: HttpRequest, thing: Thing) -> Done:
    number, where, sent = pieces(request), place(request), sent_name(request)
    known = LedgerLine.objects.filter(sent=f"{sent}/0").exists()
    building.take_apart(thing.key, number, where, who_is(request), sent)
    return f"{number} taken apart; the parts lie {_at(where)}.", not known


def _floor(request: HttpRequest, thing: Thing) -> Done:
    floor, code = sum_of(request, "floor", needed=False), floor_currency()
    keep_floor(thing.kind, thing.key, floor or None, code)
    if not floor:
        return "No lowest price is kept for it.", True
    return f"It is not offered below {said(floor, code)} without a reason.", True


DEEDS: dict[str, Callable[[HttpRequest, Thing], Done]] = {
    "count": _count,
    "receive": _receive,
    "move": _move,
    "scrap": _scrap,
    "use": _use,
    "build": _build,
    "take-apart": _take_apart,
    "floor": _floor,
}
