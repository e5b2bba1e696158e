"""A photograph arriving piece by piece: what arrived is kept, and a dropped connection costs one piece and no more."""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

from floatbowl.shop.models.photograph import PhotoSet
from floatbowl.shop.photographs.errors import KeepingError
from floatbowl.shop.photographs.storage import MOST_BYTES, MOST_PHOTOGRAPHS, folder_of
from floatbowl.shop.places import OWNER_ONLY

#: The largest piece taken, in bytes. Browsers send half of it.
MOST_PIECE_BYTES = 1024 * 1024
#: Half a photograph that nobody went on sending for so long is thrown away.
LONGEST_WAIT_SECONDS = 24 * 60 * 60
_UPLOAD = re.compile(r"[0-9a-f]{16,64}")


def is_upload(name: str) -> bool:
    """Whether this is a name a browser may give to what it sends.

    >>> is_upload("0123456789abcdef"), is_upload("../../etc/passwd")
    (True, False)
    """
    return _UPLOAD.fullmatch(name) is not None


def arrived(photo_set: PhotoSet, upload: str) -> int:
    """How many bytes of this upload are here, from its beginning on."""
    path = _part(photo_set, upload)
    return path.stat().st_size if path.exists() else 0


def take_piece(photo_set: PhotoSet, upload: str, at: int, of: int, piece: bytes) -> int:
    """Keep a piece that begins at byte ``at`` of ``of`` and say how many bytes are here now.

    A piece that comes twice changes nothing; one that would leave a gap is not taken. Raises KeepingError.
    """
    if not 0 < of <= MOST_BYTES:
        raise KeepingError(f"A photograph may have {MOST_BYTES // 2**20} MB at most. Choose a smaller one.")
    if len(piece) > MOST_PIECE_BYTES or at + len(piece) > of:
        raise KeepingError("More came than was announced. Send the photograph again.")
    path = _part(photo_set, upload)
    have = arrived(photo_set, upload)
    if at > have or at < 0:
        return have
    if not path.exists() and _waiting(photo_set) >= MOST_PHOTOGRAPHS:
        raise KeepingError("Too many photographs are half sent. Let those arrive first.")
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT, OWNER_ONLY)
    with os.fdopen(descriptor, "wb") as file:
        file.seek(at)
        file.write(piece)
    return arrived(photo_set, upload)


def whole(photo_set: PhotoSet, upload: str) -> bytes:
    """The photograph, once all of it is here."""
    return _part(photo_set, upload).read_bytes()


def drop(photo_set: PhotoSet, upload: str) -> None:
    """Throw away what arrived: it was kept as a picture, or it is none."""
    _part(photo_set, upload).unlink(missing_ok=True)


def _waiting(photo_set: PhotoSet) -> int:
    """How many are half sent; those nobody went on sending are thrown away."""
    count = 0
    for path in folder_of(photo_set).glob("*.part"):
        if time.time() - path.stat().st_mtime > LONGEST_WAIT_SECONDS:
            path.unlink(missing_ok=True)
        else:
            count += 1
    return count


def _part(photo_set: PhotoSet, upload: str) -> Path:
    if not is_upload(upload):
        raise KeepingError("This upload has no proper name. Load the page again.")
    return folder_of(photo_set) / f"{upload}.part"
