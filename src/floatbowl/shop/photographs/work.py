"""Reading goes on behind the page: one set after the other, in a thread of the web process, each step told.

How far it has come stands in the database, so that any page of any process can say so.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from floatbowl.shop.models.photograph import EYE, Photograph, PhotoSet
from floatbowl.shop.photographs import checking, looking, read, storage
from floatbowl.shop.photographs.boxes import Box, boxes_of_cells, read_boxes
from floatbowl.shop.photographs.errors import CannotLookError, KeepingError

if TYPE_CHECKING:
    from floatbowl.photo.sets import PhotoSet as WholeSet

STEPS = (
    "Waiting for its turn",
    "Opening the photographs",
    "Laying them over one another",
    "Working out the relief",
    "Reading the characters",
)
#: The last step before anybody said which line is meant.
FINDING_LINE = "Looking for the line of characters"
PLATE = ("plain", "cleaned", "relief", "normals")
LINE = ("line-plain", "line-cleaned", "line-relief")
#: A step of another process that said nothing for so long was broken off.
LONGEST_STEP = timedelta(seconds=120)
WENT_WRONG = (
    "Something went wrong in the shop's computer while it read them. The photographs are kept. Try again; should it go "
    "wrong again, type what you see."
)
BROKEN_OFF = "Reading was broken off; most likely the shop's computer was restarted. The photographs are kept."

_log = logging.getLogger(__name__)
_lock = threading.Lock()
_pool: ThreadPoolExecutor | None = None
_ours: set[int] = set()


def begin(photo_set: PhotoSet) -> None:
    """Have a set read, if that is not going on already."""
    if going_on(photo_set):
        return
    _tell(photo_set.pk, state=PhotoSet.WAITING, step=0, said="")
    photo_set.refresh_from_db()
    if not settings.PHOTOGRAPHS_BEHIND_THE_PAGE:
        _work(photo_set.pk)
        photo_set.refresh_from_db()
        return
    with _lock:
        _ours.add(photo_set.pk)
    transaction.on_commit(lambda: _submit(_work_and_close, photo_set.pk))


def going_on(photo_set: PhotoSet) -> bool:
    """Whether somebody is reading this set now."""
    if photo_set.state not in (PhotoSet.WAITING, PhotoSet.WORKING):
        return False
    if photo_set.pk in _ours:
        return True
    return photo_set.worked_at is not None and timezone.now() - photo_set.worked_at < LONGEST_STEP


def broken_off(photo_set: PhotoSet) -> bool:
    """Whether reading began and nobody goes on with it."""
    return photo_set.state in (PhotoSet.WAITING, PhotoSet.WORKING) and not going_on(photo_set)


def look_at(photograph: Photograph) -> None:
    """Look at a picture just kept; after a new plain one the others are compared anew, behind the page.

    Whatever goes wrong in looking, the picture is kept; its page says that nobody has looked at it.
    """
    try:
        checking.look_at(photograph)
    except Exception:
        _log.exception("Could not look at photograph %s.", photograph.pk)
        return
    unlooked = photograph.photo_set.photographs.filter(faults__isnull=True)
    if photograph.place != Photograph.PLAIN or not unlooked.exists():
        return
    if settings.PHOTOGRAPHS_BEHIND_THE_PAGE:
        transaction.on_commit(lambda: _submit(_look_again_and_close, photograph.photo_set_id))
    else:
        checking.look_again(photograph.photo_set)


def _look_again_and_close(pk: int) -> None:
    try:
        for photo_set in PhotoSet.objects.filter(pk=pk):
            checking.look_again(photo_set)
    except Exception:  # They stay unlooked at, which their page says.
        _log.exception("Could not compare photographs %s.", pk)
    finally:
        connection.close()


def _submit(job: Callable[[int], None], pk: int) -> None:
    global _pool
    with _lock:
        _pool = _pool or ThreadPoolExecutor(max_workers=1, thread_name_prefix="reads photographs")
    _pool.submit(job, pk)


def _work_and_close(pk: int) -> None:
    try:
        _work(pk)
    finally:
        with _lock:
            _ours.discard(pk)
        connection.close()


def _work(pk: int) -> None:
    """Read one set; whatever goes wrong is told on its page."""
    photo_set = PhotoSet.objects.filter(pk=pk).first()
    if photo_set is None:
        return
    try:
        _tell(pk, state=PhotoSet.WORKING, step=1)
        whole = looking.whole_set(photo_set)
        if photo_set.pictures_version != photo_set.version:
            _put_pictures(photo_set, PLATE, looking.pictures(whole, lambda step: _tell(pk, step=step)))
            PhotoSet.objects.filter(pk=pk, version=photo_set.version).update(pictures_version=photo_set.version)
        _tell(pk, step=len(STEPS) - 1)
        if photo_set.line_by:
            _put_pictures(photo_set, LINE, looking.line_pictures(photo_set))
            _finish(photo_set, whole)
        else:
            _find_line(photo_set)
    except (CannotLookError, KeepingError) as wrong:
        _fail(photo_set, str(wrong))
    except Exception:
        _log.exception("Could not read photographs %s.", pk)
        _fail(photo_set, WENT_WRONG)


def _fail(photo_set: PhotoSet, said: str) -> None:
    """Tell what went wrong, unless the set was changed meanwhile."""
    now = PhotoSet.objects.filter(pk=photo_set.pk, version=photo_set.version)
    now.update(state=PhotoSet.FAILED, said=said, worked_at=timezone.now())


def _put_pictures(photo_set: PhotoSet, names: Iterable[str], pictures: Mapping[str, bytes]) -> None:
    """Keep the pictures made; those of an earlier time that were not made now are gone."""
    for name in names:
        if name in pictures:
            storage.write_whole(storage.made_path(photo_set, name), pictures[name])
        else:
            storage.made_path(photo_set, name).unlink(missing_ok=True)


def _find_line(photo_set: PhotoSet) -> None:
    """Propose which line to read; the person says."""
    line = looking.proposed_line(photo_set)
    found = PhotoSet.objects.filter(pk=photo_set.pk, version=photo_set.version)
    found.update(state=PhotoSet.DONE, said="", **({"line": line} if line else {}))


def _finish(photo_set: PhotoSet, whole: WholeSet) -> None:
    """Keep what was read; without a reader the pictures alone are worth having, and that is said."""
    said, reading, boxes = "", None, None
    try:
        found = read.read(whole)
        reading = {"text": found.text, "confidence": found.confidence, "form": found.form or ""}
        boxes = boxes_of_cells(found.cells)
        said = found.says
    except CannotLookError as wrong:
        said = str(wrong)
    with transaction.atomic():
        now = PhotoSet.objects.filter(pk=photo_set.pk, version=photo_set.version).first()
        if now is None:  # Changed or deleted meanwhile: what was found speaks of other pictures.
            return
        now.state, now.said, now.reading, now.read_version = PhotoSet.DONE, said, reading, photo_set.version
        if boxes is not None:
            now.boxes = [box.as_json() for box in _with_own(boxes, read_boxes(now.boxes))]
        if not now.form and reading:
            now.form = reading["form"]
        now.worked_at = timezone.now()
        now.save()


def _with_own(found: list[Box], before: list[Box]) -> list[Box]:
    """What was read now, with the places that a person had settled before, where they still are the same places."""
    if len(found) != len(before):
        return before if any(box.by == EYE for box in before) else found
    return [old if old.by == EYE else new for old, new in zip(before, found, strict=True)]


def _tell(pk: int, **told: object) -> None:
    PhotoSet.objects.filter(pk=pk).update(worked_at=timezone.now(), **told)
