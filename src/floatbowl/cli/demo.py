"""``floatbowl demo``: the invented shop, its twelve stories weighed, and its pages."""

from __future__ import annotations

import shutil
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from floatbowl.identify.weigh import Weigher
    from floatbowl.reference.facts import Reference

FOLDER = Path("demo-shop")
DATABASE = "floatbowl.sqlite3"
#: Files a database leaves beside itself; they belong to it and go with it.
BESIDE = ("", "-wal", "-shm", "-journal")
WHO = "The demo"


@click.command()
@click.option("--serve/--no-serve", "serving", default=True, help="Serve the pages afterwards, or stop.")
@click.option(
    "--database", type=click.Path(path_type=Path, dir_okay=False), help="A new file (default: in demo-shop/)."
)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True, help="0 takes any free port.")
def demo(serving: bool, database: Path | None, host: str, port: int) -> None:
    """Load the invented shop into a new database, weigh its stories, print the answers and serve the pages.

    Everything in it is invented: the shop, its people, makers, machines and numbers.
    """
    from floatbowl.identify.weigh import Weigher

    reference = _reference()
    database = _new_database(database)
    _load(reference, database)
    _tell(Weigher(reference))
    if serving:
        _serve(database, host, port)
    else:
        click.echo(f"The shop's database is {database}. Serve its pages with: floatbowl serve --database {database}")


def _reference() -> Reference:
    from floatbowl.reference.pack import read_pack

    with resources.as_file(resources.files("floatbowl.demo").joinpath("pack")) as pack:
        return read_pack(pack)


def _new_database(named: Path | None) -> Path:
    """The demo's own file is made anew each time; a file somebody names is never replaced."""
    if named is not None:
        if named.exists():
            raise click.ClickException(f"{named} is there already. The demo wants a new file: name another, or none.")
        return named
    database = FOLDER / DATABASE
    if database.exists():
        click.echo(f"The demo shop of last time ({database}) is replaced by a new one.")
    for ending in BESIDE:
        database.with_name(database.name + ending).unlink(missing_ok=True)
    # Only the folder beside the demo's own file: one that is named in the environment is somebody's.
    shutil.rmtree(database.with_name(database.name + ".photographs"), ignore_errors=True)
    return database


def _load(reference: Reference, database: Path) -> None:
    from floatbowl.shop.setup import prepare

    try:
        database.parent.mkdir(parents=True, exist_ok=True)
        prepare(database)
    except OSError as fault:
        raise click.ClickException(
            f"{database.parent} cannot be used: {fault}. Name a file with --database."
        ) from fault
    from floatbowl.shop.load import load_reference

    load_reference(reference, WHO)
    from floatbowl.cli.demo_jobs import put_on_the_bench
    from floatbowl.cli.demo_office import open_the_office

    jobs = put_on_the_bench()
    open_the_office()
    click.echo(
        f"Nettlebeck Carburettor Room, an invented shop: {len(reference.carburettors)} carburettors of "
        f"{len(reference.makers)} makers, {len(reference.kits)} kits and {len(reference.machines)} machines, "
        f"loaded into {database}; {jobs} jobs on its bench.\n"
    )


def _tell(weigher: Weigher) -> None:
    from rich.padding import Padding
    from rich.text import Text

    from floatbowl.cli.demo_photographs import tell_photographs
    from floatbowl.cli.show import console, show_briefly
    from floatbowl.demo.stories import enquiry_after, read_stories
    from floatbowl.identify.consult import consult

    to = console()
    for story in read_stories():
        to.print(Text(f"{story.key.removeprefix('S')}. {story.title}", style="bold underline"))
        to.print(Padding(Text(story.told, style="italic"), (0, 0, 0, 2)))
        show_briefly(consult(weigher, enquiry_after(story.key, story.steps)), weigher, to)
    tell_photographs(weigher, to)


def _serve(database: Path, host: str, port: int) -> None:
    from floatbowl.cli.serve import serve

    # Called as from the command line, so that the two never differ.
    serve.main(["--database", str(database), "--host", host, "--port", str(port)], standalone_mode=False)
