"""What goes into a job leaves the shelf once, with its invoice or when it is closed, and comes back when put back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db.models import Sum
from tests.shop.shelf.conftest import records  # noqa: F401  (a fixture)

from floatbowl.money.lines import Line
from floatbowl.money.tax import NO_TAX
from floatbowl.reference.facts import Reference
from floatbowl.shop.jobs import from_shelf as module
from floatbowl.shop.jobs import moving
from floatbowl.shop.jobs.from_shelf import ShortForJobError, draw, from_shelf, put_back
from floatbowl.shop.models import Item, Job, LedgerLine, OfficePaper, WantedPart
from floatbowl.shop.office.issuing import Draft, Goods, accept, decline, issue, offer
from floatbowl.shop.shelf.beginning import begin
from floatbowl.shop.shelf.ledger import About, item_of, write


@pytest.fixture
def job(records: Reference) -> Job:  # noqa: F811
    """One gasket kit, two loose gaskets, a cord by the half, and a bush made here; 1 kit and 8 gaskets lie there."""
    begin("Ines")
    made = Job.objects.create(owner="Anselm Pickard")
    want(made, "Bowl gasket", "G-1", "kit", kit="T-25G")
    want(made, "Seat washer", "W-1", "kit", kit="T-25G")
    want(made, "Bowl gasket", "G-1", "loose", quantity=2)
    want(made, "Packing cord", "cord", "loose", quantity=0.5)
    want(made, "Bush", "", "made here")
    return made


def want(job: Job, name: str, part: str, source: str, **more: Any) -> WantedPart:
    return WantedPart.objects.create(job=job, name=name, part=part, source=source, here=True, **more)


def on_hand(kind: str, key: str) -> int:
    return int(Item.objects.get(kind=kind, key=key).on_hand)


def numbers() -> tuple[int, int, int]:
    """Kits, loose gaskets and loose washers on the shelf; every one the sum of its lines, and none below nothing."""
    for item in Item.objects.all():
        assert item.on_hand == (item.lines.aggregate(Sum("quantity"))["quantity__sum"] or 0) >= 0
    return on_hand("kit", "T-25G"), on_hand("part", "G-1"), on_hand("part", "W-1")


def offered(job: Job, *goods: Goods) -> OfficePaper:
    lines = [Line(says="part", quantity=Decimal(one.pieces), unit_price=Decimal(3), rate=NO_TAX) for one in goods]
    lines = lines or [Line(says="work", quantity=Decimal(1), unit_price=Decimal(40), rate=NO_TAX)]
    made = offer(Draft(to="Anselm Pickard", lines=lines, goods=goods, job=job), "Ines")
    accept(made, "Ines")
    made.refresh_from_db()
    return made


def test_what_will_leave_is_told_before_it_does(job: Job) -> None:
    found = from_shelf(job)
    assert {(one.thing.key, one.wanted, one.to_take, one.short) for one in found.takes} == {
        ("T-25G", 1, 1, 0), ("G-1", 2, 2, 0),
    }  # fmt: skip
    assert any("Packing cord: 0.5 went in" in says for says in found.not_counted)
    assert numbers() == (1, 8, 5), "looking took something"


def test_kits_and_loose_parts_leave_once(job: Job) -> None:
    assert draw(job, "Ines") == 3
    assert numbers() == (0, 6, 5), "a kit leaves whole, its own gasket and washer with it"
    assert draw(job, "Ines") == 0
    assert numbers() == (0, 6, 5)
    lines = LedgerLine.objects.filter(document=f"job {job.pk}")
    assert {(line.item.key, line.quantity, line.why) for line in lines} == {("T-25G", -1, "job"), ("G-1", -2, "job")}


def test_the_invoice_takes_it_and_closing_takes_nothing_more(job: Job) -> None:
    issue(offered(job, Goods(place=0, kind="part", key="G-1", pieces=2)), "Ines")
    assert numbers() == (0, 6, 5), "the kit left beside what the invoice names"
    assert LedgerLine.objects.filter(item__key="G-1", quantity__lt=0).get().document.startswith("invoice")
    assert draw(job, "Ines") == 0


def test_what_is_kept_back_for_its_offer_leaves_with_the_invoice(job: Job) -> None:
    made = offered(job, Goods(place=0, kind="part", key="G-1", pieces=2))
    assert draw(job, "Ines") == 1, "only the kit leaves: the gaskets are kept back for the offer"
    assert numbers() == (0, 8, 5)
    issue(made, "Ines")
    assert numbers() == (0, 6, 5)


def test_an_offer_declined_after_the_job_was_closed_lets_its_parts_go(job: Job) -> None:
    made = offered(job, Goods(place=0, kind="part", key="G-1", pieces=2))
    draw(job, "Ines")
    Job.objects.filter(pk=job.pk).update(closed_at=made.at)
    made = OfficePaper.objects.get(pk=made.pk)
    decline(made, "paid in kind", "Ines")
    assert numbers() == (0, 6, 5)


def test_what_was_used_from_the_items_own_page_is_not_taken_again(job: Job) -> None:
    write(item_of("part", "G-1"), -2, About(why="job", document=f"job {job.pk}"))
    assert draw(job, "Ines") == 1
    assert numbers() == (0, 6, 5)


def test_too_few_are_told_by_name_and_nothing_is_taken(job: Job) -> None:
    want(job, "Bowl gasket", "G-1", "loose", quantity=9)
    write(item_of("kit", "T-25G"), -1, About(why="scrap"))
    with pytest.raises(ShortForJobError) as wrong:
        draw(job, "Ines")
    assert [reason.split(",")[0] for reason in wrong.value.reasons] == [
        "Gasket kit: 1 went in", "Bowl gasket: 11 went in",
    ]  # fmt: skip
    assert numbers() == (0, 8, 5)


def test_what_others_wait_for_is_not_taken(job: Job) -> None:
    other = Job.objects.create(owner="Wil")
    offered(other, Goods(place=0, kind="part", key="G-1", pieces=7))
    with pytest.raises(ShortForJobError, match="2 went in, but 1 are free"):
        draw(job, "Ines")
    assert numbers() == (1, 8, 5)


def test_what_is_not_here_or_not_wanted_stays(job: Job) -> None:
    job.wanted.filter(source="kit").update(here=False)
    for part in job.wanted.filter(source="loose"):
        part.strike("Ines")
    assert draw(job, "Ines") == 0


def test_put_back_it_lies_there_again_and_can_leave_again(job: Job) -> None:
    draw(job, "Ines")
    assert put_back(job, "Ines") == 3
    assert numbers() == (1, 8, 5)
    assert put_back(job, "Ines") == 0
    assert not job.wanted.filter(part="G-1", here=True).exists(), "it is on the shelf and still ticked as here"
    assert draw(job, "Ines") == 0
    job.wanted.update(here=True)
    assert draw(job, "Ines") == 3
    assert numbers() == (0, 6, 5)


def test_of_a_closed_job_nothing_is_put_back(job: Job) -> None:
    draw(job, "Ines")
    Job.objects.filter(pk=job.pk).update(closed_at=job.booked_at)
    with pytest.raises(ValueError, match="open it again first"):
        put_back(job, "Ines")
    assert numbers() == (0, 6, 5)


def test_a_crash_in_the_middle_takes_nothing(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    real, taken = module.take, []

    def crash(*told: Any) -> Any:
        if taken:
            raise OSError("the power went")
        taken.append(told)
        return real(*told)

    monkeypatch.setattr(module, "take", crash)
    with pytest.raises(OSError, match="power"):
        draw(job, "Ines")
    assert numbers() == (1, 8, 5)


def test_closing_is_held_back_by_what_is_short(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(moving, "still_missing", lambda *_: [])
    Job.objects.filter(pk=job.pk).update(step="write-down")
    job.refresh_from_db()
    extra = want(job, "Bowl gasket", "G-1", "loose", quantity=9)
    with pytest.raises(moving.MayNotError, match="Bowl gasket: 11 went in"):
        moving.close(job, "Ines")
    assert Job.objects.get(pk=job.pk).is_open
    extra.strike("Ines")
    job.refresh_from_db()
    moving.close(job, "Ines")
    assert numbers() == (0, 6, 5)
