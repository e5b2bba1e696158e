"""Photographs as files: kept whole or not at all, in a folder of their own for each set, and deleted with it.

No name that came from outside is ever part of a path: folders and files have names made here.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.db.models import F

from floatbowl.shop.models.photograph import Photograph, PhotoSet, new_key
from floatbowl.shop.photographs import looking
from floatbowl.shop.photographs.errors import KeepingError
from floatbowl.shop.places import OWNER_ONLY

MOST_PHOTOGRAPHS = 12
MOST_BYTES = 25 * 1024 * 1024
OWNER_ONLY_FOLDER = 0o700
#: Smaller copies of each picture, and the longest side of each in pixels.
COPIES = {"screen": 1400, "small": 360}
#: What the machine makes of a set: file name and content type of each.
MADE = {
    "straight": ("straight.jpg", "image/jpeg"),
    "plain": ("plain.png", "image/png"),
    "cleaned": ("cleaned.png", "image/png"),
    "relief": ("relief.png", "image/png"),
    "normals": ("normals.png", "image/png"),
    "line-plain": ("line-plain.png", "image/png"),
    "line-cleaned": ("line-cleaned.png", "image/png"),
    "line-relief": ("line-relief.png", "image/png"),
}


def folder_of(photo_set: PhotoSet) -> Path:
    """The folder of a set's files, made when it is not there."""
    folder: Path = Path(settings.PHOTOGRAPHS) / photo_set.key
    folder.mkdir(parents=True, exist_ok=True, mode=OWNER_ONLY_FOLDER)
    return folder


def path_of(photograph: Photograph, copy: str = "") -> Path:
    """The file of a picture, or of one of its smaller copies (``screen``, ``small``)."""
    name = f"{photograph.key}.{copy}.jpg" if copy in COPIES else f"{photograph.key}.jpg"
    folder: Path = Path(settings.PHOTOGRAPHS) / photograph.photo_set.key
    return folder / name


def paths_of(photograph: Photograph) -> list[Path]:
    """All files of a picture."""
    return [path_of(photograph), *(path_of(photograph, copy) for copy in COPIES)]


def made_path(photo_set: PhotoSet, name: str) -> Path:
    """The file of one of the pictures made of a set; KeyError for a name that is none."""
    folder: Path = Path(settings.PHOTOGRAPHS) / photo_set.key
    return folder / MADE[name][0]


def pictures_beside(photo_set: PhotoSet) -> tuple[tuple[str, str], ...]:
    """The pictures that stand beside a number read from this set: address, and what each shows."""
    address = f"/photographs/{photo_set.pk}/"
    if photo_set.pictures_version:
        made = [("line-plain", "the mark, plain photograph"), ("line-relief", "the mark, relief")]
        there = [(name, shows) for name, shows in made if made_path(photo_set, name).exists()]
        if there:
            return tuple((f"{address}made/{name}/?v={photo_set.version}", shows) for name, shows in there)
    return ((f"{address}picture/plain/?copy=small&v={photo_set.version}", "the plain photograph"),)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it is there whole or not at all, readable by its owner only."""
    draft = path.with_name(f"{path.name}.{new_key()}.draft")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)


def keep(photo_set: PhotoSet, place: str, data: bytes, upload: str, who: str) -> Photograph:
    """Keep one picture at its place, without anything the camera wrote into it; one that was there is replaced.

    Raises KeepingError where it is no picture or the set is full, and ``looking.CannotLookError``.
    """
    if len(data) > MOST_BYTES:
        raise KeepingError(f"A photograph may have {MOST_BYTES // 2**20} MB at most. Send a smaller one.")
    sound = looking.sound_picture(data, place, COPIES.values())
    photograph = Photograph(
        photo_set=photo_set, place=place, upload=upload, width=sound.width, height=sound.height, who=who
    )
    folder_of(photo_set)
    try:
        for path, content in zip(paths_of(photograph), (sound.jpeg, *sound.copies), strict=True):
            write_whole(path, content)
        with transaction.atomic():
            _put_in_place(photo_set, photograph)
    except BaseException:
        for path in paths_of(photograph):
            path.unlink(missing_ok=True)
        raise
    return photograph


def _put_in_place(photo_set: PhotoSet, photograph: Photograph) -> None:
    old = photo_set.photographs.filter(place=photograph.place).first()
    if old is not None:
        forget(old)
    elif photo_set.photographs.count() >= MOST_PHOTOGRAPHS:
        raise KeepingError(
            f"These are {MOST_PHOTOGRAPHS} photographs already, as many as one mark may have. Take one out first."
        )
    photograph.save()
    if photograph.place == Photograph.PLAIN:
        # Corners and line stood on the old plain picture, and the others were compared with it.
        PhotoSet.objects.filter(pk=photo_set.pk).update(corners=None, corners_by="", line=None, line_by="")
        photo_set.photographs.exclude(pk=photograph.pk).update(faults=None, accepted=False)
    changed(photo_set)


def changed(photo_set: PhotoSet) -> None:
    """Count a change: what was read before no longer holds."""
    PhotoSet.objects.filter(pk=photo_set.pk).update(version=F("version") + 1, state="", said="")
    photo_set.refresh_from_db()


def keep_line(photo_set: PhotoSet, line: list[list[float]], by: str) -> None:
    """Keep which line is read: what was read before no longer holds, the pictures of the plate still do."""
    fresh = photo_set.pictures_version == photo_set.version
    photo_set.line, photo_set.line_by = line, by
    photo_set.save(update_fields=["line", "line_by"])
    changed(photo_set)
    if fresh:
        photo_set.pictures_version = photo_set.version
        photo_set.save(update_fields=["pictures_version"])


def forget(photograph: Photograph) -> None:
    """Take one picture out; its files go once that is certain. Call inside a transaction."""
    paths = paths_of(photograph)
    photograph.delete()
    transaction.on_commit(_unlinking(paths))


def _unlinking(paths: list[Path]) -> Callable[[], None]:
    def unlink() -> None:
        for path in paths:
            path.unlink(missing_ok=True)

    return unlink


def delete_set(photo_set: PhotoSet) -> None:
    """Delete a set with all its files. A reading that came from it stays, without its pictures."""
    folder = Path(settings.PHOTOGRAPHS) / photo_set.key
    with transaction.atomic():
        photo_set.delete()
        transaction.on_commit(lambda: shutil.rmtree(folder, ignore_errors=True))
