"""From photographs to the kit: a reading entered as chances per place, beside the plain photograph read and typed.

    python -m benchmarks.photographs_to_kit FOLDER [--plates 40] [--out FIGURES.json]

FOLDER holds rendered sets (``python -m benchmarks.reading render``). The records are the run's catalogue of 5,000
numbers, each carburettor with one identifying mark and a kit that at most its next numbers share. The mark is all the
evidence there is, weighed in three ways: the cells read from all photographs; the cells read from the plain photograph
alone; and the text a stock recogniser reads in the plain photograph, typed in as a person would type what the eye reads
there.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from benchmarks.plates import texts
from benchmarks.plates.texts import SHAPES, normalised
from benchmarks.reading import CATALOGUE, plain_crop
from benchmarks.scoring import Outcome, wrong_among_surest
from floatbowl.identify.weigh import Weigher
from floatbowl.reference.facts import Carburettor, Kit, KitFit, Maker, Mark, Reference
from floatbowl.reference.observed import Enquiry, Reading

WAYS: Final = ("cells, all photographs", "cells, plain photograph", "typed from the plain photograph")


@dataclass(frozen=True, slots=True)
class Weighed:
    """One plate: for each way of entering it, the likeliest kit, how likely, and whether it is right."""

    level: str
    kits: tuple[tuple[str, float, bool], ...]


def records(numbers: tuple[str, ...]) -> Reference:
    """A shop's records of these numbers."""
    keys = {number: f"c{i:04d}" for i, number in enumerate(numbers)}
    kits = {number: kit_of(number) for number in numbers}
    return Reference(
        makers=tuple(Maker(maker=f"m{i}", name=f"Maker {i}") for i in range(len(SHAPES))),
        carburettors=tuple(Carburettor(carburettor=keys[n], maker=f"m{shape_of(n)}", name=n) for n in numbers),
        marks=tuple(Mark(carburettor=keys[n], text=n, role="identifies") for n in numbers),
        kits=tuple(Kit(kit=k, name=f"Kit {k}", level="full") for k in sorted(set(kits.values()))),
        kit_fits=tuple(KitFit(kit=kits[n], carburettor=keys[n]) for n in numbers),
    )


def kit_of(number: str) -> str:
    """Numbers that differ in the last place only share a kit in threes."""
    plain = normalised(number)
    return f"{plain[:-1]}-{ord(plain[-1]) % 3}"


def shape_of(number: str) -> int:
    """Which maker's shape a number has."""
    if number[0] == "8" and number[1].isdigit():
        return 4
    if "." in number:
        return 2
    if "/" in number:
        return 0
    return 1 if " " in number else 3


def weighed(folder: Path, processes: int, plates: int) -> list[Weighed]:
    """The first so many sets of each level in the folder."""
    global _weigher
    seed = json.loads((folder / "run.json").read_text(encoding="utf-8"))["seed"]
    _weigher = Weigher(records(texts.catalogue(seed, CATALOGUE)))
    sets = sorted(each.parent for each in folder.glob("*/truth.json") if int(each.parent.name[-4:]) < plates)
    with multiprocessing.get_context("fork").Pool(processes) as pool:
        return pool.map(_weighed, sets, chunksize=1)


_weigher: Weigher | None = None


def _weighed(folder: Path) -> Weighed:
    from benchmarks.plates.calibrate import greedy
    from floatbowl.photo.cells import cells_of
    from floatbowl.photo.channels import line_channels
    from floatbowl.photo.reading import read_line, read_set
    from floatbowl.photo.sets import read_photo_set
    from floatbowl.photo.stock import read_picture

    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    photo_set = read_photo_set(folder, jobs=1)
    plain = plain_crop(photo_set)
    alone = line_channels(plain, np.zeros((0, *plain.shape), np.float32))
    lattice = read_line(alone)
    typed = greedy(read_picture(alone.planes[0])) or "?"
    readings = (
        Reading(cells=read_set(photo_set).cells, via="photo"),
        Reading(cells=cells_of(lattice.texts, lattice.probabilities), via="photo"),
        Reading(text=typed, via="photo"),
    )
    right = kit_of(truth["text"])
    return Weighed(folder.name.rsplit("-", 1)[0].replace("-", " "), tuple(_top_kit(each, right) for each in readings))


def _top_kit(reading: Reading, right: str) -> tuple[str, float, bool]:
    assert _weigher is not None
    top = (*_weigher.weigh(Enquiry(readings=(reading,))).kits(), None)[0]
    return (top.key, top.probability, top.key == right) if top else ("", 0.0, False)


def figures(plates: list[Weighed]) -> dict[str, Any]:
    """For each level and way: the right kit on top, and wrong ones among the 80 % surest."""
    found: dict[str, Any] = {}
    for level in (*dict.fromkeys(plate.level for plate in plates), "all"):
        some = [plate for plate in plates if level in (plate.level, "all")]
        for at, way in enumerate(WAYS):
            told = [Outcome(*plate.kits[at], unlisted=False, hybrid=False) for plate in some]
            found[f"{level}: {way}"] = {
                "plates": len(told),
                "right kit on top": round(sum(o.right for o in told) / len(told), 4),
                "wrong among the 80 % surest": round(wrong_among_surest(told), 4),
            }
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--plates", type=int, default=200, help="of each level")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--out", type=Path)
    args = parser.parse_args()
    told = figures(weighed(args.folder, args.processes, args.plates))
    print(json.dumps(told, indent=1))
    if args.out:
        args.out.write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
