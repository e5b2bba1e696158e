"""The door from the pages to ``floatbowl.photo``, opened when a picture is looked at and not before.

Where what looking at pictures needs is not installed, everything here raises CannotLookError with one sentence.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from threading import BoundedSemaphore
from typing import TYPE_CHECKING, Any

from floatbowl.shop.models.photograph import Photograph, PhotoSet
from floatbowl.shop.photographs import guide, storage
from floatbowl.shop.photographs.errors import CannotLookError, KeepingError
from floatbowl.shop.photographs.plane import Quad, carried, corners_of, straight_size

if TYPE_CHECKING:
    from floatbowl.photo.opening import Photograph as Opened
    from floatbowl.photo.sets import PhotoSet as WholeSet

NOT_INSTALLED = (
    "This computer cannot look at photographs yet: install floatbowl with its part for photographs "
    "(pip install 'floatbowl[photo]') and start it again. Until then type what can be read."
)
#: Pictures decoded at the same time.
OPENED_AT_ONCE = 2
NEEDED = ("PIL", "pillow_heif", "cv2")


@dataclass(frozen=True, slots=True)
class Sound:
    """A picture that could be opened: upright, without anything the camera wrote into it, and its smaller copies."""

    jpeg: bytes
    copies: tuple[bytes, ...]
    width: int
    height: int


def missing() -> str:
    """Why photographs cannot be looked at here, in one sentence; empty where they can."""
    return "" if all(find_spec(name) for name in NEEDED) else NOT_INSTALLED


#: A large photograph fills hundreds of megabytes while it is looked at: so many at once, whoever sends them.
_few_at_once = BoundedSemaphore(2)


@contextmanager
def plain_words() -> Iterator[None]:
    """What goes wrong with a picture inside is raised as KeepingError, what is not installed as CannotLookError."""
    try:
        from floatbowl.photo.opening import PhotographError
    except ImportError as gone:
        raise CannotLookError(NOT_INSTALLED) from gone
    try:
        yield
    except PhotographError as wrong:
        raise KeepingError(str(wrong)) from wrong
    except ImportError as gone:
        raise CannotLookError(NOT_INSTALLED) from gone


def sound_picture(data: bytes, place: str, sides: Iterable[int]) -> Sound:
    """A picture as it is kept, with copies whose longer side is no more than ``sides`` pixels. Raises KeepingError."""
    with _few_at_once, plain_words():
        from PIL import Image

        from floatbowl.photo.opening import stripped

        jpeg = stripped(data, guide.spoken_of(place))
        with Image.open(io.BytesIO(jpeg)) as picture:
            width, height = picture.size
            copies = tuple(_copy(picture, side) for side in sides)
    return Sound(jpeg, copies, width, height)


def _copy(picture: Any, side: int) -> bytes:
    small = picture.copy()
    small.thumbnail((side, side))
    out = io.BytesIO()
    small.save(out, "JPEG", quality=85)
    return out.getvalue()


def opened(photograph: Photograph) -> Opened:
    """A kept picture's pixels. Raises KeepingError."""
    with plain_words():
        from floatbowl.photo.opening import open_photograph

        return open_photograph(storage.path_of(photograph), guide.spoken_of(photograph.place))


