"""The bench's papers filled from a job. The same job gives the same bytes: no paper bears the time of printing."""

from floatbowl.shop.jobs.papers.booking_in import booking_in, small_tag, tag, tags
from floatbowl.shop.jobs.papers.filled import Filled, filled
from floatbowl.shop.jobs.papers.setting_card import setting_card
from floatbowl.shop.jobs.papers.strip_sheet import strip_sheet
from floatbowl.shop.jobs.papers.test_record import test_record

PAPERS = {
    "booking-in": ("Booking-in sheet", booking_in),
    "tag": ("Core tag", tag),
    "tag-62": ("Core tag, 62 mm roll", small_tag),
    "tags": ("A page of tags", tags),
    "strip-sheet": ("Strip and measuring sheet", strip_sheet),
    "test-record": ("Test record", test_record),
    "setting-card": ("Setting card", setting_card),
}

__all__ = ["PAPERS", "Filled", "filled"]
