"""What is written at the bench: understood, asked back, kept once, never over somebody else's."""

from __future__ import annotations

import pytest
from tests.pages.bench.conftest import Bench, new_name, words

from floatbowl.shop.models import Job, JobEntry, JobPhotograph, JobReading


def _standing(bench: Bench, name: str) -> str:
    return JobEntry.objects.get(job=bench.number, name=name, struck_at=None).value


@pytest.mark.parametrize("typed", ["1 1/2", "1.5", "1 1/2 turns"])
def test_turns_as_people_write_them(bench: Bench, typed: str) -> None:
    assert bench.write("strip-sheet.idle needle", typed).status_code == 200
    kept = JobEntry.objects.get(name="strip-sheet.idle needle", struck_at=None)
    assert kept.number == 1.5


@pytest.mark.parametrize(
    ("name", "typed", "asked"),
    [
        ("strip-sheet.idle needle", "-1", "cannot be"),
        ("strip-sheet.idle needle", "40", "cannot be"),
        ("strip-sheet.idle needle", "a bit", "is no turns"),
        ("wet-bench.head", "60 psi", "psi"),
        ("booked-in.fuel inside", "some", "choose one of"),
        ("on-the-engine.temperature", "300 C", "cannot be"),
    ],
)
def test_what_cannot_be_is_asked_back_and_not_kept(bench: Bench, name: str, typed: str, asked: str) -> None:
    answer = bench.write(name, typed)
    assert answer.status_code == 422
    assert asked in answer.json()["wrong"]
    if "fuel" not in name:
        assert f'value="{typed}"' in answer.json()["page"], "what was typed is lost"
    assert not JobEntry.objects.filter(name=name).exists()


def test_a_slip_of_the_unit_is_suspected(bench: Bench) -> None:
    assert "Did you mean 16 mm?" in words(bench.write("build.level", "160").json()["page"])


def test_sent_twice_is_kept_once(bench: Bench) -> None:
    sent = new_name()
    for _ in range(3):
        assert bench.write("booked-in.missing parts", "choke plate", sent=sent).status_code == 200
        assert bench.photograph("booked-in.photographs", sent=sent).status_code == 200
        assert bench.measure("plate_light", "yes", sent=sent).status_code == 200
    assert JobEntry.objects.filter(name="booked-in.missing parts").count() == 1
    assert JobPhotograph.objects.count() == 1
    assert JobReading.objects.count() == 1


def test_the_second_person_is_told_before_anything_is_lost(bench: Bench) -> None:
    other = Bench("Wil", bench.job)
    bench.write("booked-in.missing parts", "choke plate")
    answer = other.write("booked-in.missing parts", "bowl screw", seen="0")
    assert answer.status_code == 409
    assert "Tobiah Renn wrote “choke plate”" in answer.json()["wrong"]
    assert _standing(bench, "booked-in.missing parts") == "choke plate"
    theirs = JobEntry.objects.get(name="booked-in.missing parts", struck_at=None)
    assert other.write("booked-in.missing parts", "bowl screw", seen=str(theirs.pk)).status_code == 200
    assert _standing(bench, "booked-in.missing parts") == "bowl screw"
    assert JobEntry.objects.filter(name="booked-in.missing parts").count() == 2, "the first one is gone"


def test_what_was_understood_is_shown_beside_what_was_written(bench: Bench) -> None:
    assert "15.88 mm (written 5/8)" in words(bench.write("build.level", "5/8").json()["page"])
    bench.measure("float_level", "0.156 in")
    assert "3.96 mm" in words(bench.see("measure"))


def test_a_figure_outside_the_record_is_remarked(bench: Bench) -> None:
    assert "Outside the recorded 15.1 to 16.7 mm" in words(bench.write("build.level", "25").json()["page"])
    assert "Outside the recorded" not in words(bench.write("build.level", "16").json()["page"])


def test_an_emptied_field_strikes_nothing_out(bench: Bench) -> None:
    bench.write("build.level", "16")
    assert bench.write("build.level", "").status_code == 422
    assert _standing(bench, "build.level") == "16"


def test_a_refusal_must_say_something(bench: Bench) -> None:
    bench.write("wet-bench.plate", "refused in writing")
    assert "too little" in bench.write("wet-bench.refused", "ok").json()["wrong"]


def test_an_entry_is_asked_only_when_it_applies(bench: Bench) -> None:
    assert "Consent: who said yes" not in bench.see("verdict")
    bench.write("verdict.over agreed sum", "over it")
    assert "Consent: who said yes" in bench.see("verdict")


def test_what_is_no_picture_is_refused(bench: Bench) -> None:
    from django.core.files.uploadedfile import SimpleUploadedFile

    told = {
        "name": "booked-in.photographs",
        "photographs": SimpleUploadedFile("a.jpg", b"no picture"),
        "sent": new_name(),
    }
    answer = bench.client.post(f"{bench.at}photograph/", told, headers={"X-Piece": "1"})
    assert answer.status_code == 422
    assert not JobPhotograph.objects.exists()


def test_a_photograph_is_shown_and_taken_out(bench: Bench) -> None:
    bench.photograph("booked-in.photographs", 2)
    first = JobPhotograph.objects.earliest("pk")
    whole = bench.client.get(f"{bench.at}photograph/{first.pk}/")
    assert whole["Content-Type"] == "image/jpeg"
    assert b"".join(whole.streaming_content)[:2] == b"\xff\xd8"  # type: ignore[attr-defined]
    bench.client.post(f"{bench.at}photograph/{first.pk}/remove/")
    assert "1 of at least 6" in words(bench.see("booked-in"))
    assert JobPhotograph.objects.count() == 2, "the history keeps it"


def test_an_unknown_entry_or_job_is_not_found(bench: Bench) -> None:
    assert bench.write("nowhere.nothing", "x").status_code == 404
    assert bench.client.get("/bench/999/").status_code == 404
    assert bench.client.get(f"{bench.at}step/nowhere/").status_code == 404


def test_the_setting_stands_beside_the_entry_with_its_datum_and_direction(bench: Bench) -> None:
    Job.objects.filter(pk=bench.number).update(carburettor="206-d-3")
    page = words(bench.see("build"))
    assert "Recorded float level" in page
    assert "lid upside down" in page
    assert "in is richer, out is leaner" in words(bench.see("strip-sheet"))