def whole_set(photo_set: PhotoSet) -> WholeSet:
    """The set as ``floatbowl.photo`` takes it, its pictures opened. Raises KeepingError."""
    kept = {each.place: each for each in photo_set.photographs.all()}
    plain = kept.pop(Photograph.PLAIN, None)
    if plain is None:
        raise KeepingError("The plain picture is missing. Take it first: by the light of the room, without a torch.")
    torches = [kept[place] for place in guide.places() if place in kept]
    with plain_words():
        import numpy as np

        from floatbowl.photo.sets import PhotoSet as WholeSet

        with ThreadPoolExecutor(OPENED_AT_ONCE) as pool:
            pictures = list(pool.map(opened, [plain, *torches]))
        corners, line = (None if quad is None else np.array(quad) for quad in (photo_set.corners, photo_set.line))
        return WholeSet(
            str(photo_set), tuple(pictures[:1]), tuple(pictures[1:]), corners, line,
            part=photo_set.part or None, form=photo_set.form or None,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Looked:
    """What a look at one picture shows: what is wrong with it, and about how high a character is, in pixels."""

    faults: list[dict[str, str]]
    character_pixels: int | None = None


def look(photograph: Photograph, plain: Photograph | None, corners: Quad | None) -> Looked:
    """Look at a picture by itself, and beside the ``plain`` one where it is another; ``corners`` are the plain one's.

    Raises KeepingError.
    """
    with _few_at_once, plain_words():
        import numpy as np

        from floatbowl.photo import faults
        from floatbowl.photo.aligning import align
        from floatbowl.photo.plate import propose_corners, straight_size

        picture = opened(photograph)
        beside = opened(plain) if plain else None
        if beside is None:
            known = propose_corners(picture) if corners is None else np.array(corners)
            found = faults.faults_of_photograph(picture, known, raking=photograph.place != Photograph.PLAIN)
            high = None if known is None else faults.character_pixels(straight_size(known, 100_000), None)
            return Looked(_plainly(found), None if high is None else round(high))
        alike = beside.pixels.shape == picture.pixels.shape
        known = None if corners is None else np.array(corners)
        found = faults.faults_of_photograph(picture, known if alike else None, raking=True)
        found += faults.faults_of_moves(align(beside, [picture], known))
    # How small it is, is said once: of the plain picture.
    return Looked([fault for fault in _plainly(found) if fault["kind"] != "small"])


def _plainly(found: Iterable[Any]) -> list[dict[str, str]]:
    return [{"kind": fault.kind, "says": fault.says} for fault in found]


def proposed_corners(plain: Photograph) -> Quad | None:
    """The plate's corners on the plain picture, or None where no plate is found."""
    with _few_at_once, plain_words():
        from floatbowl.photo.plate import propose_corners

        return _as_quad(propose_corners(opened(plain)))


def straightened(photo_set: PhotoSet, corners: Quad) -> bytes:
    """The plate of the plain picture seen straight on, as a JPEG."""
    plain = photo_set.photographs.get(place=Photograph.PLAIN)
    with _few_at_once, plain_words():
        import numpy as np

        from floatbowl.photo.opening import as_jpeg
        from floatbowl.photo.plate import straighten

        return as_jpeg(straighten(opened(plain).pixels, np.array(corners), straight_size(corners)))


def proposed_line(photo_set: PhotoSet) -> Quad | None:
    """The line of characters, found on the pictures of the plate, in pixels of the plain one; None for none."""
    with plain_words():
        from floatbowl.shop.photographs import relief

        pictures = [_made(photo_set, name) for name in ("plain", "relief") if _is_made(photo_set, name)]
        found = relief.found_line(pictures) if pictures else None
        if found is None:
            return None
        height, width = pictures[0].shape[:2]
        return carried(found, corners_of((width, height)), photo_set.corners)


def line_pictures(photo_set: PhotoSet) -> dict[str, bytes]:
    """The line of characters out of each picture of the plate, by their names in ``storage.MADE``."""
    shown = {}
    with plain_words():
        from floatbowl.shop.photographs import relief

        for name in ("plain", "cleaned", "relief"):
            if _is_made(photo_set, name):
                plate = _made(photo_set, name)
                line = carried(photo_set.line, photo_set.corners, corners_of((plate.shape[1], plate.shape[0])))
                shown[f"line-{name}"] = relief.line_picture(plate, line)
    return shown


def _is_made(photo_set: PhotoSet, name: str) -> bool:
    return storage.made_path(photo_set, name).exists()


def _made(photo_set: PhotoSet, name: str) -> Any:
    from floatbowl.photo.opening import open_photograph

    return open_photograph(storage.made_path(photo_set, name), f"The picture of the plate ({name})").pixels


def _as_quad(found: Any) -> Quad | None:
    return None if found is None else [[float(x), float(y)] for x, y in found]


def pictures(whole: WholeSet, tell: Callable[[int], None]) -> dict[str, bytes]:
    """The straightened pictures of a set by their names in ``storage.MADE``. Raises KeepingError.

    ``tell`` is told each step of ``work.STEPS``.
    """
    with plain_words():
        from floatbowl.photo.aligning import align
        from floatbowl.shop.photographs import relief

        tell(2)
        moves = align(whole.plain[0], whole.raking, whole.corners)
        tell(3)
        return relief.pictures(whole, moves)
