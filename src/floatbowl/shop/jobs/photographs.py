"""Photographs of a job: kept whole or not at all, once however often they are sent, in the job's own folder."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.db import transaction

from floatbowl.bench.steps import Entry
from floatbowl.shop.jobs.entering import count_up
from floatbowl.shop.models import Job, JobPhotograph
from floatbowl.shop.photographs import looking
from floatbowl.shop.photographs.errors import KeepingError
from floatbowl.shop.photographs.storage import COPIES, MOST_BYTES, OWNER_ONLY_FOLDER, write_whole

MOST_PHOTOGRAPHS = 40


def folder_of(job: Job) -> Path:
    """The folder of a job's files."""
    return Path(settings.PHOTOGRAPHS) / f"job-{job.pk}"


def path_of(photograph: JobPhotograph, copy: str = "") -> Path:
    """The file of a picture, or of one of its smaller copies."""
    end = f".{copy}.jpg" if copy in COPIES else ".jpg"
    return folder_of(photograph.job) / f"{photograph.key}{end}"


def keep(job: Job, entry: Entry, data: bytes, *, sent: str, who: str) -> JobPhotograph:
    """Keep one picture; the same ``sent`` again changes nothing. Raises KeepingError, ``CannotLookError``."""
    if known := JobPhotograph.objects.filter(sent=sent).first():
        return known
    if len(data) > MOST_BYTES:
        raise KeepingError(f"A photograph may have {MOST_BYTES // 2**20} MB at most. Send a smaller one.")
    if job.photographs.filter(name=entry.name, struck_at=None).count() >= MOST_PHOTOGRAPHS:
        raise KeepingError(f"These are {MOST_PHOTOGRAPHS} photographs already. Take one out first.")
    sound = looking.sound_picture(data, "photograph", COPIES.values())
    photograph = JobPhotograph(job=job, name=entry.name, sent=sent, width=sound.width, height=sound.height, who=who)
    folder_of(job).mkdir(parents=True, exist_ok=True, mode=OWNER_ONLY_FOLDER)
    paths = [path_of(photograph), *(path_of(photograph, copy) for copy in COPIES)]
    try:
        for path, content in zip(paths, (sound.jpeg, *sound.copies), strict=True):
            write_whole(path, content)
        with transaction.atomic():
            photograph.save()
            count_up(job)
    except BaseException:
        for path in paths:
            path.unlink(missing_ok=True)
        raise
    return photograph


def strike(photograph: JobPhotograph, who: str) -> None:
    """Take a picture out of what counts; it stays in the job's history."""
    photograph.strike(who)
    count_up(photograph.job)
