"""The measuring sheet on the page, the verdicts that come of it, and the parts they want."""

from __future__ import annotations

from tests.pages.bench.conftest import Bench, words

from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.jobs.verdicts import judged_parts
from floatbowl.shop.models import Job, JobReading, WantedPart

PLAY = "shaft_play"
WHERE = "lever end, up and down"


def test_a_limit_says_where_it_comes_from_and_that_sources_disagree(bench: Bench) -> None:
    page = words(bench.see("measure"))
    assert "Side play of the throttle shaft" in page
    assert "(.005 in)" in page
    assert "TM 10-3930-644-14&amp;P" in page or "updraft handbook" in page


def test_the_machines_own_book_goes_first(bench: Bench) -> None:
    told = {"row": PLAY, "low": "", "high": "0.2", "source": "Lowfold handbook, page 12"}
    bench.client.post(f"{bench.at}measured/", told)
    page = words(bench.see("measure"))
    assert "Lowfold handbook, page 12" in page
    bad = bench.client.post(f"{bench.at}measured/", {**told, "high": "a lot"}, headers={"X-Piece": "1"})
    assert bad.status_code == 422


def test_impossible_play_is_asked_back(bench: Bench) -> None:
    answer = bench.measure(PLAY, "25 mm", WHERE)
    assert answer.status_code == 422
    assert "Did you mean 0.25 mm" in words(answer.json()["page"])
    assert not JobReading.objects.exists()


def test_bare_numbers_are_inches_where_the_browser_shows_inches(bench: Bench) -> None:
    bench.client.post("/bench/unit/", {"unit": "inch", "next": bench.at})
    bench.measure(PLAY, "0.005", WHERE)
    reading = JobReading.objects.get()
    assert reading.number is not None
    assert abs(reading.number - 0.000127) < 1e-12


def test_a_reading_is_struck_out_and_stays_in_the_history(bench: Bench) -> None:
    bench.measure(PLAY, "0.05", WHERE)
    bench.client.post(f"{bench.at}measured/", {"strike": str(JobReading.objects.get().pk), "at": "measure"})
    assert JobReading.objects.get().struck_at
    assert "struck out" in words(bench.client.get(f"{bench.at}history/").content.decode())


def test_what_cannot_be_measured_needs_its_reason(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(step="measure")
    assert "Side play of the throttle shaft" in words(bench.go("verdict").content.decode())
    bench.measure(PLAY, "", why_not="no shaft came with it")
    assert "measure it or write why not: Side play" not in words(bench.go("verdict").content.decode())


def test_loose_shaft_bores_are_bushed_with_the_air_it_lets_in(bench: Bench) -> None:
    bench.measure_all(shaft_play="0.25")
    page = words(bench.see("verdict"))
    assert "idle air" in page
    part = next(one for one in judged_parts(bench.job, standing_entries(bench.job)) if one.part == "shaft bores")
    assert part.worked_out in ("repair", "replace")
    assert part.is_open


def test_leaving_what_should_be_mended_wants_a_reason(bench: Bench) -> None:
    bench.measure_all(shaft_play="0.18")
    decide = f"{bench.at}decide/"
    refused = bench.client.post(decide, {"part": "shaft bores", "value": "leave"}, headers={"X-Piece": "1"})
    assert refused.status_code == 422
    kept = bench.client.post(
        decide,
        {"part": "shaft bores", "value": "leave", "reason": "owner wants it tried first"},
        headers={"X-Piece": "1"},
    )
    assert kept.status_code == 200
    assert "owner wants it tried first" in words(bench.see("verdict"))


def test_the_second_person_who_decides_is_told(bench: Bench) -> None:
    bench.measure_all(shaft_play="0.18")
    other = Bench("Wil", bench.job)
    told = {"part": "shaft bores", "value": "repair", "seen": "0"}
    bench.client.post(f"{bench.at}decide/", told, headers={"X-Piece": "1"})
    told |= {"value": "leave", "reason": "looks fine"}
    answer = other.client.post(f"{bench.at}decide/", told, headers={"X-Piece": "1"})
    assert answer.status_code == 422
    assert "Tobiah Renn decided" in answer.json()["wrong"]


def test_a_bush_for_another_shaft_is_not_proposed(bench: Bench) -> None:
    bench.measure_all(shaft_play="0.25", shaft_wear="7.94")
    bench.client.post(f"{bench.at}decide/", {})
    assert "8.7 mm shaft" not in words(bench.see("parts-wanted"))


def test_nothing_is_decided_for_what_must_be_measured_again(bench: Bench) -> None:
    bench.measure_all(shaft_play="0.125")
    part = next(one for one in judged_parts(bench.job, standing_entries(bench.job)) if one.part == "shaft bores")
    assert part.worked_out == "measure again"
    bench.client.post(f"{bench.at}decide/", {"sent": "a" * 32})
    assert "verdict.part shaft bores" not in standing_entries(bench.job)


def test_parts_come_from_the_kit_and_each_joint_is_checked_by_its_holes(bench: Bench) -> None:
    bench.measure_all(shaft_play="0.25")
    bench.client.post(f"{bench.at}decide/", {})
    assert "From the verdicts and" in words(bench.see("parts-wanted"))
    bench.client.post(f"{bench.at}parts/propose/", {"kit": ""})
    wanted = WantedPart.objects.filter(struck_at=None)
    sources = set(wanted.values_list("source", flat=True))
    assert "kit" in sources
    assert sources & {"loose", "made here"}, "the bushes are in no kit"
    Job.objects.filter(pk=bench.number).update(step="parts-wanted")
    assert "hold the gasket" in words(bench.go("build").content.decode())
    bench.client.post(f"{bench.at}parts/propose/", {"kit": ""})
    assert WantedPart.objects.count() == wanted.count(), "proposed twice"


def test_one_more_part_and_one_that_is_not_wanted(bench: Bench) -> None:
    bench.client.post(f"{bench.at}parts/", {"name": "Choke spring", "source": "made here", "sent": "b" * 32})
    bench.client.post(f"{bench.at}parts/", {"name": "Choke spring", "source": "made here", "sent": "b" * 32})
    part = WantedPart.objects.get()
    bench.client.post(f"{bench.at}parts/{part.pk}/", {"do": "strike"})
    assert "Choke spring" not in words(bench.see("parts-wanted"))
