"""Offers, invoices and credit notes: what they come to, that they never change, and that a credit undoes a sale."""

from __future__ import annotations

import dataclasses
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floatbowl.engine.refusal import Refused
from floatbowl.money.amount import Amount, amount, nothing
from floatbowl.money.document import CreditNote, Invoice, Offer, credit, invoice_of, owed
from floatbowl.money.lines import Line
from floatbowl.money.rounding import HOWS
from floatbowl.money.tax import NO_TAX, Rate, TaxRule

TODAY = date(2026, 3, 2)
STANDARD, REDUCED, ZERO = Rate("standard", Decimal(20)), Rate("reduced", Decimal(5)), Rate("zero", Decimal(0))
KIT = Line(says="Full kit", quantity=Decimal(1), unit_price=Decimal("15.00"), rate=STANDARD)
WASHERS = Line(says="Seat washer", quantity=Decimal(3), unit_price=Decimal("0.35"), rate=STANDARD)
BOOK = Line(says="Setting sheet, printed", quantity=Decimal(2), unit_price=Decimal("4.99"), rate=ZERO)

RULES = st.builds(
    TaxRule,
    prices=st.sampled_from(["before tax", "with tax", "no tax"]),
    rounded_by=st.sampled_from(["line", "total"]),
    how=st.sampled_from(HOWS),
    line_step=st.sampled_from([None, Decimal("0.001")]),
)
LINES = st.builds(
    Line,
    says=st.just("something"),
    quantity=st.integers(1, 40).map(Decimal),
    unit_price=st.decimals(min_value=0, max_value=2000, places=3),
    rate=st.sampled_from([STANDARD, REDUCED, ZERO, NO_TAX, Rate("odd", Decimal("17.5"))]),
    discount_percent=st.sampled_from([Decimal(0), Decimal(10), Decimal("33.3")]),
)
INVOICES = st.builds(
    Invoice,
    number=st.just("I-1"),
    issued=st.just(TODAY),
    to=st.just("Lowfold Farm"),
    currency=st.sampled_from(["GBP", "SEK", "JPY"]),
    rule=RULES,
    lines=st.lists(LINES, min_size=1, max_size=5).map(tuple),
)


def invoice(*lines: Line, rule: TaxRule | None = None, code: str = "GBP") -> Invoice:
    return Invoice(number="I-1", issued=TODAY, to="Lowfold Farm", currency=code, rule=rule or TaxRule(), lines=lines)


def test_the_gardeners_invoice() -> None:
    """Skatteverket, Rättslig vägledning 321578 (edition 2021.1): 4 467.75 before tax, 1 116.94 tax at 25 %."""
    moms = Rate("moms", Decimal(25))
    prices = [("Växter", "3500"), ("Plantering", "720"), ("Milersättning", "247.75")]
    lines = [Line(says=says, quantity=Decimal(1), unit_price=Decimal(price), rate=moms) for says, price in prices]
    found = invoice(*lines, code="SEK").totals
    assert [str(each) for each in (found.before_tax, found.tax, found.with_tax)] == [
        "4,467.75 SEK",
        "1,116.94 SEK",
        "5,584.69 SEK",
    ]
    assert str(found.with_tax.in_cash()) == "5,585.00 SEK"


def test_coffee_and_sandwich() -> None:
    """Budget of Canada 2012, "Rounding": 1.83 and 2.86 are 4.92 with 5 % tax; 4.90 in cash, the tax as it was."""
    gst = Rate("GST", Decimal(5))
    lines = [
        Line(says=says, quantity=Decimal(1), unit_price=Decimal(p), rate=gst)
        for says, p in [("a", "1.83"), ("b", "2.86")]
    ]
    found = invoice(*lines, code="CAD").totals
    assert (found.tax, found.with_tax) == (amount("0.23", "CAD"), amount("4.92", "CAD"))
    assert found.with_tax.in_cash() == amount("4.90", "CAD")


def test_totals_stand_rate_by_rate_in_the_order_they_appear() -> None:
    found = invoice(KIT, BOOK, WASHERS).totals
    assert [(each.rate, str(each.before_tax), str(each.tax)) for each in found.by_rate] == [
        (STANDARD, "16.05 GBP", "3.21 GBP"),
        (ZERO, "9.98 GBP", "0.00 GBP"),
    ]
    assert str(found.with_tax) == "29.24 GBP"


def test_prices_with_tax_keep_the_price_that_was_named() -> None:
    found = invoice(KIT, WASHERS, rule=TaxRule(prices="with tax")).totals
    assert (str(found.with_tax), str(found.tax), str(found.before_tax)) == ("16.05 GBP", "2.68 GBP", "13.37 GBP")


def test_a_shop_without_tax_shows_none() -> None:
    (only,) = invoice(KIT, BOOK, rule=TaxRule(prices="no tax")).totals.by_rate
    assert (only.rate, only.tax, str(only.with_tax)) == (NO_TAX, nothing("GBP"), "24.98 GBP")


def test_a_core_deposit_back_takes_away() -> None:
    back = Line(says="Core deposit back", quantity=Decimal(1), unit_price=Decimal("-20.00"), rate=STANDARD)
    assert str(invoice(KIT, back).totals.with_tax) == "-6.00 GBP"


