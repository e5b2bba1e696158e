"""``floatbowl shelf``: begin, count, sales and prices from files, what to buy, build and carry, and a backtest."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from floatbowl.shelf.supplier_list import Asked

WHO = "the command line"
Rows = Sequence[Sequence[object]]


@click.group()
def shelf() -> None:
    """What lies on the shelf: counts, sales and prices in; what to buy, build and carry out."""


def _shop(command: Callable[..., None]) -> Callable[..., None]:
    """The options that every command of the shelf has."""
    database = click.option(
        "--database", type=click.Path(path_type=Path, dir_okay=False), help="The shop's database file."
    )
    as_json = click.option("--json", "as_json", is_flag=True, help="One JSON object instead of tables.")
    return database(as_json(command))


def _asks(command: Callable[..., None]) -> Callable[..., None]:
    """Options of a command that reads a file and may have to ask."""
    file = click.argument("file", type=click.File("rb"))
    answer = click.option(
        "--answer", "answers", multiple=True, metavar="QUESTION=ANSWER", help="Answers what the file left open."
    )
    who = click.option("--who", default=WHO, show_default=True, help="The name that stands beside each line.")
    return file(answer(who(command)))


@shelf.command()
@_shop
@click.option("--who", default=WHO, show_default=True, help="The name that stands beside each line.")
def begin(database: Path | None, as_json: bool, who: str) -> None:
    """Take the records' numbers on hand over as a first count, once; what was counted already stays."""
    _open(database)
    from floatbowl.shop.shelf.beginning import begin as begin_shelf

    begun = begin_shelf(who)
    left = [thing.key for thing in begun.not_whole]
    if as_json:
        _json({"items": begun.items, "pieces": begun.pieces, "not_whole": left})
        return
    click.echo(f"{begun.items} items begun with {begun.pieces} pieces.")
    if left:
        click.echo(f"Left out, because their number is not whole: {', '.join(left)}. Count them.")


@shelf.command()
@_shop
@_asks
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="The day of the count, where the table has none.")
def count(database: Path | None, as_json: bool, file: IO[bytes], answers: tuple[str, ...], who: str, day: Any) -> None:
    """Bring counts in from a CSV file or a spreadsheet: columns for item, quantity, place and day, in any order.

    The same file twice changes nothing; all rows are taken, or none.
    """
    _open(database)
    from floatbowl.shop.shelf.importing import bring_in_counts
    from floatbowl.shop.shelf.things import things_now

    rows = _table(file, answers)
    done = _or_refuse(lambda: bring_in_counts(rows, things_now(), who, day.date() if day else None))
    _brought_in(done, as_json, "counts")


@shelf.command()
@_shop
@_asks
def sales(database: Path | None, as_json: bool, file: IO[bytes], answers: tuple[str, ...], who: str) -> None:
    """Bring sales in from a CSV file or a spreadsheet: columns for item, quantity, day and document, in any order.

    Sales of the day an item was first counted, or before, are history; later ones are taken off the shelf. The same
    file twice changes nothing; all rows are taken, or none.
    """
    _open(database)
    from floatbowl.shop.shelf.importing import bring_in_sales
    from floatbowl.shop.shelf.things import things_now

    rows = _table(file, answers)
    done = _or_refuse(lambda: bring_in_sales(rows, things_now(), who))
    _brought_in(done, as_json, "sales")


@shelf.command()
@_shop
@_asks
@click.option("--supplier", required=True, help="The supplier's name, as it stands on the Suppliers page.")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="The day the prices hold from (default: today).")
def prices(
    database: Path | None,
    as_json: bool,
    file: IO[bytes],
    answers: tuple[str, ...],
    who: str,
    supplier: str,
    since: Any,
) -> None:
    """Bring a supplier's price list in; what it does not say beyond doubt is asked, not guessed."""
    _open(database)
    from floatbowl.shop.shelf.price_lists import bring_in_prices

    found = _or_refuse(
        lambda: bring_in_prices(
            Path(file.name).name, file.read(), supplier, _answers(answers), who, since.date() if since else date.today()
        )
    )
    if not hasattr(found, "new"):
        _ask(found)
    told = {"new": found.new, "known": found.known, "left_out": found.left_out}
    if as_json:
        _json(told)
        return
    click.echo(f"{found.new} prices new, {found.known} known already.")
    for line in found.left_out:
        click.echo(f"  left out: {line}")


