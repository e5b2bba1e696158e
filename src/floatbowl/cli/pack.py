"""``floatbowl pack``: check what a pack holds, and move it into the shop's database and out again."""

from __future__ import annotations

from pathlib import Path
from typing import NoReturn

import click

DATABASE = click.option(
    "--database",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The shop's database file (default: the shop's own).",
)


@click.group()
def pack() -> None:
    """Check a reference pack, load it into the shop, save the shop's knowledge as one."""


@pack.command()
@click.argument("path", metavar="PACK", type=click.Path(path_type=Path))
def check(path: Path) -> None:
    """List every gap and contradiction in PACK (a folder, a .zip or an .xlsx workbook), each with file and line.

    Ends with 0 when nothing was found, 1 when something was, 2 when the pack cannot be read at all.
    """
    from floatbowl.reference.check import check as check_reference
    from floatbowl.reference.pack import PackFaults, read_pack

    try:
        findings = check_reference(read_pack(path))
    except PackFaults as faults:
        _stop(str(faults))
    for finding in findings:
        click.echo(str(finding))
    if findings:
        click.echo(f"{len(findings):,} found")
        raise SystemExit(1)
    click.echo("Nothing found: no gap, no contradiction.")


@pack.command()
@click.argument("path", metavar="PACK", type=click.Path(path_type=Path))
@DATABASE
@click.option("--who", default="", help="Who loads it, for the shop's record of changes (default: your login name).")
def load(path: Path, database: Path | None, who: str) -> None:
    """Load PACK into the shop's database, all of it or nothing."""
    from floatbowl.reference.facts import TABLES
    from floatbowl.reference.pack import PackFaults, read_pack

    try:
        reference = read_pack(path)
    except PackFaults as faults:
        _stop(str(faults))
    _open_shop(database)
    from floatbowl.shop.load import LoadError, load_reference

    try:
        load_reference(reference, who or _login_name())
    except LoadError as problem:
        _stop(f"{path}: {problem}")
    rows = sum(len(getattr(reference, table)) for table in TABLES)
    click.echo(f"Loaded {rows:,} rows: {len(reference.carburettors):,} carburettors, {len(reference.kits):,} kits.")


@pack.command()
@click.argument("path", metavar="PATH", type=click.Path(path_type=Path))
@DATABASE
def save(path: Path, database: Path | None) -> None:
    """Save all the shop knows as a pack at PATH: a folder, or a file ending in .zip or .xlsx."""
    from floatbowl.reference.pack import PackFaults, write_pack

    _open_shop(database)
    from floatbowl.shop.load import dump_reference

    reference = dump_reference()
    try:
        write_pack(reference, path)
    except PackFaults as faults:
        _stop(str(faults))
    except OSError as problem:
        _stop(f"{path}: cannot be written: {problem.strerror or problem}")
    click.echo(f"Saved {len(reference.carburettors):,} carburettors and {len(reference.kits):,} kits to {path}.")


def _open_shop(database: Path | None) -> None:
    """Reach the shop's database, made new where there is none."""
    from django.db import DatabaseError

    from floatbowl.shop.setup import prepare

    try:
        prepare(database)
    except (OSError, DatabaseError) as problem:
        _stop(f"{database or 'the database'}: cannot be opened ({problem}); check the path and its folder")


def _login_name() -> str:
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "command line"


def _stop(says: str) -> NoReturn:
    click.echo(says, err=True)
    raise SystemExit(2)
