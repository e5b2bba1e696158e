"""Photographs come in: kept piece by piece, looked at at once, without private data, never more than is bearable."""

from __future__ import annotations

import io
import re
import socket
import threading
from contextlib import suppress
from typing import Any

import pytest
from PIL import Image

from floatbowl.shop.models import Photograph, PhotoSet
from floatbowl.shop.photographs import arriving, guide, looking, storage


def places(photo_set: PhotoSet) -> list[str]:
    return [each.place for each in photo_set.photographs.all()]


@pytest.mark.parametrize("step", [step.key for step in guide.steps()])
def test_every_step_shows_what_to_do(camera: Any, step: str) -> None:
    shown = camera.see(f"take/{step}")
    told = guide.step_of(step)
    assert told is not None
    assert told.title in shown
    assert f'aria-label="{told.shows}"' in shown
    assert ('capture="environment"' in shown) == bool(told.place)
    assert " style=" not in shown
    assert "<script>" not in shown


def test_the_first_step_says_not_to_clean_it(camera: Any) -> None:
    assert "Never a wire brush, steel wool, abrasive or scraper" in camera.see("take/untouched")


def test_a_photograph_is_kept_once_its_last_piece_is_there(camera: Any) -> None:
    data = camera.jpeg()
    first = camera.piece(data, 0, 5000)
    assert first.json() == {"here": 5000}
    assert places(camera.photo_set) == []
    last = camera.piece(data, 5000, len(data)).json()
    assert last["kept"] == "plain"
    assert "and good enough" in last["page"]
    assert places(camera.photo_set) == ["plain"]


def test_after_a_dropped_connection_only_what_is_missing_is_sent(camera: Any) -> None:
    data = camera.jpeg()
    camera.piece(data, 0, 7000)
    assert camera.here() == {"here": 7000, "kept": None}
    assert camera.piece(data, 7000, len(data)).json()["kept"] == "plain"
    assert camera.here()["kept"] == "plain"


def test_a_piece_sent_twice_changes_nothing_and_one_too_early_is_not_taken(camera: Any) -> None:
    data = camera.jpeg()
    camera.piece(data, 0, 7000)
    assert camera.piece(data, 0, 7000).json() == {"here": 7000}
    assert camera.piece(data, 9000, 12000).json() == {"here": 7000}
    assert camera.piece(data, 7000, len(data)).json()["kept"] == "plain"


def test_the_same_photograph_sent_twice_is_kept_once(camera: Any) -> None:
    data = camera.jpeg()
    camera.send(data)
    again = camera.send(data).json()
    assert again["kept"] == "plain"
    assert Photograph.objects.count() == 1


@pytest.mark.parametrize(
    "content", [b"", b"<html><script>alert(1)</script></html>", b"\xff\xd8\xff\xe0", b"GIF89a" * 9]
)
def test_what_is_no_picture_is_refused_by_its_content(camera: Any, content: bytes) -> None:
    answer = camera.send(content or b" ")
    assert answer.status_code == 422
    assert answer.json()["wrong"].endswith(".")
    assert places(camera.photo_set) == []
    assert list(camera.folder.iterdir()) == []


def test_a_broken_off_photograph_is_refused_and_says_so(camera: Any) -> None:
    answer = camera.send(camera.jpeg()[:9000])
    assert "torch" not in answer.json()["wrong"]
    assert "plain" in answer.json()["wrong"]
    assert answer.status_code == 422


def test_more_than_was_announced_or_may_be_is_refused(camera: Any) -> None:
    data = camera.jpeg()
    upload = f"{camera.at}upload/0123456789abcdef/?place=plain&at=0&of="
    raw = {"content_type": "application/octet-stream"}
    assert camera.client.post(f"{upload}{storage.MOST_BYTES + 1}", data[:100], **raw).status_code == 422
    assert camera.client.post(f"{upload}50", data[:100], **raw).status_code == 422
    piece = bytes(arriving.MOST_PIECE_BYTES + 1)
    assert camera.client.post(f"{upload}{len(piece)}", piece, **raw).status_code == 422
    assert camera.client.post(f"{upload}many", data[:100], **raw).status_code == 400
    assert not camera.folder.exists() or list(camera.folder.iterdir()) == []


