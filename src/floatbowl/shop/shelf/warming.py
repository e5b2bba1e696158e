"""Working out what is expected before anybody asks, so that the first page of the shelf need not wait for it."""

from __future__ import annotations

import logging
import threading

from django.db import connection

from floatbowl.engine.refusal import Refused
from floatbowl.shop.shelf.buying import terms_now
from floatbowl.shop.shelf.expected import expected
from floatbowl.shop.shelf.levels_kept import Rule
from floatbowl.shop.shelf.on_hand import all_stands
from floatbowl.shop.shelf.suggesting import what_to_buy
from floatbowl.shop.shelf.things import things_now

#: Spans that an item's page tells, in months.
TOLD_MONTHS = (1.0, 4.0)
_log = logging.getLogger(__name__)


def warm() -> None:
    """Work out what the shelf's pages ask for first: what is expected, and what to buy of it."""
    things = things_now()
    outlook = expected(things)
    if outlook is None:
        return
    for months in TOLD_MONTHS:
        outlook.over(months)
    try:
        what_to_buy(things, all_stands(things), outlook, terms_now(), Rule())
    except Refused:
        _log.debug("What to buy is refused by the shop's own figures; the page says why.")


def warm_in_background() -> threading.Thread:
    """Do it in a thread of its own; what goes wrong there the pages will say themselves to whoever asks."""

    def work() -> None:
        try:
            warm()
        except Exception:
            _log.exception("Could not work out the shelf beforehand.")
        finally:
            connection.close()

    thread = threading.Thread(target=work, name="works out the shelf", daemon=True)
    thread.start()
    return thread