def test_an_invoice_cannot_be_changed_and_its_seal_tells_a_copy_that_was() -> None:
    issued = invoice(KIT, WASHERS)
    with pytest.raises(dataclasses.FrozenInstanceError):
        issued.lines = (KIT,)  # type: ignore[misc]
    same = dataclasses.replace(issued, lines=(dataclasses.replace(KIT, quantity=Decimal("1.00")), WASHERS))
    dearer = dataclasses.replace(issued, lines=(dataclasses.replace(KIT, unit_price=Decimal("15.01")), WASHERS))
    other_rule = dataclasses.replace(issued, rule=TaxRule(rounded_by="line"))
    assert same.seal == issued.seal
    assert len({issued.seal, dearer.seal, other_rule.seal}) == 3
    with pytest.raises(Refused, match="as a tuple"):
        dataclasses.replace(issued, lines=[KIT])  # type: ignore[arg-type]


def test_an_offer_becomes_an_invoice_until_it_runs_out() -> None:
    offer = Offer(
        number="O-7",
        dated=TODAY,
        valid_until=TODAY + timedelta(30),
        to="Lowfold Farm",
        currency="GBP",
        rule=TaxRule(),
        lines=(KIT,),
    )
    made = invoice_of(offer, "I-9", TODAY + timedelta(30))
    assert (made.offer, made.totals) == ("O-7", offer.totals)
    with pytest.raises(Refused, match="make a new one"):
        invoice_of(offer, "I-9", TODAY + timedelta(31))


def test_a_credit_note_names_its_invoice_and_never_exceeds_it() -> None:
    issued = invoice(KIT, WASHERS)
    first = credit(issued, "C-1", TODAY, "misread", {1: Decimal(2)})
    assert (first.invoice, first.invoice_seal) == ("I-1", issued.seal)
    assert (str(first.lines[0].amount), first.lines[0].quantity) == ("-0.70 GBP", Decimal(2))
    with pytest.raises(Refused, match="Seat washer: 1 can still be credited, not 2"):
        credit(issued, "C-2", TODAY, "misread", {1: Decimal(2)}, [first])
    with pytest.raises(Refused, match="no line 5"):
        credit(issued, "C-2", TODAY, "misread", {4: Decimal(1)})
    with pytest.raises(Refused, match="say why"):
        credit(issued, "C-2", TODAY, " ")
    with pytest.raises(Refused, match="older than invoice"):
        credit(issued, "C-2", TODAY - timedelta(1), "misread")
    changed = dataclasses.replace(issued, lines=(KIT, BOOK))
    with pytest.raises(Refused, match="that invoice was changed since"):
        credit(changed, "C-2", TODAY, "misread", earlier=[first])
    rest = credit(issued, "C-2", TODAY, "misread", earlier=[first])
    with pytest.raises(Refused, match="nothing of invoice I-1 is left"):
        credit(issued, "C-3", TODAY, "misread", earlier=[first, rest])


def test_what_is_owed_after_payments_and_credits() -> None:
    issued = invoice(KIT, WASHERS)
    note = credit(issued, "C-1", TODAY, "kit packed wrong", {0: Decimal(1)})
    assert str(owed(issued, [note], [amount("1.00", "GBP")])) == "0.26 GBP"
    other = dataclasses.replace(note, invoice="I-2")
    with pytest.raises(Refused, match="is for invoice I-2"):
        owed(issued, [other])


@pytest.mark.parametrize("wrong", [{"quantity": Decimal(0)}, {"unit_price": 1.5}, {"discount_percent": Decimal(101)}])
def test_a_line_that_cannot_be_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(Refused, match="Full kit"):
        dataclasses.replace(KIT, **wrong)  # type: ignore[arg-type]


def test_papers_without_number_or_lines_are_refused() -> None:
    with pytest.raises(Refused, match="has no lines"):
        invoice()
    with pytest.raises(Refused, match="has no number"):
        dataclasses.replace(invoice(KIT), number=" ")


@settings(max_examples=40, deadline=None)
@given(INVOICES)
def test_what_is_printed_adds_up(issued: Invoice) -> None:
    found = issued.totals
    code = issued.currency
    assert found.before_tax + found.tax == found.with_tax
    for name in ("before_tax", "tax", "with_tax"):
        assert sum((getattr(each, name) for each in found.by_rate), nothing(code)) == getattr(found, name)
    written = Amount(sum(line.amount(code) for line in issued.lines) + nothing(code).value, code)
    assert written == (found.with_tax if issued.rule.prices == "with tax" else found.before_tax)


@settings(max_examples=40, deadline=None)
@given(INVOICES, st.data())
def test_however_the_whole_is_credited_it_comes_to_nothing_at_every_rate(issued: Invoice, data: st.DataObject) -> None:
    notes: list[CreditNote] = []
    left = {place: int(line.quantity) for place, line in enumerate(issued.lines)}
    while sum(left.values()) and len(notes) < 4:
        place = data.draw(st.sampled_from([place for place, count in left.items() if count]))
        count = data.draw(st.integers(1, left[place]))
        notes.append(credit(issued, f"C-{len(notes)}", TODAY, "misread", {place: Decimal(count)}, notes))
        left[place] -= count
    if sum(left.values()):
        notes.append(credit(issued, "C-last", TODAY, "misread", earlier=notes))
    assert not owed(issued, notes)
    for place, total in enumerate(issued.totals.by_rate):
        parts = [note.totals.by_rate[place] for note in notes]
        assert not sum((part.tax for part in parts), total.tax)
        assert all(part.tax.value <= 0 and part.before_tax.value <= 0 for part in parts)
