"""A small shop with a carburettor on its bench, and a rebuilder who writes things down."""

from __future__ import annotations

import io
import re
from collections.abc import Collection
from datetime import date, timedelta
from itertools import count
from typing import Any

import numpy as np
import pytest
from django.test import Client
from PIL import Image
from pypdf import PdfReader
from tests.pages.counter.conftest import small_shop  # noqa: F401  (a fixture)

from floatbowl.bench.guards import is_asked
from floatbowl.bench.steps import TICKED, entry_named, step_named
from floatbowl.bench.taking import written
from floatbowl.reference.facts import Reference
from floatbowl.shop.jobs.entering import standing_entries
from floatbowl.shop.jobs.measuring import rows_of, take_reading
from floatbowl.shop.jobs.record import STAGES_READ
from floatbowl.shop.models import Job

#: Readings that are well within every limit, in the row's own unit; yes or no take the good answer.
SOUND = {"shaft_wear": "8.00", "shaft_play": "0.03", "plate_gap": "0.02"}
#: What is written where nothing else matters: by the entry's key, else by its kind.
PLAIN = {"head": "750", "level": "15.9", "altitude": "120 m", "idle speed": "450"}
BY_KIND = {"number": "1", "tick": TICKED, "person": "Ines Marchbank"}
PIECE = {"X-Piece": "1"}
_names = count(1)


def picture(seed: int = 0) -> bytes:
    """A photograph's bytes."""
    pixels = np.random.default_rng(seed).integers(60, 190, (60, 80, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG")
    return out.getvalue()


def new_name() -> str:
    """What a phone calls the next thing it sends."""
    return f"{next(_names):032x}"


class Bench:
    """A browser at the bench; each method is one thing a person does."""

    def __init__(self, who: str = "Tobiah Renn", job: Job | None = None, **told: str) -> None:
        self.client = Client()
        self.client.post("/who/", {"do": "add", "name": who, "next": "/"})
        if job is None:
            answer = self.client.post("/bench/book/", {"owner": "Anselm Pickard", **told})
            assert answer.status_code == 302, answer.content.decode()
            job = Job.objects.latest("pk")
        self.number = job.pk
        self.at = f"/bench/{job.pk}/"

    @property
    def job(self) -> Job:
        return Job.objects.get(pk=self.number)

    def see(self, step: str = "") -> str:
        answer = self.client.get(f"{self.at}step/{step or self.job.step}/")
        assert answer.status_code == 200, answer
        return answer.content.decode()

    def write(self, name: str, value: str, **more: Any) -> Any:
        told = {"name": name, "value": value, "sent": new_name(), **more}
        return self.client.post(f"{self.at}write/", told, headers=PIECE)

    def photograph(self, name: str, how_many: int = 1, **more: Any) -> Any:
        files = [io.BytesIO(picture(seed)) for seed in range(how_many)]
        for place, file in enumerate(files):
            file.name = f"{place}.jpg"
        told = {"name": name, "sent": new_name(), "photographs": files, **more}
        return self.client.post(f"{self.at}photograph/", told, headers=PIECE)

    def measure(self, row: str, value: str, place: str = "", **more: Any) -> Any:
        told = {"row": row, "value": value, "place": place, "sent": new_name(), **more}
        return self.client.post(f"{self.at}measured/", told, headers=PIECE)

    def go(self, to: str, reason: str = "") -> Any:
        return self.client.post(f"{self.at}go/", {"to": to, "reason": reason})

    def fill(self, step: str) -> None:
        """Write all that a step asks for, the good answer where there is one."""
        for entry in step_named(step).entries:
            values = {name: kept.value for name, kept in standing_entries(self.job).items()}
            if is_asked(entry, values) and entry.name not in values:
                self._fill(entry.name)
        if step in STAGES_READ:
            self.measure_all(STAGES_READ[step])
        if step == "verdict":
            self.client.post(f"{self.at}decide/", {"sent": new_name()})
        if step == "parts-wanted":
            self._have_every_part()

    def _fill(self, name: str) -> None:
        entry = entry_named(name)
        if entry.kind == "photographs":
            answer = self.photograph(name, entry.at_least)
        elif entry.kind == "choice":
            answer = self.write(name, entry.choices[0])
        else:
            value = PLAIN.get(entry.key) or BY_KIND.get(entry.kind, "written so that a stranger understands it")
            answer = self.write(name, value)
        assert answer.status_code == 200, answer.json()["wrong"]

    def measure_all(self, stages: Collection[str] = ("measure",), **instead: str) -> None:
        """Read every row of the sheet at every place, as sound unless told otherwise; or say why it cannot be."""
        job = self.job
        for row in rows_of(job):
            measure = row.measure
            if measure.stage not in stages or measure.optional:
                continue
            finest = min(row.tools, key=lambda tool: tool.spread).tool if row.tools else ""
            for place in measure.places * measure.repeats:
                value = instead.get(measure.key) or measure.good or self._sound(row)
                told = {"place": place, "tool": finest, "unit": "", "why_not": ""}
                take_reading(job, row, value, **told, sent=new_name(), who="Tobiah Renn")

    @staticmethod
    def _sound(row: Any) -> str:
        measure = row.measure
        if row.record is not None:
            return written(row.record, measure)
        used = row.limits.used
        return SOUND.get(measure.key) or ("0" if used and used.working.low is None else f"{measure.usual}")

    def _have_every_part(self) -> None:
        self.client.post(f"{self.at}parts/propose/", {"kit": ""})
        for part in self.job.wanted.filter(struck_at=None):
            for do in (["here"] if not part.here else []) + (["holes"] if part.joint else []):
                self.client.post(f"{self.at}parts/{part.pk}/", {"do": do}, headers=PIECE)


def words(page: str) -> str:
    """What a page says, without its markup."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def pdf_text(data: bytes) -> str:
    """What a PDF says."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).split())


@pytest.fixture
def shop(small_shop: Reference, settings: Any, tmp_path: Any) -> Reference:  # noqa: F811
    settings.PHOTOGRAPHS = tmp_path / "photographs"
    return small_shop


@pytest.fixture
def bench(shop: Reference) -> Bench:
    bench = Bench(machine_text="Drumlow Lowfold", agreed_sum="120", promised=str(date.today() + timedelta(9)))
    Job.objects.filter(pk=bench.number).update(carburettor="k36-118", booked_as="k36-118")
    return bench
