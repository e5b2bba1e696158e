"""The offer: what it comes to, what is not in it, how sure the shop is, the way back, and how to accept it."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from floatbowl.money.document import Offer
from floatbowl.papers.cautions import ASBESTOS, POSTING, RIGHTS
from floatbowl.papers.paper import Caution, Page, as_data, printed, square_code, with_own
from floatbowl.papers.sums import price_rows, sums

#: Always printed on an offer.
CAUTIONS: Final = (ASBESTOS, POSTING, RIGHTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferPaper:
    """An offer and the words around it. Empty text is "not known" and is either left out or said to be so.

    ``sizes``: for each line of the offer what stands under it, such as ``bore 1.10 mm``; empty when no line has any.
    ``tax_number`` is written as it is, so with its name. ``address`` is what the square code opens.
    ``core`` says how a core deposit comes back.
    """

    offer: Offer
    shop_name: str
    shop_address: str = ""
    tax_number: str = ""
    enquiry: str = ""
    address: str = ""
    carburettor: str = ""
    sizes: tuple[tuple[str, ...], ...] = ()
    #: What each line is counted in, such as ``h``; empty when all are counted in pieces.
    counted_in: tuple[str, ...] = ()
    #: Without a kit nothing is said of how sure the shop is, unless the offer says it.
    has_kit: bool = True
    core: str = ""
    accept: str = ""
    #: Besides the offer's own.
    cautions: tuple[Caution, ...] = ()
    page: Page = "A4"


def offer_pdf(paper: OfferPaper) -> bytes:
    """The offer as a PDF; the same offer gives the same bytes.

    Raises ``ValueError`` for an unknown page size, or sizes that are not as many as the lines.
    """
    return printed("offer.typ", _as_data(paper), paper.offer.dated)


def _as_data(paper: OfferPaper) -> dict[str, Any]:
    offer = paper.offer
    rows = price_rows(offer.lines, offer.currency, paper.sizes, paper.counted_in)
    worked_out = {"date": offer.dated, "sums": asdict(sums(rows, offer.lines, offer.rule, offer.totals))}
    data = as_data(replace(paper, cautions=with_own(CAUTIONS, paper.cautions)), worked_out)
    return data | {"code": square_code(paper.address)}
