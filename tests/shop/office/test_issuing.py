"""From an offer to the invoice, the credit and the money: goods and papers together or not at all."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from django.utils import timezone

from floatbowl.engine.refusal import Refused
from floatbowl.money.lines import Line
from floatbowl.money.tax import Rate
from floatbowl.shop.models.office import OfficePaper, OfficeSettings, Payment
from floatbowl.shop.models.shelf import Item, LedgerLine
from floatbowl.shop.office import issuing
from floatbowl.shop.office.beside import beside_of
from floatbowl.shop.office.facts import invoice_of, offer_of
from floatbowl.shop.office.guard import NAMED_BY_CUSTOMER
from floatbowl.shop.office.issuing import Draft, Goods, accept, credit, decline, issue, offer, owed, pay
from floatbowl.shop.office.rules import check_pattern, filled
from floatbowl.shop.shelf.ledger import About, NotEnoughError, item_of, write

STANDARD = Rate("standard", Decimal(20))
KIT = Line(says="Full kit, Tarnsyke K36/118", quantity=Decimal(1), unit_price=Decimal("15.00"), rate=STANDARD)
BUSHES = Line(says="Bush", quantity=Decimal(2), unit_price=Decimal("3.335"), rate=STANDARD)
POSTAGE = Line(says="Postage", quantity=Decimal(1), unit_price=Decimal("4.20"), rate=STANDARD)
GOODS = (Goods(place=0, kind="kit", key="T-25F", pieces=1), Goods(place=1, kind="part", key="B-8", pieces=2))


@pytest.fixture
def kit(db: None) -> Item:
    OfficeSettings.objects.create(pk=1, prices="before tax", rates=[["standard", "20"]], currency="GBP")
    write(item_of("part", "B-8"), 10, About(why="receipt"))
    item = item_of("kit", "T-25F")
    write(item, 1, About(why="receipt"), "A1")
    return item


def _draft(**more: object) -> Draft:
    return Draft(**({"to": "Corwin Hollis", "lines": (KIT, BUSHES, POSTAGE), "goods": GOODS} | more))  # type: ignore[arg-type]


def _on_hand(item: Item) -> tuple[int, int]:
    item.refresh_from_db()
    return item.on_hand, item.promised


def test_from_the_offer_to_the_money(kit: Item) -> None:
    made = offer(_draft(doubt="93 in 100 this kit"), "Ines")
    assert _on_hand(kit) == (1, 0), "an offer alone keeps nothing back"
    accept(made, "Ines", NAMED_BY_CUSTOMER)
    assert _on_hand(kit) == (1, 1)
    made.refresh_from_db()
    invoice = issue(made, "Ines")
    assert _on_hand(kit) == (0, 0)
    assert invoice_of(invoice.facts).seal == invoice.seal
    # 15.00 + 6.67 + 4.20 = 25.87 before tax; 20 % of it is 5.17.
    assert invoice.total == Decimal("31.04")
    pay(invoice, Decimal("20.00"), "cash", "", "Ines", "a" * 32)
    pay(invoice, Decimal("20.00"), "cash", "", "Ines", "a" * 32)
    assert owed(invoice) == Decimal("11.04")
    assert Payment.objects.count() == 1


def test_the_last_kit_is_promised_once(kit: Item) -> None:
    first, second = offer(_draft(), "Ines"), offer(_draft(), "Wil")
    accept(first, "Ines", NAMED_BY_CUSTOMER)
    with pytest.raises(NotEnoughError, match="0 of kit T-25F are free"):
        accept(second, "Wil", NAMED_BY_CUSTOMER)
    second.refresh_from_db()
    assert second.state == "open"
    decline(first, "found one elsewhere", "Ines")
    accept(second, "Wil", NAMED_BY_CUSTOMER)
    assert _on_hand(kit) == (1, 1)


def test_a_crash_between_ledger_and_invoice_leaves_neither(kit: Item, monkeypatch: pytest.MonkeyPatch) -> None:
    made = offer(_draft(), "Ines")
    accept(made, "Ines", NAMED_BY_CUSTOMER)
    made.refresh_from_db()
    lines = LedgerLine.objects.count()

    def crash(*_: object, **__: object) -> None:
        raise OSError("the power went")

    monkeypatch.setattr(issuing, "kept_invoice", crash)
    with pytest.raises(OSError, match="power"):
        issue(made, "Ines")
    assert LedgerLine.objects.count() == lines
    assert _on_hand(kit) == (1, 1)
    assert not OfficePaper.objects.filter(kind="invoice").exists()
    monkeypatch.undo()
    assert issue(made, "Ines").number.endswith("0001"), "the number that was not used is used now"


def test_what_somebody_took_meanwhile_stops_the_invoice_whole(kit: Item) -> None:
    made = offer(_draft(), "Ines")
    accept(made, "Ines", NAMED_BY_CUSTOMER)
    made.refresh_from_db()
    for held in kit.holdings.all():
        held.delete()  # As if it had never lain there.
    with pytest.raises(NotEnoughError):
        issue(made, "Ines")
    assert not OfficePaper.objects.filter(kind="invoice").exists()


def test_an_issued_paper_stays_as_it_was(kit: Item) -> None:
    made = offer(_draft(), "Ines")
    made.to_name = "Somebody else"
    with pytest.raises(TypeError):
        made.save()
    with pytest.raises(TypeError):
        made.delete()
    OfficeSettings.objects.update(prices="with tax")
    assert offer_of(OfficePaper.objects.get(pk=made.pk).facts).totals.with_tax.value == Decimal("31.04")


def test_the_whole_credit_gives_nothing_owed_and_the_goods_come_back(kit: Item) -> None:
    made = offer(_draft(), "Ines")
    accept(made, "Ines", NAMED_BY_CUSTOMER)
    made.refresh_from_db()
    invoice = issue(made, "Ines")
    credit(invoice, "misread: K36/113", "Hal", {1: Decimal(1)}, back_at="B2")
    credit(invoice, "the rest", "Hal", back_at="B2")
    assert owed(invoice) == 0
    assert _on_hand(kit) == (1, 0)
    assert _on_hand(item_of("part", "B-8")) == (10, 0)
    with pytest.raises(Refused, match="left to credit"):
        credit(invoice, "once more", "Hal")
    with pytest.raises(Refused, match="say why"):
        credit(invoice, " ", "Hal")


def test_numbers_run_without_gaps_in_the_shops_own_form(kit: Item) -> None:
    OfficeSettings.objects.update(offer_number="{year}/{n:03}")
    year = timezone.localdate().year
    assert [offer(_draft(), "Ines").number for _ in range(3)] == [f"{year}/{n:03}" for n in (1, 2, 3)]
    with pytest.raises(Refused):
        offer(_draft(lines=()), "Ines")
    assert offer(_draft(), "Ines").number == f"{year}/004", "a refused offer used a number up"


@pytest.mark.parametrize("bad", ["I-{year}", "plain", "{n.real}", "{n!r}", "{", "{year}{x}"])
def test_a_numbering_that_cannot_be_is_refused(bad: str) -> None:
    with pytest.raises(ValueError, match="number"):
        check_pattern(bad)


def test_a_running_number_is_filled_up() -> None:
    assert filled("{n}-{n:06}", 2026, 12) == "12-000012"


def test_an_offer_that_has_run_out_is_not_accepted(kit: Item) -> None:
    made = offer(_draft(valid_days=0), "Ines")
    facts = made.facts | {"valid_until": str(timezone.localdate() - datetime.timedelta(1))}
    facts["dated"] = facts["valid_until"]
    OfficePaper.objects.filter(pk=made.pk).update(facts=facts)
    with pytest.raises(Refused, match="run out"):
        accept(made, "Ines", NAMED_BY_CUSTOMER)


def test_sent_twice_is_offered_once(kit: Item) -> None:
    draft = _draft(sent="c" * 32)
    assert offer(draft, "Ines").pk == offer(draft, "Ines").pk


def test_a_payment_belongs_to_an_invoice(kit: Item) -> None:
    with pytest.raises(Refused):
        pay(offer(_draft(), "Ines"), Decimal(1), "cash", "", "Ines", "d" * 32)


def test_a_credit_sent_twice_is_written_once(kit: Item) -> None:
    made = offer(_draft(), "Ines")
    accept(made, "Ines", NAMED_BY_CUSTOMER)
    made.refresh_from_db()
    invoice = issue(made, "Ines")
    first = credit(invoice, "misread: K36/113", "Hal", back_at="B2", sent="e" * 32)
    again = credit(invoice, "misread: K36/113", "Hal", back_at="B2", sent="e" * 32)
    assert first.pk == again.pk
    assert _on_hand(kit) == (1, 0), "the goods came back twice"
    assert OfficePaper.objects.filter(kind="credit note").count() == 1


def test_the_head_and_what_stands_beside_the_lines_are_kept_with_every_paper(kit: Item) -> None:
    OfficeSettings.objects.update(shop_name="Nettlebeck Carburettor Room", how_to_pay="At the counter")
    made = offer(
        _draft(kinds=["kit", "part", "postage"], sizes=[["bore 36 mm"], [], []], carburettor="K36/118"), "Ines"
    )
    accept(made, "Ines", NAMED_BY_CUSTOMER)
    made.refresh_from_db()
    invoice = issue(made, "Ines")
    OfficeSettings.objects.update(shop_name="Somebody else", how_to_pay="In shells")
    note = credit(invoice, "misread: K36/113", "Hal")
    for paper, name in ((made, "Nettlebeck Carburettor Room"), (invoice, "Nettlebeck Carburettor Room")):
        beside = beside_of(OfficePaper.objects.get(pk=paper.pk))
        assert beside.head.name == name
        assert (beside.kinds[0], beside.sizes[0], beside.carburettor) == ("kit", ("bore 36 mm",), "K36/118")
    assert beside_of(invoice).how_to_pay == "At the counter"
    assert beside_of(note).head.name == "Somebody else", "a new paper has the head of its own day"
