"""What a job takes off the shelf, on its own page: told before, drawn when it is closed, put back when opened again."""

from __future__ import annotations

from tests.pages.bench.conftest import Bench, bench, shop, small_shop, words  # noqa: F401  (fixtures)

from floatbowl.shop.models import Item, Job, WantedPart
from floatbowl.shop.models.shelf import PART
from floatbowl.shop.shelf.beginning import begin


def test_told_drawn_and_put_back(bench: Bench) -> None:  # noqa: F811
    begin("Ines")
    part = Item.objects.filter(kind=PART, on_hand__gte=2).first()
    assert part is not None
    before = part.on_hand
    WantedPart.objects.create(job=bench.job, name="Gasket", part=part.key, source="loose", quantity=2, here=True)
    Job.objects.filter(pk=bench.number).update(step="write-down")
    bench.fill("write-down")
    page = words(bench.see("write-down"))
    assert "It leaves the shelf when the job is invoiced or closed." in page
    assert f"2 to leave, {before} free" in page
    assert bench.client.post(f"{bench.at}close/").status_code == 302
    part.refresh_from_db()
    assert part.on_hand == before - 2
    assert "2 left the shelf" in words(bench.see("write-down"))
    refused = bench.client.post(f"/shelf/job/{bench.number}/put-back/", follow=True)
    assert "the job is closed; open it again first" in words(refused.content.decode())
    bench.client.post(f"{bench.at}reopen/", {"to": "parts-wanted", "reason": "the wrong one"})
    assert "put them back" in words(bench.see("parts-wanted"))
    answer = bench.client.post(f"/shelf/job/{bench.number}/put-back/", follow=True)
    assert "2 put back on the shelf" in words(answer.content.decode())
    part.refresh_from_db()
    assert part.on_hand == before
