"""What the commands of ``floatbowl shelf`` share: their options, opening the shop, asking, and showing."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from floatbowl.shelf.supplier_list import Asked

WHO = "the command line"
Rows = Sequence[Sequence[object]]


def shop_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options that every command of the shelf has."""
    database = click.option(
        "--database", type=click.Path(path_type=Path, dir_okay=False), help="The shop's database file."
    )
    as_json = click.option("--json", "as_json", is_flag=True, help="One JSON object instead of tables.")
    return database(as_json(command))


def file_options(command: Callable[..., None]) -> Callable[..., None]:
    """Options of a command that reads a file and may have to ask."""
    file = click.argument("file", type=click.File("rb"))
    answer = click.option(
        "--answer", "answers", multiple=True, metavar="QUESTION=ANSWER", help="Answers what the file left open."
    )
    who = click.option("--who", default=WHO, show_default=True, help="The name that stands beside each line.")
    return file(answer(who(command)))


def open_shop(database: Path | None) -> None:
    from floatbowl.shop.setup import prepare

    if database is not None and not database.is_file():
        refuse(f"{database}: is not there; name the shop's database")
    try:
        prepare(database)
    except OSError as fault:
        refuse(f"the database cannot be used: {fault}; name another with --database")


def answers_of(told: tuple[str, ...]) -> dict[str, str]:
    found = {}
    for one in told:
        question, sign, answer = one.partition("=")
        if not sign:
            raise click.UsageError(f"--answer {one!r}: write QUESTION=ANSWER, such as 'decimal mark=comma'")
        found[question.strip()] = answer.strip()
    return found


def table_of(file: IO[bytes], answers: tuple[str, ...]) -> Any:
    """What the file says; where something must be asked first, asks it and stops."""
    from floatbowl.shop.shelf.tables import cells_of, read_table

    told = answers_of(answers)
    cells = or_ask(lambda: cells_of(Path(file.name).name, file.read(), told))
    return or_ask(lambda: read_table(cells, told))


def ask(asked: Asked) -> NoReturn:
    """Print all that must be answered, and how, with one line of answers to begin with; nothing was brought in."""
    for question in asked.questions:
        click.echo(question.asks, err=True)
        for choice in question.choices:
            click.echo(f"  {_answer(question.key, choice.answer)}   {choice.shows}", err=True)
    click.echo("nothing was brought in yet: run it again with one answer to each, such as", err=True)
    refuse("  " + " ".join(_answer(*pair) for pair in _one_answer_each(asked)))


def _one_answer_each(asked: Asked) -> list[tuple[str, str]]:
    """The first choice of each question; of columns that may be the same thing one only, the others are left out."""
    from floatbowl.shop.shelf.columns import LEAVE_OUT

    taken: set[str] = set()
    pairs = []
    for question in asked.questions:
        answers = [choice.answer for choice in question.choices]
        first = LEAVE_OUT if LEAVE_OUT in answers and answers[0] in taken else answers[0]
        taken |= {first} if LEAVE_OUT in answers else set()
        pairs.append((question.key, first))
    return pairs


def _answer(question: str, answer: str) -> str:
    """An answer as it is typed at a shell."""
    return f"--answer {shlex.quote(f'{question}={answer}')}"


def or_ask(do: Callable[[], Any]) -> Any:
    """What it gives; where it must ask first, asks it and stops."""
    found = or_refuse(do)
    if hasattr(found, "questions"):
        ask(found)
    return found


def or_refuse(do: Callable[[], Any]) -> Any:
    """What it gives; where it cannot be, says why, each fault of a table on a line of its own, and stops."""
    try:
        return do()
    except ValueError as wrong:  # Refused is one
        faults = getattr(wrong, "faults", ())
        refuse("\n  ".join(["nothing was brought in.", *faults]) if len(faults) > 1 else str(wrong))


def say_brought_in(done: Any, as_json: bool, what: str) -> None:
    if as_json:
        told = {"new": done.new, "known": done.known, "history": done.history, "left_out": done.left_out}
        show_json(told | ({"earlier": done.earlier} if done.earlier else {}))
        return
    history = f", {done.history} kept as history only" if done.history else ""
    click.echo(f"{done.new} {what} new{history}, {done.known} known already.")
    for line in done.earlier:
        click.echo(f"  {line}")
    for line in done.left_out:
        click.echo(f"  left out: {line}")


def show_table(heads: tuple[str, ...], rows: Rows, empty: str) -> None:
    from rich.table import Table
    from rich.text import Text

    from floatbowl.cli.show import console

    if not rows:
        click.echo(empty)
        return
    table = Table(*heads, box=None, pad_edge=False, header_style="bold")
    for row in rows:
        table.add_row(*(Text(str(cell)) for cell in row))
    console().print(table)


def show_json(told: dict[str, Any]) -> None:
    click.echo(json.dumps(told, ensure_ascii=False, indent=2))


def refuse(says: str) -> NoReturn:
    click.echo(says, err=True)
    raise SystemExit(2)