def test_a_body_in_chunks_is_capped_at_the_server(camera: Any) -> None:
    """A chunked request names no length; the server itself counts, and no page sees it."""
    import waitress

    from floatbowl.cli.serve import BODY_LIMIT_BYTES

    seen: list[object] = []

    def application(environ: Any, start_response: Any) -> list[bytes]:
        seen.append(environ)
        start_response("200 OK", [("Content-Length", "0")])
        return [b""]

    server = waitress.create_server(application, host="127.0.0.1", port=0, max_request_body_size=BODY_LIMIT_BYTES)

    def run() -> None:
        with suppress(OSError):  # What it waits on is closed under it at the end.
            server.run()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    try:
        with socket.create_connection(("127.0.0.1", server.effective_port), timeout=20) as line:
            line.sendall(b"POST /x HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\n")
            chunk = b"100000\r\n" + bytes(0x100000) + b"\r\n"
            answer = b""
            try:
                for _ in range(BODY_LIMIT_BYTES // 0x100000 + 2):
                    line.sendall(chunk)
                line.sendall(b"0\r\n\r\n")
                answer = line.recv(200)
            except (BrokenPipeError, ConnectionResetError):
                answer = answer or b"HTTP/1.1 413 closed"
        assert b" 413 " in answer.split(b"\r\n")[0] + b" "
        assert seen == []
    finally:
        server.close()
        thread.join(5)


def test_where_it_was_taken_is_never_stored(camera: Any) -> None:
    exif = Image.Exif()
    exif[0x010F] = "SECRETMAKER"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[29] = "1999:01:02"
    camera.send(camera.jpeg(exif=exif, comment=b"SECRETPLACE"))
    files = list(camera.folder.rglob("*.jpg"))
    assert len(files) == 3
    for file in files:
        with Image.open(file) as kept:
            assert len(kept.getexif()) == 0
            assert "comment" not in kept.info
        assert b"SECRET" not in file.read_bytes()


def test_a_picture_is_kept_upright(camera: Any) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    camera.send(camera.jpeg(exif=exif))
    kept = Photograph.objects.get()
    assert (kept.width, kept.height) == (240, 320)


def test_taking_it_again_replaces_it_and_its_files(camera: Any, django_capture_on_commit_callbacks: Any) -> None:
    camera.send(camera.jpeg(1), "left", "a" * 16)
    old = Photograph.objects.get()
    with django_capture_on_commit_callbacks(execute=True):
        camera.send(camera.jpeg(2), "left", "b" * 16)
    new = Photograph.objects.get()
    assert new.key != old.key
    assert {file.name for file in camera.folder.iterdir()} == {path.name for path in storage.paths_of(new)}


def test_a_thirteenth_photograph_is_refused(camera: Any) -> None:
    data = camera.jpeg()
    for number, place in enumerate(guide.places()):
        assert camera.send(data, place, f"{number:016x}").status_code == 200
    assert len(guide.places()) == storage.MOST_PHOTOGRAPHS
    with pytest.raises(storage.KeepingError, match="12 photographs already"):
        storage.keep(camera.photo_set, "elsewhere", data, "", "")
    assert Photograph.objects.count() == storage.MOST_PHOTOGRAPHS


def test_without_scripts_several_are_sent_at_once(camera: Any) -> None:
    files = [io.BytesIO(camera.jpeg(seed)) for seed in range(3)]
    broken = io.BytesIO(b"no picture")
    for number, file in enumerate([*files, broken]):
        file.name = f"{number}.jpg"
    answer = camera.client.post(f"{camera.at}take/plain/", {"photographs": [*files, broken]})
    assert answer.status_code == 422
    wrong = re.findall('class="error".*', answer.content.decode())
    assert len(wrong) == 1
    assert "torch from the right" in wrong[0]
    assert places(camera.photo_set) == ["plain", "left", "top"]


class TestWhatIsWrong:
    def test_is_said_at_once_with_the_one_to_take_again(self, camera: Any, eyes: Any) -> None:
        eyes.faults = {
            "left": [("blurred", "Its strokes are washed out: steady the phone.")],
            "top": [("glare", "Shiny.")],
        }
        camera.send(camera.jpeg(0))
        answer = camera.send(camera.jpeg(1), "left", "a" * 16).json()
        assert answer["again"] is True
        assert "washed out" in answer["page"]
        shown = camera.send(camera.jpeg(2), "top", "b" * 16).json()["page"]
        assert "Shiny." in shown
        assert "torch from the left" in shown.split("One to take again")[1].split("</p>")[0]

    def test_pictures_that_are_not_good_make_no_relief(self, camera: Any, eyes: Any) -> None:
        eyes.faults = {"top": [("dark", "Too dark.")]}
        camera.send(camera.jpeg(0))
        for number, place in enumerate(("left", "top", "right"), start=1):
            shown = camera.send(camera.jpeg(number), place, f"{number:016x}").json()["page"]
        assert "With 2 good torch pictures" in shown

    def test_a_picture_can_be_kept_all_the_same(self, camera: Any, eyes: Any) -> None:
        eyes.faults = {"plain": [("dark", "Too dark.")]}
        assert "Keep it all the same" in camera.send(camera.jpeg()).json()["page"]
        camera.post("accept/plain")
        shown = camera.see("take/plain")
        assert "Too dark." not in shown
        assert "though it is not good" in shown

    def test_a_new_plain_picture_has_the_others_compared_anew(self, camera: Any, eyes: Any) -> None:
        camera.send(camera.jpeg(0))
        camera.send(camera.jpeg(1), "left", "a" * 16)
        eyes.faults = {"left": [("another plate", "This is another plate.")]}
        camera.send(camera.jpeg(2), "plain", "b" * 16)
        assert "This is another plate." in camera.see("take/left")


class TestServing:
    def test_with_the_right_type(self, camera: Any) -> None:
        camera.send(camera.jpeg())
        for copy in ("", "small", "screen", "../../../etc/passwd"):
            answer = camera.client.get(f"{camera.at}picture/plain/", {"copy": copy})
            assert answer["Content-Type"] == "image/jpeg"
            assert answer["X-Content-Type-Options"] == "nosniff"
            assert answer.getvalue().startswith(b"\xff\xd8")

    @pytest.mark.parametrize(
        "address",
        [
            "picture/left/",
            "picture/..%2f..%2fshop.sqlite3/",
            "made/../../x/",
            "made/relief/",
            "made/set/",
            "made/set.json/",
        ],
    )
    def test_nothing_else(self, camera: Any, address: str) -> None:
        camera.send(camera.jpeg())
        assert camera.client.get(f"{camera.at}{address}").status_code == 404

    @pytest.mark.parametrize("name", ["..", "x" * 20, "0123456789abcde", "../0123456789abcdef", "0123456789ABCDEF"])
    def test_an_upload_has_a_plain_name(self, camera: Any, name: str) -> None:
        answer = camera.client.post(
            f"{camera.at}upload/{name}/?at=0&of=5&place=plain", b"12345", content_type="image/jpeg"
        )
        assert answer.status_code == 404


def test_a_picture_that_cannot_be_looked_at_is_kept_all_the_same(camera: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def look(*_: Any) -> None:
        raise RuntimeError("boom")

    monkeypatch.setattr(looking, "look", look)
    answer = camera.send(camera.jpeg()).json()
    assert answer["kept"] == "plain"
    assert "not looked at yet" in answer["page"]


def test_files_are_for_the_shop_only(camera: Any) -> None:
    camera.send(camera.jpeg())
    assert camera.folder.stat().st_mode & 0o077 == 0
    assert all(file.stat().st_mode & 0o077 == 0 for file in camera.folder.iterdir())


def test_a_deleted_set_leaves_no_file(camera: Any, django_capture_on_commit_callbacks: Any) -> None:
    camera.send(camera.jpeg())
    with django_capture_on_commit_callbacks(execute=True):
        answer = camera.post("delete")
    assert answer["Location"] == camera.counter
    assert not camera.folder.exists()
    assert not PhotoSet.objects.exists()


def test_where_nothing_can_look_at_pictures_that_is_said(camera: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looking, "NEEDED", ("no_such_module_here",))
    answer = camera.client.post(f"/photographs/of/{camera.in_hand.enquiry_id}/1/", follow=True)
    assert "install floatbowl with its part for photographs" in answer.content.decode()
    assert PhotoSet.objects.count() == 1


def test_a_form_without_its_token_is_refused(camera: Any) -> None:
    from django.test import Client

    stranger = Client(SERVER_NAME="localhost", enforce_csrf_checks=True)
    address = f"{camera.at}upload/0123456789abcdef/?at=0&of=5&place=plain"
    assert stranger.post(address, b"12345", content_type="application/octet-stream").status_code == 403
