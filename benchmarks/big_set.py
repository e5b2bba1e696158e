"""How long a whole set of 1 + 8 photographs of 12 megapixels takes from the files to the reading, and its memory.

    python -m benchmarks.big_set FOLDER [--times 3] [--level worn]

Renders the set into FOLDER where it is not there yet (fonts: ``benchmarks.plates.fonts``), then reads it in a process
of its own each time, networks loaded and compiled beforehand with a small set. Told are the clock, the processor's
time, the largest memory of the process, and how busy the machine was just before.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import time
from pathlib import Path
from typing import Final

SIZE: Final = (4000, 3000)
SMALL: Final = (1200, 900)
#: A seed of no table.
SEED: Final = 770_001
PLACE: Final = 5000


def rendered(folder: Path, level: str, size: tuple[int, int]) -> Path:
    """The set of this size, drawn where it is missing."""
    target = folder / f"{level.replace(' ', '-')}-{size[0]}"
    if not (target / "truth.json").exists():
        from benchmarks.plates.photographs import numbered_set

        numbered_set(target, level, SEED, PLACE, size)
    return target


def read(small: Path, big: Path) -> tuple[float, float, float, str]:
    """Seconds by the clock and of the processor, megabytes, and what was read, in this process."""
    from floatbowl.photo.reading import read_set
    from floatbowl.photo.sets import read_photo_set

    read_set(read_photo_set(small))
    clock, busy = time.perf_counter(), time.process_time()
    text = read_set(read_photo_set(big)).text
    took = time.perf_counter() - clock, time.process_time() - busy
    return *took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, text


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--times", type=int, default=3)
    parser.add_argument("--level", default="worn")
    args = parser.parse_args()
    small, big = (rendered(args.folder, args.level, size) for size in (SMALL, SIZE))
    for _ in range(args.times):
        load = os.getloadavg()[0]
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            clock, busy, megabytes, text = pool.apply(read, (small, big))
        print(
            f"{clock:.2f} s by the clock, {busy:.2f} s of processor, {megabytes:.0f} MB, read {text}; load {load:.2f}"
        )


if __name__ == "__main__":
    main()
