"""From the corners to the call: what was read is shown as boxes, changed, used, and survives everything done to it."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest

from floatbowl.identify.numbers import Alphabet, places_of
from floatbowl.shop.models import PhotoSet
from floatbowl.shop.models.enquiry import Evidence
from floatbowl.shop.pages.counter import told
from floatbowl.shop.photographs import work
from floatbowl.shop.photographs.errors import CannotLookError

CROSSED = "[[300,20],[20,20],[300,220],[20,220]]"


def used(camera: Any, **more: str) -> Evidence:
    camera.read()
    boxes = json.dumps(camera.photo_set.boxes)
    answer = camera.post("use", **{"boxes": boxes, "part": "tag", "made": "stamped", "as": "as read", **more})
    assert answer.status_code == 302, answer.content.decode()
    return Evidence.objects.get(struck_at=None)


def chances(item: Evidence, place: int) -> dict[str, float]:
    return dict(item.cells[place])


class TestCorners:
    def test_that_lie_crosswise_are_given_back(self, camera: Any) -> None:
        camera.send(camera.jpeg())
        answer = camera.post("corners", quad=CROSSED)
        assert answer.status_code == 422
        assert "crosswise" in answer.content.decode()
        assert "[[300, 20], [20, 20], [300, 220], [20, 220]]" in answer.content.decode()

    @pytest.mark.parametrize(
        "odd", ["", "[", "null", "[[1,2]]", "[[1,2],[3,4],[5,6],[1e999,2]]", '[["a",2],[3,4],[5,6],[7,8]]']
    )
    def test_that_are_none_are_refused(self, camera: Any, odd: str) -> None:
        camera.send(camera.jpeg())
        assert camera.post("corners", quad=odd).status_code == 422

    def test_without_a_plain_picture_lead_back_to_it(self, camera: Any) -> None:
        assert camera.client.get(f"{camera.at}corners/")["Location"].endswith("/take/plain/")

    def test_the_line_is_kept_in_pixels_of_the_plain_picture(self, camera: Any) -> None:
        camera.read()
        assert camera.photo_set.line == [[30, 30], [290, 30], [290, 210], [30, 210]]
        assert camera.photo_set.corners_by == camera.photo_set.line_by == "eye"

    def test_of_a_line_that_was_found_are_shown_on_the_straight_plate(self, camera: Any, eyes: Any) -> None:
        eyes.line = [[160, 120], [230, 120], [230, 170], [160, 170]]
        camera.send(camera.jpeg())
        camera.post("corners", quad="[[20,20],[300,20],[300,220],[20,220]]")
        shown = camera.see("line")
        assert "One line was found like this" in shown
        assert "[[140.0, 100.0], [210.0, 100.0], [210.0, 150.0], [140.0, 150.0]]" in shown

    def test_when_nothing_can_be_worked_out_can_still_be_put(self, camera: Any, eyes: Any) -> None:
        eyes.fails = CannotLookError("This computer cannot look at photographs yet.")
        camera.send(camera.jpeg())
        camera.post("corners", quad="[[20,20],[300,20],[300,220],[20,220]]")
        shown = camera.see("line")
        assert "cannot look at photographs yet" in shown
        assert "made/straight/" in shown

    def test_another_line_leaves_the_pictures_of_the_plate(self, camera: Any, eyes: Any) -> None:
        camera.read()
        eyes.fails = RuntimeError("the plate's pictures are not made anew")
        camera.post("line", quad="[[20,20],[250,20],[250,150],[20,150]]")
        camera.photo_set.refresh_from_db()
        assert camera.photo_set.state == "done"
        assert camera.photo_set.read_version == camera.photo_set.version

    def test_a_new_plain_picture_wants_new_corners(self, camera: Any) -> None:
        camera.read()
        camera.send(camera.jpeg(9), "plain", "c" * 16)
        camera.photo_set.refresh_from_db()
        assert camera.photo_set.corners is None
        assert camera.client.get(camera.at)["Location"].endswith("/take/left/")


class TestReading:
    def test_is_shown_with_pictures_and_how_sure_it_is(self, camera: Any) -> None:
        camera.read()
        shown = camera.see("read")
        assert "93 times in 100" in shown
        for name in ("plain", "cleaned", "relief", "normals"):
            assert f"made/{name}/" in shown

    def test_that_goes_on_says_how_far_it_is(self, camera: Any) -> None:
        from django.utils import timezone

        camera.read()
        PhotoSet.objects.update(state="working", step=2, worked_at=timezone.now())
        assert work.STEPS[2] in camera.see("read")
        answer = camera.client.get(f"{camera.at}work/")
        assert "HX-Refresh" not in answer
        PhotoSet.objects.update(state="done")
        assert camera.client.get(f"{camera.at}work/")["HX-Refresh"] == "true"

    def test_that_was_broken_off_can_be_begun_again(self, camera: Any) -> None:
        from django.utils import timezone

        camera.read()
        PhotoSet.objects.update(state="working", step=2, worked_at=timezone.now() - timedelta(minutes=10))
        assert "broken off" in camera.see("read")
        camera.post("read")
        assert PhotoSet.objects.get().state == "done"

    def test_that_fails_says_so_and_keeps_the_photographs(self, camera: Any, eyes: Any) -> None:
        eyes.fails = RuntimeError("boom")
        camera.read()
        assert "The photographs are kept" in camera.see("read")
        assert camera.photo_set.photographs.count() == 1

    def test_without_a_reader_the_pictures_are_there_and_boxes_can_be_filled(self, camera: Any, eyes: Any) -> None:
        eyes.found = CannotLookError("The characters cannot be read by machine here.")
        camera.read()
        shown = camera.see("read")
        assert "cannot be read by machine here" in shown
        assert "made/relief/" in shown
        camera.post("use", text="K36/118")
        item = Evidence.objects.get()
        assert (item.text, item.read_by) == ("K36/118", "eye")

    def test_of_pictures_that_were_changed_meanwhile_is_not_kept(self, camera: Any, eyes: Any) -> None:
        eyes.meanwhile = lambda: PhotoSet.objects.update(version=99)
        camera.read()
        assert camera.photo_set.reading is None
        assert camera.photo_set.read_version == 0

    def test_again_leaves_what_a_person_settled(self, camera: Any) -> None:
        camera.read()
        boxes = camera.photo_set.boxes
        boxes[6] = {"cell": [["3", 1.0]], "by": "eye"}
        camera.post("boxes", boxes=json.dumps(boxes))
        camera.post("read")
        camera.photo_set.refresh_from_db()
        assert camera.photo_set.boxes[6] == {"cell": [["3", 1.0]], "by": "eye"}
        assert camera.photo_set.boxes[0]["by"] == "machine"


class TestBoxes:
    def test_are_kept_as_they_are_changed(self, camera: Any) -> None:
        camera.read()
        boxes = camera.photo_set.boxes
        boxes[6] = {"cell": [["3", 1.0]], "by": "eye"}
        assert camera.post("boxes", boxes=json.dumps(boxes), part="lid").json() == {"text": "K36/113"}
        assert '"3", 1.0' in camera.see("read")
        camera.photo_set.refresh_from_db()
        assert camera.photo_set.part == "lid"

    @pytest.mark.parametrize(
        "odd",
        ["x", "{}", "[1]", '[{"cell": [["8", 2]], "by": "eye"}]', '[{"cell": [["88", 1]], "by": "eye"}]', "[" * 9999,
         '[{"cell": [["8", 0.9], ["3", 0.9]], "by": "eye"}]', '[{"cell": [["8", NaN]], "by": "eye"}]',
         json.dumps([{"cell": [], "by": "eye"}] * 61)],
    )  # fmt: skip
    def test_that_make_no_sense_are_refused_and_nothing_is_lost(self, camera: Any, odd: str) -> None:
        camera.read()
        before = camera.photo_set.boxes
        assert camera.post("boxes", boxes=odd).status_code == 422
        assert camera.post("use", boxes=odd).status_code == 422
        camera.photo_set.refresh_from_db()
        assert camera.photo_set.boxes == before
        assert not Evidence.objects.exists()

    def test_that_hold_nothing_are_no_number(self, camera: Any) -> None:
        camera.read()
        answer = camera.post("use", boxes='[{"cell": [], "by": "eye"}]')
        assert answer.status_code == 422
        assert "No character stands in the boxes" in answer.content.decode()


class TestInTheCall:
    def test_as_the_machine_read_it(self, camera: Any) -> None:
        item = used(camera)
        assert (item.text, item.via, item.part, item.form) == ("K36/11[83]", "photo", "tag", "stamped")
        assert chances(item, 6) == {"8": 0.6, "3": 0.35}
        shown = camera.client.get(camera.counter).content.decode()
        assert "read by machine" in shown
        assert "made/line-plain/" in shown

    def test_confirmed_by_eye(self, camera: Any) -> None:
        used(camera, **{"as": "confirmed"})
        assert "confirmed by eye" in camera.client.get(camera.counter).content.decode()

    def test_a_place_changed_is_the_persons(self, camera: Any) -> None:
        camera.read()
        boxes = camera.photo_set.boxes
        boxes[6] = {"cell": [["3", 1.0]], "by": "eye"}
        item = used(camera, boxes=json.dumps(boxes))
        assert (item.text, item.read_by) == ("K36/113", "eye")
        assert chances(item, 6) == {"3": 1.0}

    def test_used_again_it_takes_the_old_ones_place(self, camera: Any) -> None:
        old = used(camera)
        camera.post("use", boxes=json.dumps(camera.photo_set.boxes), **{"as": "confirmed"})
        old.refresh_from_db()
        new = Evidence.objects.get(struck_at=None)
        assert new.replaces == old
        assert new.read_by == "eye"

    def test_its_odds_are_weighed(self, camera: Any) -> None:
        used(camera)
        shown = camera.client.get(camera.counter).content.decode()
        assert "Tarnsyke K36/118" in shown
        assert "Tarnsyke K36/113" in shown

    def test_a_stroke_between_figures_costs_no_place(self, camera: Any) -> None:
        reading = told.reading_of(used(camera))
        assert dict(reading.cells[3]) == {"/": 0.95, "1": 0.03}
        assert reading.text == ""
        assert places_of(reading, Alphabet()).places[3].empty == 0.95

    def test_photographs_without_a_number_can_be_gone_on_with(self, camera: Any) -> None:
        camera.send(camera.jpeg())
        assert "Go on with photographs" in camera.client.get(camera.counter).content.decode()


class TestOnTheCounterPage:
    def change(self, camera: Any, item: Evidence, **typed: str) -> Evidence:
        told = {"text": item.text, "part": item.part, "made": item.form, "via": item.via, "group": item.group, **typed}
        answer = camera.client.post(f"{camera.counter}reading/", {"replaces": str(item.pk), **told})
        assert answer.status_code == 302, answer.content.decode()
        return Evidence.objects.get(struck_at=None)

    def test_another_place_leaves_the_odds(self, camera: Any) -> None:
        old = used(camera)
        new = self.change(camera, old, part="lid")
        assert new.part == "lid"
        assert (new.cells, new.read_by, new.photo_set, new.group) == (old.cells, "machine", old.photo_set, old.group)

    def test_one_character_typed_leaves_the_odds_of_the_others(self, camera: Any) -> None:
        old = used(camera)
        new = self.change(camera, old, text="K36/113")
        assert new.cells[:6] == old.cells[:6]
        assert chances(new, 6) == {"3": 1.0}
        assert new.read_by == "eye"
        assert new.photo_set == old.photo_set

    def test_a_character_struck_or_added_leaves_the_others(self, camera: Any) -> None:
        old = used(camera)
        shorter = self.change(camera, old, text="K36/1[83]")
        assert [cell[0][0] for cell in shorter.cells] == ["K", "3", "6", "/", "1", "8"]
        longer = self.change(camera, shorter, text="K36/1[83]X")
        assert longer.cells[:6] == shorter.cells
        assert chances(longer, 6) == {"X": 1.0}

    def test_struck_out_and_taken_back_in_it_is_the_same(self, camera: Any) -> None:
        old = used(camera)
        camera.client.post(f"{camera.counter}strike/{old.pk}/")
        assert "read by machine" not in camera.client.get(camera.counter).content.decode()
        camera.client.post(f"{camera.counter}restore/{old.pk}/")
        new = Evidence.objects.get(struck_at=None)
        assert (new.cells, new.read_by, new.photo_set, new.text) == (old.cells, "machine", old.photo_set, old.text)

    def test_some_lost_makes_it_a_typed_number_with_its_photographs(self, camera: Any) -> None:
        new = self.change(camera, used(camera), text="K36/1*")
        assert (new.cells, new.text, new.read_by) == ([], "K36/1*", "eye")
        assert new.photo_set is not None

    def test_it_is_found_again_by_its_number(self, camera: Any) -> None:
        used(camera)
        found = camera.client.get("/enquiries/", {"q": "K36/118"}).content.decode()
        assert "Mrs Hollis" in found

    def test_it_is_read_back_as_it_was_read(self, camera: Any) -> None:
        used(camera)
        camera.client.post(f"{camera.counter}look/", {"feature": "inlet side", "value": "left", "via": "seen"})
        shown = camera.client.get(f"{camera.counter}read-back/", {"kit": "T-25"}).content.decode()
        assert "you read K36/11(8 or 3) on it" in shown

    def test_when_its_photographs_are_deleted_it_stays(
        self, camera: Any, django_capture_on_commit_callbacks: Any
    ) -> None:
        item = used(camera)
        with django_capture_on_commit_callbacks(execute=True):
            camera.post("delete")
        item.refresh_from_db()
        assert item.photo_set is None
        assert item.cells
        assert "K36/11[83]" in camera.client.get(camera.counter).content.decode()
