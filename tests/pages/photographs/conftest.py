"""Somebody at the counter photographs a mark; what the machine sees in it is told by the test."""

from __future__ import annotations

import io
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from django.test import Client
from PIL import Image

from floatbowl.reference.facts import Reference
from floatbowl.shop.models import Enquiry, InHand, PhotoSet
from floatbowl.shop.photographs import looking, read

CELLS = (
    (("K", 0.98), ("R", 0.02)),
    (("3", 0.97), ("8", 0.03)),
    (("6", 0.99),),
    (("/", 0.95), ("1", 0.03)),
    (("1", 0.99),),
    (("1", 0.96),),
    (("8", 0.6), ("3", 0.35)),
)


def picture(width: int = 320, height: int = 240, seed: int = 0, kind: str = "JPEG", **more: Any) -> bytes:
    """A photograph's bytes."""
    pixels = np.random.default_rng(seed).integers(60, 190, (height, width, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, kind, **more)
    return out.getvalue()


class Camera:
    """A browser that photographs one mark; each method is one thing a person does."""

    def __init__(self) -> None:
        self.client = Client(SERVER_NAME="localhost")
        self.in_hand = InHand.objects.create(enquiry=Enquiry.objects.create(caller="Mrs Hollis"))
        self.counter = f"/counter/{self.in_hand.enquiry_id}/1/"
        begun = self.client.post(f"/photographs/of/{self.in_hand.enquiry_id}/1/", {"part": "tag"})
        self.photo_set = PhotoSet.objects.get()
        self.at = f"/photographs/{self.photo_set.pk}/"
        assert begun["Location"].startswith(self.at)

    @staticmethod
    def jpeg(seed: int = 0, **more: Any) -> bytes:
        return picture(seed=seed, **more)

    def see(self, what: str) -> str:
        answer = self.client.get(f"{self.at}{what}/")
        assert answer.status_code == 200, answer
        return answer.content.decode()

    def send(self, data: bytes, place: str = "plain", upload: str = "0123456789abcdef", piece: int = 1 << 20) -> Any:
        """The whole photograph, piece by piece; the last answer."""
        for at in range(0, max(len(data), 1), piece):
            answer = self.piece(data, at, at + piece, place, upload)
        return answer

    def piece(self, data: bytes, start: int, end: int, place: str = "plain", upload: str = "0123456789abcdef") -> Any:
        query = f"?at={start}&of={len(data)}&place={place}&step={place}"
        address = f"{self.at}upload/{upload}/{query}"
        return self.client.post(address, data[start:end], content_type="application/octet-stream")

    def here(self, upload: str = "0123456789abcdef") -> Any:
        return self.client.get(f"{self.at}upload/{upload}/").json()

    def post(self, what: str, **told: Any) -> Any:
        return self.client.post(f"{self.at}{what}/", told)

    def read(self) -> None:
        """Plain picture, corners, line: read."""
        self.send(picture())
        assert self.post("corners", quad="[[20,20],[300,20],[300,220],[20,220]]").status_code == 302
        assert self.post("line", quad="[[10,10],[270,10],[270,190],[10,190]]").status_code == 302
        self.photo_set.refresh_from_db()

    @property
    def folder(self) -> Path:
        from django.conf import settings

        return Path(settings.PHOTOGRAPHS) / self.photo_set.key


@pytest.fixture
def eyes(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """What the machine sees: faults by place, and what it reads."""
    seen = SimpleNamespace(
        line=None, faults={}, found=read.Found("K36/118", CELLS, 0.93, "stamped"), fails=None, meanwhile=None
    )

    def look(photograph: Any, plain: Any, corners: Any) -> looking.Looked:
        faults = [{"kind": kind, "says": says} for kind, says in seen.faults.get(photograph.place, ())]
        return looking.Looked(faults, 38 if plain is None else None)

    def pictures(whole: Any, tell: Any) -> dict[str, bytes]:
        tell(2)
        if seen.meanwhile:
            seen.meanwhile()
        if seen.fails:
            raise seen.fails
        return {name: picture(kind="PNG") for name in ("plain", "cleaned", "relief", "normals")}

    def reading(whole: Any) -> read.Found:
        if isinstance(seen.found, Exception):
            raise seen.found
        return seen.found

    monkeypatch.setattr(looking, "look", look)
    monkeypatch.setattr(looking, "proposed_corners", lambda plain: None)
    monkeypatch.setattr(looking, "proposed_line", lambda photo_set: seen.line)
    monkeypatch.setattr(looking, "line_pictures", lambda photo_set: {"line-plain": picture(kind="PNG")})
    monkeypatch.setattr(looking, "straightened", lambda photo_set, corners: picture())
    monkeypatch.setattr(looking, "pictures", pictures)
    monkeypatch.setattr(read, "read", reading)
    return seen


@pytest.fixture
def camera(notebook: Reference, eyes: SimpleNamespace, settings: Any, tmp_path: Path) -> Camera:
    settings.PHOTOGRAPHS = tmp_path / "photographs"
    settings.PHOTOGRAPHS_BEHIND_THE_PAGE = False
    return Camera()
