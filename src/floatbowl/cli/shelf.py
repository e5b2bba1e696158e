"""``floatbowl shelf``: begin, count, sales and prices from files; what to buy, build and carry in ``shelf_plans``."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import IO, Any

import click

from floatbowl.cli import shelf_said as said
from floatbowl.cli.shelf_plans import backtest, build, buy, carry
from floatbowl.cli.shelf_said import WHO

OR_SAY_DAY = ", or say it with --day, such as --day 2026-03-09"


@click.group()
def shelf() -> None:
    """What lies on the shelf: counts, sales and prices in; what to buy, build and carry out."""


@shelf.command()
@said.shop_options
@click.option("--who", default=WHO, show_default=True, help="The name that stands beside each line.")
def begin(database: Path | None, as_json: bool, who: str) -> None:
    """Take the records' numbers on hand over as a first count, once; what was counted already stays."""
    said.open_shop(database)
    from floatbowl.shop.shelf.beginning import begin as begin_shelf

    begun = begin_shelf(who)
    left = [thing.key for thing in begun.not_whole]
    if as_json:
        said.show_json({"items": begun.items, "pieces": begun.pieces, "not_whole": left})
        return
    click.echo(f"{begun.items} items begun with {begun.pieces} pieces.")
    if left:
        click.echo(f"Left out, because their number is not whole: {', '.join(left)}. Count them.")


@shelf.command()
@said.shop_options
@said.file_options
@click.option("--day", type=click.DateTime(["%Y-%m-%d"]), help="The day of the count, where the table has none.")
def count(database: Path | None, as_json: bool, file: IO[bytes], answers: tuple[str, ...], who: str, day: Any) -> None:
    """Bring counts in from a CSV file or a spreadsheet: columns for item, quantity, place and day, in any order.

    The same file twice changes nothing; all rows are taken, or none. A count of an earlier day is held against what
    the ledger says lay there at the end of that day.
    """
    said.open_shop(database)
    from floatbowl.shop.shelf.importing import bring_in_counts
    from floatbowl.shop.shelf.things import things_now

    table = said.table_of(file, answers)
    counted_on = day.date() if day else None
    done = said.or_refuse(lambda: bring_in_counts(table, things_now(), who, counted_on, OR_SAY_DAY))
    said.say_brought_in(done, as_json, "counts")


@shelf.command()
@said.shop_options
@said.file_options
def sales(database: Path | None, as_json: bool, file: IO[bytes], answers: tuple[str, ...], who: str) -> None:
    """Bring sales in from a CSV file or a spreadsheet: columns for item, quantity, day and document, in any order.

    Sales of the day an item was first counted, or before, are history; later ones are taken off the shelf. The same
    file twice changes nothing; all rows are taken, or none.
    """
    said.open_shop(database)
    from floatbowl.shop.shelf.importing import bring_in_sales
    from floatbowl.shop.shelf.things import things_now

    table = said.table_of(file, answers)
    done = said.or_ask(lambda: bring_in_sales(table, things_now(), who, said.answers_of(answers)))
    said.say_brought_in(done, as_json, "sales")


@shelf.command()
@said.shop_options
@said.file_options
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
    said.open_shop(database)
    from floatbowl.shop.shelf.price_lists import bring_in_prices

    found = said.or_ask(
        lambda: bring_in_prices(
            Path(file.name).name,
            file.read(),
            supplier,
            said.answers_of(answers),
            who,
            since.date() if since else date.today(),
        )
    )
    told = {"new": found.new, "known": found.known, "left_out": found.left_out}
    if as_json:
        said.show_json(told)
        return
    click.echo(f"{found.new} prices new, {found.known} known already.")
    for line in found.left_out:
        click.echo(f"  left out: {line}")


for command in (buy, build, carry, backtest):
    shelf.add_command(command)
