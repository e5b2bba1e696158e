"""``floatbowl read``: what the marks in photo sets say, one line of JSON a set."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from floatbowl.cli.identify import MOST_TOLD, open_weigher, refuse
from floatbowl.cli.output import whole_or_nothing

if TYPE_CHECKING:
    from rich.progress import Progress

    from floatbowl.cli.ranking import Ranking

LISTING = "set.json"
#: Fewer sets than this are read before a bar is of use.
WORTH_A_BAR = 3


@click.command()
@click.argument("sets", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--out", required=True, help="Where the readings go, - for the standard output.")
@click.option("--pack", help="What the shop knows: its marks are ranked by how well they fit the photographs.")
def read(sets: tuple[Path, ...], out: str, pack: str | None) -> None:
    """Read the marks in photo sets: folders with a set.json, or folders of such folders.

    Ends with 0 when every set was read, 2 when nothing could be written (one line for each fault), 3 when some sets
    could not be read; these have their places in the readings, with what is wrong.
    """
    folders = [folder for each in sets for folder in folders_of(each)]
    if not folders:
        refuse(f"{sets[0]}: holds no photo set; name a folder with a {LISTING}, or a folder of such folders")
    ready()
    ranking = ranking_of(pack) if pack else None
    failed = 0
    try:
        with whole_or_nothing(out) as file, progress_bar(len(folders)) as bar:
            task = bar.add_task("Reading", total=len(folders))
            for at, folder in enumerate(folders, start=1):
                result = result_of(folder, at, ranking)
                file.write(json.dumps(result, ensure_ascii=False) + "\n")
                if "error" in result:
                    failed += 1
                if "error" in result and failed <= MOST_TOLD:
                    bar.console.print(f"{folder}: {result['error']}", soft_wrap=True)
                bar.advance(task)
    except BrokenPipeError:
        raise  # Nobody reads any more: click ends the program.
    except OSError as fault:
        refuse(f"{out}: cannot be written: {fault.strerror or fault}; name another file with --out")
    if failed:
        says = f"{failed:,} of {len(folders):,} sets could not be read; see their places in the readings."
        click.echo(says, err=True)
        raise SystemExit(3)


def folders_of(folder: Path) -> Iterator[Path]:
    """The folder itself, or the sets in it by name. One that is neither is kept, to be told."""
    inside = sorted(each.parent for each in folder.glob(f"*/{LISTING}"))
    if (folder / LISTING).exists() or not inside:
        yield folder
    else:
        yield from inside


def ready() -> None:
    """Refuses before any work where the extra ``photo`` is not installed."""
    try:
        from floatbowl.photo import aligning, network, stock  # noqa: F401
    except ImportError as missing:
        refuse(f"reading photographs needs the package {missing.name}; install floatbowl[photo]")


def ranking_of(pack: str) -> Ranking:
    from floatbowl.cli.ranking import Ranking

    return Ranking(open_weigher(pack))


def result_of(folder: Path, number: int, ranking: Ranking | None) -> dict[str, Any]:
    """One line of readings, or what is wrong with the set."""
    from floatbowl.photo.opening import PhotographError
    from floatbowl.photo.reading import read_set
    from floatbowl.photo.sets import read_photo_set

    name = folder.name or folder.resolve().name
    try:
        found = read_set(read_photo_set(folder))
    except PhotographError as fault:
        return {"set": name, "line": number, "error": str(fault)}
    except Exception as fault:  # One set that trips the reader must not cost the other thousand.
        return {"set": name, "line": number, "error": f"cannot be read ({type(fault).__name__}: {fault})"}
    result: dict[str, Any] = {
        "set": name,
        "text": found.text,
        "cells": [dict(cell) for cell in found.cells],
        "confidence": round(found.confidence, 4),
        "form": found.form,
    }
    if found.faults:
        result["faults"] = [{"photograph": f.photograph, "kind": f.kind, "says": f.says} for f in found.faults]
    if ranking is not None:
        result["ranking"] = ranking.rows(found)
    return result


def progress_bar(count: int) -> Progress:
    """A bar on standard error, shown only on a terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    to = Console(stderr=True, markup=False, highlight=False, emoji=False)
    return Progress(
        TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
        console=to, disable=count < WORTH_A_BAR or not to.is_terminal, transient=True,
    )  # fmt: skip
