"""What is read from whole photo sets, by level, beside a stock recogniser and Tesseract on the plain photograph alone.

    python -m benchmarks.reading render FOLDER --plates 200 --seed 990002
    python -m benchmarks.reading score FOLDER [--out FIGURES.json]

``render`` writes the sets (about 3 s of processor time each; fonts: ``benchmarks.plates.fonts``). ``score`` reads them
and ranks the 5,000 numbers of the run's catalogue. "Exact" leaves separators out of account on both sides; "strict"
does not. The character error rate is rapidfuzz's Levenshtein distance over the length of the truth. Tesseract
(``tesseract``, its own program, page mode 7, characters restricted to the alphabet) is left out where it is missing.
Seeds of training (11-17), of the checkpoint's choice (770001) and of the mixture (880001) are never scored here.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import resource
import shutil
import subprocess
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from rapidfuzz.distance import Levenshtein

from benchmarks.plates import recipes, texts
from benchmarks.plates.texts import normalised
from floatbowl.photo.alphabet import CHARACTERS

Floats = npt.NDArray[np.float64]
BINS: Final = 10
CATALOGUE: Final = 5000


@dataclass(frozen=True, slots=True)
class Row:
    """One plate: the truth, what each reader says, and whether its number came first among the catalogue's."""

    level: str
    form: str
    truth: str
    read: str
    confidence: float
    told_form: str | None
    first: bool
    first_plain: bool
    stock: str
    stock_first: bool
    tesseract: str | None
    seconds: float


