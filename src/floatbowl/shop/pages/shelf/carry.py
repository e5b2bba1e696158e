"""What to carry: the fewest kits that answer most enquiries, what one more adds, and what was lost for want of one."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from floatbowl.shop.models.shelf import KIT
from floatbowl.shop.pages.shelf.sending import chosen_number, with_names
from floatbowl.shop.shelf.asked import unsettled_lost
from floatbowl.shop.shelf.carrying import what_to_carry
from floatbowl.shop.shelf.on_hand import Stand, all_stands
from floatbowl.shop.shelf.things import things_now

MOST_SHOWN = 40


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The sets for 80, 90 and 95 in 100."""
    months, wrong = chosen_number(request, "months", 24, 1, 240)
    things = things_now()
    stands = all_stands(things)
    found = what_to_carry(things, stands, round(months))
    shown_with = with_names(
        door="carry", months=round(months), wrong=wrong, typed=request.GET, found=found, unsettled=unsettled_lost()
    )
    if found:
        shown_with |= {
            "sets": [
                (
                    one,
                    round(100 * one.share),
                    round(100 * one.covered / one.enquiries),
                    [(things.of(KIT, kit), stands.get((KIT, kit), Stand(None))) for kit in one.kits],
                )
                for one in found.sets
            ],
            "more": [(things.of(KIT, one.kit), one, round(100 * one.share_then)) for one in found.more[:MOST_SHOWN]],
            "lost": [(one.enquiry, [things.of(KIT, kit) for kit in kits]) for one, kits in found.lost[:MOST_SHOWN]],
        }
    return render(request, "shelf/carry.html", shown_with)