@shelf.command()
@_shop
@click.option("--filled", type=click.FloatRange(50, 99), default=90, show_default=True, help="Orders to fill, of 100.")
@click.option("--review", type=click.FloatRange(0.25, 12), default=1, show_default=True, help="Months between looks.")
def buy(database: Path | None, as_json: bool, filled: float, review: float) -> None:
    """What to buy from whom, how many, and why."""
    _open(database)
    from floatbowl.shop.shelf.buying import terms_now
    from floatbowl.shop.shelf.expected import expected
    from floatbowl.shop.shelf.on_hand import all_stands
    from floatbowl.shop.shelf.suggesting import Rule, what_to_buy
    from floatbowl.shop.shelf.things import things_now

    things = things_now()
    rule = Rule(filled=filled / 100, review_months=review)
    groups = _or_refuse(lambda: what_to_buy(things, all_stands(things), expected(things), terms_now(), rule))
    lines = [(group.supplier.name if group.supplier else "", line) for group in groups for line in group.lines]
    if as_json:
        names = ("supplier", "kind", "key", "pieces", "level", "price", "why")
        rows = [_bought(*line) for line in lines]
        _json({"lines": [dict(zip(names, row, strict=True)) for row in rows]})
        return
    _table_of(
        ("Supplier", "Item", "Pieces", "Each", "Why"),
        [(name or "none written down", line.thing.name, line.filled, line.price, line.why) for name, line in lines],
        "Nothing to buy.",
    )


def _bought(supplier: str, line: Any) -> tuple[object, ...]:
    return supplier, line.thing.kind, line.thing.key, line.filled, line.level, line.price, line.why


@shelf.command()
@_shop
@click.option("--hours", type=click.FloatRange(0, 1000), help="Bench hours there are (default: as many as it takes).")
@click.option("--minutes", type=click.FloatRange(0.1, 600), default=6, show_default=True, help="Minutes for one kit.")
@click.option("--months", type=click.FloatRange(0.1, 24), default=1, show_default=True, help="Months they are to last.")
@click.option("--aim", type=click.Choice(["earn", "fill"]), default="earn", show_default=True)
def build(database: Path | None, as_json: bool, hours: float | None, minutes: float, months: float, aim: Any) -> None:
    """Which kits to build now from the loose parts: the best plan, and the simple rule's beside it."""
    _open(database)
    from floatbowl.shop.models.shelf import KIT
    from floatbowl.shop.shelf.expected import expected
    from floatbowl.shop.shelf.on_hand import all_stands
    from floatbowl.shop.shelf.planning import Asking, plan
    from floatbowl.shop.shelf.things import things_now

    things = things_now()
    asking = Asking(hours=hours, minutes=minutes, months=months, aim=aim)
    found = _or_refuse(lambda: plan(asking, things, all_stands(things), expected(things))).plan
    best, simple = dict(found.best.build), dict(found.simple.build)
    if as_json:
        _json(
            {
                "build": best,
                "gains": found.best.gains,
                "minutes": found.best.minutes,
                "bound": found.bound,
                "gap": found.gap,
                "proven": found.proven,
                "simple": {"build": simple, "gains": found.simple.gains, "minutes": found.simple.minutes},
            }
        )
        return
    rows = [(things.of(KIT, kit).name, best.get(kit, 0), simple.get(kit, 0)) for kit in dict.fromkeys([*best, *simple])]
    _table_of(("Kit", "Build", "Simple rule"), rows, "Nothing to build.")
    proof = "no plan does better" if found.proven else f"a better one may exist, by at most {found.gap:.1%}"
    click.echo(f"Gains {found.best.gains:.2f} in {found.best.minutes:.0f} minutes: {proof}.")
    click.echo(f"The simple rule gains {found.simple.gains:.2f} in {found.simple.minutes:.0f} minutes.")


@shelf.command()
@_shop
@click.option("--months", type=click.IntRange(1, 240), default=24, show_default=True, help="Enquiries so far back.")
def carry(database: Path | None, as_json: bool, months: int) -> None:
    """The fewest kits that answer 80, 90 and 95 in 100 enquiries, and what one more on hand would add."""
    _open(database)
    from floatbowl.shop.models.shelf import KIT
    from floatbowl.shop.shelf.carrying import what_to_carry
    from floatbowl.shop.shelf.on_hand import all_stands
    from floatbowl.shop.shelf.things import things_now

    things = things_now()
    found = what_to_carry(things, all_stands(things), months)
    if found is None:
        _refuse("no enquiry of that time had a carburettor read back, so nothing says which kits were wanted")
    if as_json:
        _json(
            {
                "enquiries": found.enquiries,
                "sets": [
                    {"share": one.share, "kits": one.kits, "covered": one.covered, "proven": one.proven}
                    for one in found.sets
                ],
                "one_more": [{"kit": one.kit, "adds": one.adds, "share_then": one.share_then} for one in found.more],
                "lost_but_fillable": [{"enquiry": one.enquiry, "kits": kits} for one, kits in found.lost],
            }
        )
        return
    for one in found.sets:
        proof = "no smaller set does" if one.proven else f"at least {one.at_least} are needed"
        click.echo(f"{len(one.kits)} kits answer {one.covered} of {one.enquiries} ({one.share:.0%} wanted): {proof}.")
        click.echo(f"  {', '.join(one.kits)}")
    rows = [(things.of(KIT, one.kit).name, one.adds, f"{one.share_then:.0%}") for one in found.more]
    _table_of(("One more kit", "Adds", "Answered then"), rows, "Every enquiry is answered by a kit on hand.")