def render(folder: Path, plates: int, seed: int, processes: int) -> None:
    """Photo sets of every level; the folder's ``run.json`` keeps the seed."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "run.json").write_text(json.dumps({"seed": seed, "plates": plates}), encoding="utf-8")
    jobs = [(folder, level, seed, place) for place in range(plates) for level in recipes.LEVELS]
    with multiprocessing.get_context("fork").Pool(processes) as pool:
        pool.starmap(_rendered, jobs, chunksize=1)


def _rendered(folder: Path, level: str, seed: int, place: int) -> None:
    from benchmarks.plates.photographs import numbered_set

    target = folder / f"{level.replace(' ', '-')}-{place:04d}"
    if not (target / "truth.json").exists():
        numbered_set(target, level, seed, place)


def score(folder: Path, processes: int) -> list[Row]:
    """Every set in the folder, read and ranked."""
    global _catalogue
    _catalogue = texts.catalogue(json.loads((folder / "run.json").read_text(encoding="utf-8"))["seed"], CATALOGUE)
    sets = sorted(each.parent for each in folder.glob("*/truth.json"))
    with multiprocessing.get_context("fork").Pool(processes) as pool:
        return pool.map(_scored, sets, chunksize=1)


_catalogue: tuple[str, ...] = ()


def _scored(folder: Path) -> Row:
    from benchmarks.plates.calibrate import greedy
    from floatbowl.photo.channels import line_channels
    from floatbowl.photo.ctc import log_sums
    from floatbowl.photo.reading import read_line, read_set
    from floatbowl.photo.sets import read_photo_set
    from floatbowl.photo.stock import read_picture

    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    began = time.process_time()
    photo_set = read_photo_set(folder, jobs=1)
    found = read_set(photo_set)
    seconds = time.process_time() - began
    plain = plain_crop(photo_set)
    alone = line_channels(plain, np.zeros((0, *plain.shape), np.float32))
    matrix = read_picture(alone.planes[0])
    return Row(
        level=folder.name.rsplit("-", 1)[0].replace("-", " "),
        form=truth["form"],
        truth=truth["text"],
        read=found.text,
        confidence=found.confidence,
        told_form=found.form if photo_set.form is None else None,
        first=_first(found.lattice.scores_of_numbers(_catalogue), truth["text"]),
        first_plain=_first(read_line(alone).scores_of_numbers(_catalogue), truth["text"]),
        stock=greedy(matrix),
        stock_first=_first(log_sums(matrix, _catalogue), truth["text"]),
        tesseract=tesseract(plain),
        seconds=seconds,
    )


def plain_crop(photo_set: Any) -> npt.NDArray[np.float32]:
    """The line as the plain photograph alone shows it."""
    from floatbowl.photo.crops import line_crops

    return line_crops(photo_set, (), photo_set.line)[0]


def _first(scores: Floats, truth: str) -> bool:
    return _catalogue[int(np.argmax(scores))] == truth


def tesseract(plain: npt.NDArray[np.float32]) -> str | None:
    """What Tesseract reads in the crop; None where it is not installed."""
    from PIL import Image

    program = shutil.which("tesseract")
    if program is None:
        return None
    picture = Image.fromarray(np.clip(plain * 255, 0, 255).astype(np.uint8))
    kept = CHARACTERS.replace(" ", "")
    command = [program, "stdin", "stdout", "--psm", "7", "-c", f"tessedit_char_whitelist={kept}"]
    pipe = subprocess.run(command, input=_png(picture), capture_output=True, check=False)
    return " ".join(pipe.stdout.decode("utf-8", "replace").split())


def _png(picture: Any) -> bytes:
    import io

    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def figures(rows: Sequence[Row]) -> dict[str, Any]:
    """The tables."""
    found: dict[str, Any] = {}
    for level in dict.fromkeys(row.level for row in rows):
        some = [row for row in rows if row.level == level]
        found[level] = {
            "plates": len(some),
            "exact": share(normalised(r.read) == normalised(r.truth) for r in some),
            "strict": share(r.read == r.truth for r in some),
            "first": share(r.first for r in some),
            "first, plain photograph alone": share(r.first_plain for r in some),
            "character error rate": error_rate([(r.read, r.truth) for r in some]),
            "stock exact": share(normalised(r.stock) == normalised(r.truth) for r in some),
            "stock first": share(r.stock_first for r in some),
            "stock character error rate": error_rate([(r.stock, r.truth) for r in some]),
            "form told right, of those told": share(r.told_form == r.form for r in some if r.told_form),
        }
        for form in ("stamped", "cast"):
            found[level][f"exact, {form}"] = share(
                normalised(r.read) == normalised(r.truth) for r in some if r.form == form
            )
        if all(r.tesseract is not None for r in some):
            found[level]["tesseract exact"] = share(normalised(r.tesseract or "") == normalised(r.truth) for r in some)
            found[level]["tesseract character error rate"] = error_rate([(r.tesseract or "", r.truth) for r in some])
    chances = np.array([row.confidence for row in rows])
    for name, right in (
        ("exact", np.array([normalised(r.read) == normalised(r.truth) for r in rows])),
        ("strict", np.array([r.read == r.truth for r in rows])),
    ):
        sure = chances > 0.95
        found[f"confidence, {name}"] = {
            "plates": len(rows),
            "calibration error": round(calibration_error(chances, right), 4),
            "above 0.95": int(sure.sum()),
            "of these right": share(right[sure].tolist()),
        }
    found["processor seconds a set, median"] = round(float(np.median([row.seconds for row in rows])), 2)
    return found


def share(told: Any) -> float | None:
    values = [bool(each) for each in told]
    return round(sum(values) / len(values), 4) if values else None


def error_rate(pairs: Sequence[tuple[str, str]]) -> float:
    """Characters changed, lost or added, over the characters of the truth, separators left out."""
    edits = sum(Levenshtein.distance(normalised(read), normalised(truth)) for read, truth in pairs)
    return round(edits / sum(len(normalised(truth)) for _, truth in pairs), 4)


def calibration_error(chances: Floats, right: npt.NDArray[np.bool_]) -> float:
    """Expected calibration error in ten equal bins."""
    bins = np.minimum((chances * BINS).astype(int), BINS - 1)
    parts = [abs(chances[bins == b].mean() - right[bins == b].mean()) * (bins == b).sum() for b in set(bins.tolist())]
    return float(sum(parts) / len(chances))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=("render", "score"))
    parser.add_argument("folder", type=Path)
    parser.add_argument("--plates", type=int, default=200)
    parser.add_argument("--seed", type=int, default=990_002)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--out", type=Path)
    args = parser.parse_args()
    if args.what == "render":
        render(args.folder, args.plates, args.seed, args.processes)
        return
    rows = score(args.folder, args.processes)
    told = figures(rows)
    told["largest memory of a process, MB"] = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024
    print(json.dumps(told, indent=1))
    if args.out:
        kept = {"figures": told, "rows": [asdict(row) for row in rows]}
        args.out.write_text(json.dumps(kept) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
