"""The offer as a caller would check it."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from pypdf import PdfReader
from tests.papers.sold import HEAD, STANDARD, TO, ZERO, Words, kit, postage, seats

from floatbowl.money.document import Offer
from floatbowl.money.lines import Line
from floatbowl.money.tax import NO_TAX, TaxRule
from floatbowl.papers.offer import OfferPaper, offer_pdf
from floatbowl.papers.paper import Page

LINES = (
    kit("48.50"),
    seats(price="6.125"),
    Line(says="Rebuild on the bench", quantity=Decimal("3.5"), unit_price=Decimal("42"), rate=STANDARD),
    Line(says="Core deposit", quantity=Decimal(1), unit_price=Decimal("1060"), rate=ZERO),
    postage(),
)
OFFER = Offer(
    number="O-0231",
    dated=date(2026, 11, 25),
    valid_until=date(2026, 12, 24),
    to=TO,
    currency="GBP",
    rule=TaxRule(),
    lines=LINES,
    not_included=("float", "throttle shaft bushes"),
    doubt="93 in 100 this kit; of the 7 that remain, five need another needle seat.",
    return_rule="Unopened packets come back within 30 days.",
)
PAPER = OfferPaper(
    offer=OFFER,
    **HEAD,
    shop_address="Mill Yard\nNettlebeck",
    enquiry="E-1043",
    address="http://shop.local/counter/1043",
    carburettor="Tarnsyke K36/118",
    sizes=((), ("bore 3.2 mm", "thread ½ in × 20"), (), (), ()),
    core="The deposit comes back with the old carburettor.",
    accept="Ring us on weekdays, 8 to 3.",
)
BARE = OfferPaper(
    offer=Offer(
        number="O-1",
        dated=date(2026, 1, 1),
        valid_until=date(2026, 1, 31),
        to="",
        currency="GBP",
        rule=TaxRule(),
        lines=(Line(says="", quantity=Decimal(1), unit_price=Decimal(3)),),
    ),
    shop_name="",
)


def test_all_that_is_offered_stands_on_it(words: Words) -> None:
    text = words(offer_pdf(PAPER))
    for want in (
        "Nettlebeck Carburettor Room", "Mill Yard", "VAT number 000 0000 00", "Wil Harrowgate", "Upper Lodge",
        "O-0231", "25 November 2026", "Good until 24 December 2026", "E-1043", "Tarnsyke K36/118", OFFER.doubt,
        OFFER.return_rule, "float", "throttle shaft bushes", PAPER.core, PAPER.accept, "pound sterling",
        *(line.says for line in LINES),
    ):  # fmt: skip
        assert want in text


def test_sizes_stand_under_their_own_line(words: Words) -> None:
    text = words(offer_pdf(PAPER))
    assert text.index("Needle seat") < text.index("bore 3.2 mm") < text.index("thread ½ in × 20")
    assert text.index("thread ½ in × 20") < text.index("Rebuild on the bench")


def test_amounts_are_those_of_the_money_facts(words: Words) -> None:
    """48.50 + 12.25 + 147.00 = 207.75 at 20 % is 41.55; 5.20 at 5 % is 0.26; with 1,060 in all 1,314.76."""
    text = words(offer_pdf(PAPER))
    for want in ("6.125", "12.25", "standard 20 % 207.75 41.55 249.30", "zero 0 % 1,060.00 0.00 1,060.00",
                 "reduced 5 % 5.20 0.26 5.46", "All rates 1,272.95 41.81 1,314.76", "In all 1,314.76 GBP",
                 "before tax; the tax is added below"):  # fmt: skip
        assert want in text


def test_prices_with_tax_are_said_to_have_it(words: Words) -> None:
    """In 120.00 with 20 % tax are 20.00 (HMRC: the VAT fraction of 20 % is 1/6)."""
    line = Line(says="Full kit", quantity=Decimal(1), unit_price=Decimal(120), rate=STANDARD)
    text = words(
        offer_pdf(replace(PAPER, sizes=(), offer=replace(OFFER, lines=(line,), rule=TaxRule(prices="with tax"))))
    )
    assert "has its tax in it" in text
    assert "standard 20 % 100.00 20.00 120.00" in text
    assert "All rates" not in text


@pytest.mark.parametrize("rule", [TaxRule(prices="no tax"), TaxRule()])
def test_without_tax_there_is_no_column_for_it(rule: TaxRule, words: Words) -> None:
    lines = LINES if rule.prices == "no tax" else tuple(replace(line, rate=NO_TAX) for line in LINES)
    text = words(offer_pdf(replace(PAPER, offer=replace(OFFER, rule=rule, lines=lines))))
    assert "No tax is charged" in text
    assert "Tax rate" not in text
    assert "standard" not in text
    assert "In all 1,272.95 GBP" in text


def test_a_currency_without_small_coin_is_written_without_places(words: Words) -> None:
    line = Line(says="Full kit", quantity=Decimal(1), unit_price=Decimal(12500))
    text = words(offer_pdf(replace(PAPER, sizes=(), offer=replace(OFFER, currency="JPY", lines=(line,)))))
    assert "In all 12,500 JPY" in text


def test_missing_values_are_said_to_be_missing(words: Words) -> None:
    text = words(offer_pdf(BARE))
    for want in ("Shop not named", "name not taken", "not named", "Not stated: ask us", "Nothing is named as left out",
                 "No return rule was stated", "tell us by 31 January 2026. Quote offer O-1"):  # fmt: skip
        assert want in text


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_an_ordinary_offer_is_one_page(page: Page) -> None:
    assert len(PdfReader(io.BytesIO(offer_pdf(replace(PAPER, page=page)))).pages) == 1


def test_the_square_code_is_of_the_address() -> None:
    assert offer_pdf(PAPER) != offer_pdf(replace(PAPER, address="http://shop.local/counter/1044"))


def test_sizes_that_are_not_as_many_as_the_lines_are_refused() -> None:
    with pytest.raises(ValueError, match="sizes for 1 lines, but there are 5"):
        offer_pdf(replace(PAPER, sizes=(("bore 3.2 mm",),)))
