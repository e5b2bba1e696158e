"""One job through every step: nothing goes on before its guard, everything stays in the history."""

from __future__ import annotations

from itertools import pairwise

from tests.pages.bench.conftest import Bench, pdf_text, words

from floatbowl.bench.steps import steps
from floatbowl.shop.models import Enquiry, Job


def test_through_all_steps_to_the_end_and_open_again(bench: Bench) -> None:
    order = [step.key for step in steps()]
    for here, there in pairwise(order):
        assert bench.job.step == here
        assert bench.go(there).status_code == 422, f"{here} was left without anything written"
        bench.fill(here)
        answer = bench.go(there)
        assert answer.status_code == 302, words(answer.content.decode())
    bench.fill("write-down")
    assert bench.client.post(f"{bench.at}close/").status_code == 302
    job = bench.job
    assert not job.is_open
    assert Enquiry.objects.get(pk=job.enquiry_id).outcome == "rebuild"
    assert "Open it again" in bench.see("afterwards")

    refused = bench.client.post(f"{bench.at}reopen/", {"to": "measure", "reason": " "})
    assert refused.status_code == 422
    bench.client.post(f"{bench.at}reopen/", {"to": "measure", "reason": "it drips again"})
    job = bench.job
    assert (job.is_open, job.step) == (True, "measure")
    told = words(bench.client.get(f"{bench.at}history/").content.decode())
    assert "Opened again : Measure: it drips again" in told
    assert "Idle needle: turns out as found : 1" in told, "what it held before is gone"


