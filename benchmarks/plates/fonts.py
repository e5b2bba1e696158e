"""Open lettering fonts for the renders: fetched from Debian packages by name, kept outside the checkout.

``fonts.csv`` lists every font file with its package and licence; families for training and for scoring differ.
``python -m benchmarks.plates.fonts FOLDER`` fetches them into ``FOLDER/train`` and ``FOLDER/test``; the renderer finds
them by the environment variable ``PLATE_FONTS`` (or an argument).
"""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

VARIABLE: Final = "PLATE_FONTS"
LIST: Final = Path(__file__).with_name("fonts.csv")


@dataclass(frozen=True, slots=True)
class FontSource:
    """One Debian package, and the font files of it that are used for training or for scoring (``test``)."""

    use: str
    package: str
    licence: str
    files: tuple[str, ...]


def sources() -> tuple[FontSource, ...]:
    """All rows of ``fonts.csv``."""
    with LIST.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    return tuple(FontSource(r["use"], r["package"], r["licence"], tuple(r["files"].split("|"))) for r in rows)


def fetch(folder: Path) -> int:
    """Download every package with ``apt-get download`` and copy its listed fonts; how many files there are now."""
    with tempfile.TemporaryDirectory() as scratch:
        for source in sources():
            target = folder / source.use
            target.mkdir(parents=True, exist_ok=True)
            if all((target / name).exists() for name in source.files):
                continue
            unpacked = _unpacked(source.package, Path(scratch))
            for name in source.files:
                shutil.copy(_found(unpacked, name, source.package), target / name)
    return sum(len(list((folder / use).iterdir())) for use in ("train", "test"))


def _unpacked(package: str, scratch: Path) -> Path:
    before = set(scratch.glob("*.deb"))
    subprocess.run(["apt-get", "download", package], cwd=scratch, check=True, capture_output=True)
    archive = next(iter(set(scratch.glob("*.deb")) - before))
    target = scratch / package
    subprocess.run(["dpkg", "-x", str(archive), str(target)], check=True)
    return target


def _found(folder: Path, name: str, package: str) -> Path:
    places = sorted(path for path in folder.rglob(name) if path.is_file())
    if not places:
        raise FileNotFoundError(f"{package} has no font {name}: correct its row in {LIST.name}")
    return places[0]


@cache
def shelf(use: str, folder: str | None = None) -> tuple[str, ...]:
    """Paths of the fonts for ``train`` or ``test``; the folder, or else what ``PLATE_FONTS`` names.

    Raises ``FileNotFoundError`` saying how to fetch them.
    """
    root = Path(folder or os.environ.get(VARIABLE, ""))
    paths = tuple(sorted(str(path) for path in (root / use).glob("*.[ot]tf")))
    if not paths:
        raise FileNotFoundError(
            f"no fonts in {root / use}: run python -m benchmarks.plates.fonts FOLDER and set {VARIABLE}=FOLDER"
        )
    return paths


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m benchmarks.plates.fonts FOLDER")
    print(fetch(Path(sys.argv[1])), "fonts")
