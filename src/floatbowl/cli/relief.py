"""``floatbowl relief``: from photographs under a torch to pictures in which a mark stands out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.progress import Progress

    from floatbowl.photo.relief import Relief
    from floatbowl.photo.sets import PhotoSet


@click.command()
@click.argument("sets", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="SET...")
@click.option("--out", required=True, type=click.Path(path_type=Path, file_okay=False), help="Folder for the pictures.")
def relief(sets: tuple[Path, ...], out: Path) -> None:
    """Turn photo sets into pictures of the plate's relief.

    Each SET is a folder with photographs and their set.json. Written into the folder given with --out (with several
    sets: into a folder for each): plate.png (straightened), relief.png (sunk dark, raised bright), normals.png (red to
    the right, green down, blue towards you) and relight.html, a page that moves a light over the plate.

    Ends with 0 when every set gave a relief, 3 when some did not, 2 when none did; each that did not is named.
    """
    failed = 0
    places = _places(sets, out)
    with _bar(len(sets)) as bar:
        task = bar.add_task("Working out reliefs", total=len(sets))
        for folder, place in zip(sets, places, strict=True):
            for sentence in _one(folder, place):
                bar.console.print(f"{folder}: {sentence.says}", soft_wrap=True)
                failed += sentence.fatal
            bar.advance(task)
    if failed:
        click.echo(f"{failed:,} of {len(sets):,} sets gave no relief.", err=True)
        raise SystemExit(2 if failed == len(sets) else 3)


class _Said:
    """A sentence about a set; ``fatal`` when it is why the set gave nothing."""

    def __init__(self, says: str, fatal: bool = False) -> None:
        self.says, self.fatal = says, fatal


def _places(sets: tuple[Path, ...], out: Path) -> list[Path]:
    """A folder for each set, named after it; sets of one name get a number."""
    if len(sets) == 1:
        return [out]
    names = [folder.resolve().name or "set" for folder in sets]
    return [
        out / (name if names.count(name) == 1 else f"{name}-{names[:at].count(name) + 1}")
        for at, name in enumerate(names)
    ]


def _one(folder: Path, place: Path) -> list[_Said]:
    from floatbowl.photo.opening import PhotographError
    from floatbowl.photo.sets import read_photo_set

    try:
        return _written(read_photo_set(folder), place)
    except PhotographError as fault:
        return [_Said(str(fault), fatal=True)]
    except OSError as fault:
        return [_Said(f"{place} cannot be written ({fault.strerror or fault}): name another folder with --out.", True)]
    except Exception as fault:  # One set that trips the work must not cost the other thousand.
        return [_Said(f"cannot be worked out ({type(fault).__name__}: {fault}).", fatal=True)]


def _written(photo_set: PhotoSet, place: Path) -> list[_Said]:
    from floatbowl.photo.aligning import align
    from floatbowl.photo.faults import faults_of_moves, few_torches, take_again
    from floatbowl.photo.relief import relief_of

    moves = align(photo_set.plain[0], photo_set.raking, photo_set.corners)
    told = relief_of(photo_set, moves)
    faults = faults_of_moves(moves)
    if told is None:
        says = take_again(faults) or few_torches(0) or ""
        return [_Said(says, fatal=True)]
    sentences = [fault.says for fault in faults]
    few = few_torches(told.torches)
    sentences += [few] if few else []
    if told.straight.found == "none":
        sentences.append(
            "No plate's outline was found, so the whole photograph is shown; set.json may name its corners."
        )
    _write(told, photo_set.name, sentences, place)
    return [_Said(sentence) for sentence in sentences]


def _write(told: Relief, name: str, sentences: list[str], place: Path) -> None:
    from floatbowl.photo.opening import as_png
    from floatbowl.photo.relief import normals_picture, relief_picture
    from floatbowl.photo.relight_page import relight_page

    place.mkdir(parents=True, exist_ok=True)
    (place / "plate.png").write_bytes(as_png(told.straight.plain))
    (place / "relief.png").write_bytes(as_png(relief_picture(told)))
    (place / "normals.png").write_bytes(as_png(normals_picture(told.normals)))
    (place / "relight.html").write_text(relight_page(told, name, sentences), encoding="utf-8")


def _bar(count: int) -> Progress:
    """A bar on standard error, only on a terminal; sentences about sets go there too."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    to = Console(stderr=True, markup=False, highlight=False, emoji=False)
    return Progress(
        TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
        console=to, disable=count < 2 or not to.is_terminal, transient=True,
    )  # fmt: skip