def test_no_wash_before_the_turns_and_the_photographs(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(step="strip-sheet")
    answer = bench.go("wash")
    told = words(answer.content.decode())
    assert answer.status_code == 422
    assert "turns of the idle needle" in told
    assert "photographed as they sat" in told
    assert bench.job.step == "strip-sheet"


def test_nothing_is_sent_before_the_wet_tests(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(step="on-the-engine")
    bench.fill("on-the-engine")
    assert "not passed and not refused in writing" in words(bench.go("close-and-send").content.decode())
    bench.fill("wet-bench")
    assert bench.go("close-and-send").status_code == 302


def test_a_failed_test_sends_it_back_with_a_reason(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(step="wet-bench")
    bench.write("wet-bench.no drip", "failed")
    bench.fill("wet-bench")
    assert "goes back to Measure" in words(bench.go("on-the-engine").content.decode())
    assert bench.go("measure").status_code == 422
    assert bench.go("measure", "drips at the seat").status_code == 302
    assert bench.job.step == "measure"


def test_after_a_failure_the_wet_tests_are_made_anew_and_the_paper_says_so(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(step="wet-bench")
    bench.write("wet-bench.no drip", "failed")
    bench.fill("wet-bench")
    bench.go("measure", "drips at the seat")
    assert "drips at the seat" in words(bench.see("measure")), "nobody at the step knows why it came back"
    Job.objects.filter(pk=bench.number).update(step="wet-bench")
    told = words(bench.go("on-the-engine").content.decode())
    assert "drips must be watched" in told
    assert "the level must be watched" in told, "an old result stands for the mended unit"
    bench.fill("wet-bench")
    paper = bench.client.get(f"{bench.at}paper/test-record.pdf").content
    assert "failed on" in pdf_text(paper)


def test_what_is_not_as_it_must_be_after_the_work_holds_it_back(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(step="build")
    bench.fill("build")
    assert bench.go("wet-bench").status_code == 302
    Job.objects.filter(pk=bench.number).update(step="build")
    for reading in bench.job.readings.filter(row="plate_screws_locked"):
        reading.strike("Tobiah Renn")
    bench.measure("plate_screws_locked", "no", at="build")
    assert "not as it must be: Screws of the throttle plate" in words(bench.go("wet-bench").content.decode())


def test_checks_that_are_not_the_carburettor_come_first(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(step="on-the-engine")
    bench.fill("wet-bench")
    bench.write("on-the-engine.who", "we do")
    bench.write("on-the-engine.spark", "not good")
    bench.fill("on-the-engine")
    assert "spark: try it first, and mend it" in words(bench.go("close-and-send").content.decode())


def test_an_address_that_takes_what_is_sent_shows_the_job_when_opened(bench: Bench) -> None:
    for what in ("hold", "go", "reopen", "close", "write"):
        assert bench.client.get(f"{bench.at}{what}/").status_code == 302


def test_a_day_that_is_over_is_not_promised(bench: Bench) -> None:
    answer = bench.client.post("/bench/book/", {"owner": "Corwin Hollis", "promised": "2020-01-01"})
    assert "That day is over" in answer.content.decode()
    held = bench.client.post(f"{bench.at}hold/", {"why": "a seat", "acts": "Priya", "until": "2020-01-01"})
    assert "is over" in words(held.content.decode())


def test_what_was_seen_at_booking_stands_over_every_step(bench: Bench) -> None:
    bench.write("booked-in.hazards", "both")
    assert "treat them as asbestos and lead" in words(bench.see("wash"))


def test_on_hold_says_why_who_and_when_and_stays(bench: Bench) -> None:
    hold = f"{bench.at}hold/"
    short = bench.client.post(hold, {"why": "seat on order", "acts": "", "until": "soon"})
    assert short.status_code == 422
    assert "seat on order" in short.content.decode(), "what was typed is lost"
    bench.client.post(hold, {"why": "seat on order", "acts": "Priya Collis", "until": "2030-01-02"})
    assert "Priya Collis" in words(bench.client.get("/bench/").content.decode())
    bench.fill("booked-in")
    assert "on hold" in words(bench.go("strip-sheet").content.decode())
    bench.client.post(f"{bench.at}off-hold/")
    assert bench.go("strip-sheet").status_code == 302


def test_from_a_call_to_the_bench_with_what_was_told(bench: Bench) -> None:
    enquiry = Enquiry.objects.create(caller="Mrs Hollis", phone="01000 960 144", notes="floods")
    place = enquiry.in_hand.create(place=1, machine_text="Drumlow Lowfold")
    place.evidence.create(kind="reading", text="K36/118", part="tag", via="heard")
    page = bench.client.get(f"/bench/book/{enquiry.pk}/1/").content.decode()
    assert "Mrs Hollis" in page
    assert "K36/118 (tag)" in page
    bench.client.post(f"/bench/book/{enquiry.pk}/1/", {"owner": "Mrs Hollis", "machine_text": "Drumlow Lowfold"})
    job = Job.objects.latest("pk")
    assert (job.enquiry_id, job.booked_as, job.machine) == (enquiry.pk, "k36-118", "lowfold")
    assert job.in_hand is not None
    assert job.in_hand.place == 2
    assert not job.in_hand.evidence.exists(), "what is seen on the object is kept apart from the call"


def test_another_carburettor_than_was_booked_is_raised(bench: Bench) -> None:
    assert bench.job.in_hand is not None
    for text, part, form in (("RING 206-D-3", "throttle body", "stamped"), ("206-D-3", "lid", "cast")):
        bench.job.in_hand.evidence.create(kind="reading", text=text, part=part, form=form, via="bench")
    page = words(bench.see("booked-in"))
    assert "Not what it was booked as" in page
    key = "206-d-3"
    assert bench.client.post(f"{bench.at}taken-for/", {"carburettor": "k36-113"}).status_code == 404
    bench.client.post(f"{bench.at}taken-for/", {"carburettor": key})
    assert bench.job.carburettor == key
    assert "taken for" in words(bench.client.get(f"{bench.at}history/").content.decode())


def test_details_that_change_keep_what_stood_there(bench: Bench) -> None:
    bench.client.post(f"{bench.at}details/", {"owner": "Anselm Pickard", "agreed_sum": "180", "promised": ""})
    assert str(bench.job.agreed_sum) == "180.00"
    assert "“120.00” became “180”" in words(bench.client.get(f"{bench.at}history/").content.decode())


def test_booking_without_an_owner_keeps_what_was_typed(shop: object) -> None:
    bench = Bench()
    answer = bench.client.post("/bench/book/", {"owner": "", "complaint": "floods on the hill"})
    assert answer.status_code == 422
    assert "floods on the hill" in answer.content.decode()
    assert "Write whose it is" in answer.content.decode()


def test_every_step_shows_its_cautions(bench: Bench) -> None:
    for step in steps():
        page = words(bench.see(step.key)).replace("&#x27;", "'")
        for caution in step.cautions:
            assert caution.says in page
            assert caution.rule in page
