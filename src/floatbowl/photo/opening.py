"""The one place where photographs are opened: checked before decoding, turned upright, private data left behind."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Final, cast

import numpy as np
import pillow_heif
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

Pixels = NDArray[np.uint8]

#: More pixels than this are refused before anything is decoded: more than a phone's 50 million.
MOST_PIXELS: Final = 64_000_000
#: Larger files are refused before they are read.
MOST_BYTES: Final = 80_000_000
#: A side shorter than this shows no mark.
LEAST_SIDE: Final = 32
FORMATS: Final = ("JPEG", "PNG", "WEBP", "TIFF", "BMP", "HEIF", "AVIF")
JPEG_QUALITY: Final = 92


class PhotographError(ValueError):
    """What is wrong with a photograph, which one, and what to do: one sentence for a person."""


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """A photograph as it is looked at: ``pixels [H, W, 3]`` red, green, blue, upright."""

    name: str
    pixels: Pixels


def open_photograph(source: Path | bytes, name: str) -> Photograph:
    """The photograph in a file or in its bytes, upright; ``name`` is what to call it when something is wrong.

    Raises PhotographError when it is missing, no picture, broken off, or too large to be decoded safely.
    """
    data = source if isinstance(source, bytes) else _read(source, name)
    if not data:
        raise PhotographError(f"{name} is empty: send the photograph again.")
    pillow_heif.register_heif_opener()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return Photograph(name, _pixels(data, name))


def stripped(data: bytes, name: str) -> bytes:
    """The photograph as an upright JPEG that holds the picture and nothing else: no place, time, owner or preview.

    Raises PhotographError as ``open_photograph``.
    """
    return as_jpeg(open_photograph(data, name).pixels)


def as_jpeg(pixels: Pixels, quality: int = JPEG_QUALITY) -> bytes:
    """The pixels as a JPEG without any metadata."""
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=quality, subsampling=0)
    return out.getvalue()


def as_png(pixels: Pixels) -> bytes:
    """The pixels (grey or colour) as a PNG without any metadata."""
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "PNG", compress_level=4)
    return out.getvalue()


def _read(path: Path, name: str) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise PhotographError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB: send it as the phone's JPEG.")
        return path.read_bytes()
    except FileNotFoundError:
        raise PhotographError(f"{name} is not there: put it in the folder, or take it off the list.") from None
    except OSError as fault:
        raise PhotographError(f"{name} cannot be read ({fault.strerror or fault}): copy it again.") from fault


def _pixels(data: bytes, name: str) -> Pixels:
    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as image:
            _check_size(image.size, name)
            return _upright(image)
    except PhotographError:
        raise
    except Image.DecompressionBombError:
        raise PhotographError(_too_many(name)) from None
    except UnidentifiedImageError:
        raise PhotographError(
            f"{name} is not a photograph that can be opened (JPEG, PNG, WebP, TIFF and HEIC can): choose another file."
        ) from None
    except MemoryError:
        raise PhotographError(_too_many(name)) from None
    except Exception as fault:  # Each format's decoder fails in its own way on damaged files.
        raise PhotographError(f"{name} is broken off or damaged: send it again.") from fault


def _check_size(size: tuple[int, int], name: str) -> None:
    if size[0] * size[1] > MOST_PIXELS:
        raise PhotographError(_too_many(name, size))
    if min(size) < LEAST_SIDE:
        raise PhotographError(
            f"{name} is only {size[0]} by {size[1]} pixels: send the photograph itself, not a preview."
        )


def _too_many(name: str, size: tuple[int, int] | None = None) -> str:
    has = f"has {size[0] * size[1] / 1e6:.0f} million pixels" if size else "has far too many pixels"
    return (
        f"{name} {has}, more than the {MOST_PIXELS // 1_000_000} million that are opened: set the phone to 12 million."
    )


def _upright(image: Image.Image) -> Pixels:
    """Decoded, then turned as its camera says; what the camera says is left aside where it makes no sense."""
    image.load()
    try:
        turned = ImageOps.exif_transpose(image)
    except Exception:  # Damaged camera data must not cost the picture.
        turned = image
    return np.ascontiguousarray(_as_colour(turned))


def _as_colour(image: Image.Image) -> Pixels:
    if image.mode == "RGB":
        return np.asarray(image)
    if image.mode.startswith("I") or image.mode == "F":
        return _from_deep(np.asarray(image))
    if image.has_transparency_data:
        ground = Image.new("RGBA", image.size, "white")
        return np.asarray(Image.alpha_composite(ground, image.convert("RGBA")).convert("RGB"))
    return np.asarray(image.convert("RGB"))


def _from_deep(values: NDArray[np.generic]) -> Pixels:
    """More than 8 bits a pixel: full scale is the smallest of 8, 12 and 16 bits that holds the brightest pixel."""
    deep: NDArray[np.float32] = np.asarray(values, dtype=np.float32)
    most = float(deep.max())
    scale = next((full for full in (1.0, 255.0, 4095.0, 65535.0) if most <= full), max(most, 1.0))
    grey = np.clip(deep * (255 / scale), 0, 255).astype(np.uint8)
    return cast(Pixels, np.repeat(grey[..., None], 3, axis=2))