@shelf.command()
@_shop
@click.option("--months", type=click.IntRange(1, 24), default=4, show_default=True, help="Months of each forecast.")
@click.option("--times", type=click.IntRange(1, 36), default=6, show_default=True, help="Past times it is tried at.")
def backtest(database: Path | None, as_json: bool, months: int, times: int) -> None:
    """Hold the ways of forecasting against this shop's own past: which would have told it best."""
    _open(database)
    from floatbowl.shelf.choosing import choose
    from floatbowl.shop.shelf.expected import expected
    from floatbowl.shop.shelf.things import things_now

    found = expected(things_now())
    if found is None:
        _refuse("nothing was asked of the shelf yet; bring in past sales with: floatbowl shelf sales FILE")
    choice = _or_refuse(lambda: choose(found.asked.orders, months, times, found.group))
    if as_json:
        origins = [found.asked.month_begins(month).isoformat() for month in choice.origins]
        _json({"method": choice.method, "scores": dict(choice.scores), "origins": origins, "why": choice.why})
        return
    _table_of(
        ("Way of forecasting", "Missed by, units (less is better)"),
        [(name, f"{score:.4f}") for name, score in sorted(choice.scores.items(), key=lambda one: one[1])],
        "Not compared.",
    )
    click.echo(f"Taken: {choice.method}. {choice.why[:1].upper()}{choice.why[1:]}.")


def _open(database: Path | None) -> None:
    from floatbowl.shop.setup import prepare

    if database is not None and not database.is_file():
        _refuse(f"{database}: is not there; name the shop's database")
    try:
        prepare(database)
    except OSError as fault:
        _refuse(f"the database cannot be used: {fault}; name another with --database")


def _answers(told: tuple[str, ...]) -> dict[str, str]:
    found = {}
    for one in told:
        question, sign, answer = one.partition("=")
        if not sign:
            raise click.UsageError(f"--answer {one!r}: write QUESTION=ANSWER, such as 'decimal mark=comma'")
        found[question.strip()] = answer.strip()
    return found


def _table(file: IO[bytes], answers: tuple[str, ...]) -> Any:
    """The rows of the file; where something must be asked first, asks it and stops."""
    from floatbowl.shop.shelf.tables import cells_of, read_table

    told = _answers(answers)
    cells = _or_refuse(lambda: cells_of(Path(file.name).name, file.read(), told))
    if hasattr(cells, "questions"):
        _ask(cells)
    rows = _or_refuse(lambda: read_table(cells, told))
    if hasattr(rows, "questions"):
        _ask(rows)
    return rows


def _ask(asked: Asked) -> NoReturn:
    """Print what must be answered, and how; nothing was brought in."""
    for question in asked.questions:
        click.echo(question.asks, err=True)
        for choice in question.choices:
            click.echo(f"  --answer '{question.key}={choice.answer}'   {choice.shows}", err=True)
    _refuse("nothing was brought in yet: answer as shown and run it again")


def _or_refuse(do: Callable[[], Any]) -> Any:
    try:
        return do()
    except ValueError as wrong:  # Refused is one
        _refuse(str(wrong))


def _brought_in(done: Any, as_json: bool, what: str) -> None:
    if as_json:
        _json({"new": done.new, "known": done.known, "history": done.history, "left_out": done.left_out})
        return
    history = f", {done.history} kept as history only" if done.history else ""
    click.echo(f"{done.new} {what} new{history}, {done.known} known already.")
    for line in done.left_out:
        click.echo(f"  left out: {line}")


def _table_of(heads: tuple[str, ...], rows: Rows, empty: str) -> None:
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


def _json(told: dict[str, Any]) -> None:
    click.echo(json.dumps(told, ensure_ascii=False, indent=2))


def _refuse(says: str) -> NoReturn:
    click.echo(says, err=True)
    raise SystemExit(2)
