"""Drafts as they are begun: from a call with its kit, and from a job with its parts and work."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.pages.bench.conftest import Bench
from tests.pages.counter.conftest import Counter, small_shop  # noqa: F401  (a fixture)

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import InHand, OfficeSettings, ReadBack, WantedPart
from floatbowl.shop.office import drafting
from floatbowl.shop.office.drafting import DraftLine
from floatbowl.shop.office.written_prices import plain_number
from floatbowl.shop.shelf.ledger import About, item_of, write


@pytest.fixture
def in_hand(small_shop: Reference) -> InHand:  # noqa: F811
    call = Counter()
    call.post("caller", caller="Anselm Pickard", phone="", version="1")
    call.read("K36/118", part="tag", made="stamped")
    return call.in_hand


def _kit(in_hand: InHand) -> DraftLine:
    return drafting.from_enquiry(in_hand).lines[0]


def test_the_likeliest_kit_with_its_price_contents_doubt_and_return_rule(
    in_hand: InHand,
    small_shop: Reference,  # noqa: F811
) -> None:
    draft = drafting.from_enquiry(in_hand)
    line = draft.lines[0]
    kit = next(kit for kit in small_shop.kits if f"kit {kit.kit}" == line.item)
    assert kit.kit in {fit.kit for fit in small_shop.kit_fits if fit.carburettor == "k36-118"}
    assert Decimal(line.price) == Decimal(str(kit.price))
    inside = [row for row in small_shop.kit_parts if row.kit == kit.kit]
    assert len(line.sizes.splitlines()) == len(inside)
    assert "thickness" in line.sizes
    assert draft.to == "Anselm Pickard"
    assert "fits" in draft.doubt
    assert "in 100" in draft.doubt
    assert draft.return_rule
    brought = {row.part for row in inside}
    left_out = {row.part for row in small_shop.carburettor_parts if row.carburettor == "k36-118"} - brought
    assert len(draft.not_included.splitlines()) == len({p.name for p in small_shop.parts if p.part in left_out})
    assert "not been read back" in draft.mind[0]


def test_what_was_read_back_goes_before_what_is_likeliest(
    in_hand: InHand,
    small_shop: Reference,  # noqa: F811
) -> None:
    other = next(kit for kit in small_shop.kits if f"kit {kit.kit}" != _kit(in_hand).item)
    ReadBack.objects.create(in_hand=in_hand, kit=other.kit, kit_name=other.name, doubt="93 in 100", carburettor="")
    draft = drafting.from_enquiry(in_hand)
    assert draft.lines[0].item == f"kit {other.kit}"
    assert draft.doubt == "93 in 100"
    assert draft.mind == ()
    asked = drafting.from_enquiry(in_hand, "no such kit")
    assert asked.lines[0].item == f"kit {other.kit}"


def test_what_the_shelf_counts_is_kept_back_and_what_it_does_not_is_not(in_hand: InHand) -> None:
    line = _kit(in_hand)
    assert not line.off_shelf
    item = item_of(*line.item.split(" ", 1))
    assert not _kit(in_hand).off_shelf, "an item without a line in the ledger was never counted"
    write(item, 2, About(why="receipt"))
    assert _kit(in_hand).off_shelf


def test_postage_is_in_it_once_the_shop_has_a_price_for_it(in_hand: InHand) -> None:
    assert [line.kind for line in drafting.from_enquiry(in_hand).lines] == ["kit"]
    OfficeSettings.objects.update(postage=Decimal("4.2"))
    assert [(line.kind, line.price) for line in drafting.from_enquiry(in_hand).lines][1:] == [("postage", "4.20")]


def test_a_kit_that_may_not_go_yet_is_said_to_be_so(small_shop: Reference) -> None:  # noqa: F811
    call = Counter()
    call.read("ZZZZ 9999")
    mind = drafting.from_enquiry(call.in_hand).mind
    assert any("two independent kinds of evidence" in each for each in mind)
    assert any("Our advice is not to send yet" in each for each in mind)


def test_a_job_brings_parts_work_and_the_core(small_shop: Reference) -> None:  # noqa: F811
    OfficeSettings.objects.create(pk=1, currency="EUR", hour_price=Decimal(38), core_deposit=Decimal(60))
    bench = Bench(owner="Dessa Wainlow")
    part = small_shop.parts[0]
    for source in ("loose", "kit", "made here", "outside"):
        WantedPart.objects.create(job=bench.job, name=part.name, part=part.part, source=source, quantity=2)
    WantedPart.objects.create(job=bench.job, name="Odd screw", source="loose", quantity=1)
    write(item_of("part", part.part), 9, About(why="receipt"))
    bench.write("close-and-send.core due", "core owed")
    lines = drafting.from_job(bench.job).lines
    assert [line.kind for line in lines] == ["part"] * 5 + ["work", "core"]
    assert [line.off_shelf for line in lines[:5]] == [True, False, False, False, False]
    assert [bool(line.item) for line in lines[:5]] == [True, True, False, False, False]
    assert {line.quantity for line in lines[:4]} == {"2"}
    assert Decimal(lines[0].price) == Decimal(str(part.price))
    assert (lines[4].price, lines[4].note) == ("", "No price is recorded for it.")
    assert (lines[5].quantity, lines[5].price) == ("", "38.00")
    assert (lines[6].says, lines[6].price) == ("Exchange core still owed", "60.00")


@given(st.decimals(0, 10**6, places=2).map(str))
def test_a_price_keeps_the_digits_it_was_recorded_with(recorded: str) -> None:
    assert Decimal(plain_number(float(recorded))) == Decimal(recorded)
