"""A stock recogniser of printed text beside our own: PP-OCR's small model as the ``rapidocr`` wheel ships it.

Its full matrix of probabilities is kept and folded onto the characters that marks have; nothing is fetched, and the
wheel's own program is not imported.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import cache
from importlib import metadata
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from floatbowl.photo.alphabet import BLANK, CHARACTERS, COLUMNS
from floatbowl.photo.channels import NAMES, Channels
from floatbowl.photo.network import opened

if TYPE_CHECKING:
    from onnxruntime import InferenceSession

    from floatbowl.photo.ctc import Floats
    from floatbowl.photo.shading import Plane

#: Planes it is shown, each as it is and as a negative.
PICTURES: Final = ("plain", "equalised", "relief")
#: Belief spread evenly, so that no character is held impossible where it saw something no mark has.
_FLOOR: Final = 1e-4


def stock_matrices(channels: Channels) -> dict[str, Floats]:
    """Logarithms of probabilities ``[places, characters]`` by picture: ``plain+``, ``plain-``, ``relief+``, ...

    Time: about 60 ms a picture on one core.
    """
    return {name: read_picture(picture) for name, picture in _pictures(channels)}


def _pictures(channels: Channels) -> Iterator[tuple[str, Plane]]:
    for name in PICTURES:
        at = NAMES.index(name)
        if channels.present[at]:
            plane = channels.planes[at]
            bright = (plane + 1) / 2 if name == "relief" else plane
            yield name + "+", bright
            yield name + "-", 1 - bright


def read_picture(picture: Plane) -> Floats:
    """The matrix of one picture ``[48, W]``, 0 (dark) to 1."""
    network, columns = _network()
    shown = np.repeat(((np.clip(picture, 0, 1) - 0.5) / 0.5)[None, None].astype(np.float32), 3, axis=1)
    probs = np.asarray(network.run(None, {network.get_inputs()[0].name: shown})[0][0], np.float64)
    folded = np.zeros((len(probs), COLUMNS))
    np.add.at(folded.T, columns[columns >= 0], probs.T[columns >= 0])
    folded += _FLOOR
    return np.asarray(np.log(folded / folded.sum(axis=1, keepdims=True)))


@cache
def _network() -> tuple[InferenceSession, npt.NDArray[np.intp]]:
    """The model, and for each of its columns the one of ours it counts for, or -1."""
    network = opened(_model())
    characters = network.get_modelmeta().custom_metadata_map["character"].splitlines()
    total = network.get_outputs()[0].shape[-1]
    columns = np.full(total, -1)
    columns[0] = BLANK
    for at, character in enumerate(characters, start=1):
        columns[at] = _ours(character)
    if total > len(characters) + 1:
        columns[len(characters) + 1] = CHARACTERS.index(" ") + 1
    return network, columns


def _ours(character: str) -> int:
    """Small letters, full-width ones and other dashes count for the capital or dash; the rest is no mark's."""
    plain = unicodedata.normalize("NFKC", character).upper()
    plain = "-" if plain and plain in "‐‑‒–—−" else plain
    return CHARACTERS.index(plain) + 1 if len(plain) == 1 and plain in CHARACTERS else -1


def _model() -> str:
    """Where the wheel put its model of recognition. Raises ``RuntimeError`` when it is not installed."""
    try:
        files = metadata.files("rapidocr") or []
    except metadata.PackageNotFoundError:
        files = []
    for file in files:
        if file.match("models/*rec*.onnx"):
            return str(file.locate())
    raise RuntimeError("the recogniser of the rapidocr package is missing; install floatbowl[photo]")
