"""What was worked out, printed for a person: the sentence first, then figures, tables and what to mind."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from floatbowl.cli.show import console
from floatbowl.work_out.as_json import shown_ask
from floatbowl.work_out.calculation import DIRECTION_ONLY
from floatbowl.work_out.spoken import spoken

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

    from floatbowl.work_out import calculation as c
    from floatbowl.work_out.asking import Outcome
    from floatbowl.work_out.everything import Group
    from floatbowl.work_out.spoken import Lengths

GIVE_OR_TAKE: Final = "Give or take, and between: 19 times in 20 the true figure lies within."


def show_list(groups: Iterable[Group]) -> None:
    """Every calculation under its group, with the key it is asked for by."""
    to = console()
    table = _table()
    for group in groups:
        table.add_row(Text(group.title, style="bold underline"), "")
        for one in group.calculations:
            table.add_row(Text(f"  {one.key}", style="bold"), one.title)
    to.print(table)
    to.print(Text("\nWork one out with 'floatbowl work-out KEY'; 'floatbowl work-out KEY --help' says what it asks."))


def show(calculation: c.Calculation, outcome: Outcome, lengths: Lengths, how: bool) -> None:
    """Everything there is to say about one answer."""
    answer = outcome.answer
    if answer is None:
        return
    to = console()
    if outcome.is_example:
        to.print(Text("An example with usual figures, since nothing was told:"))
    to.print(Text(answer.says, style="bold"))
    to.print()
    _block(to, "Figures", _figures(answer, lengths))
    for table in answer.tables:
        _block(to, table.says, _rows(table))
    _block(to, "Note", _lines(note for note in answer.notes if note != DIRECTION_ONLY))
    _block(to, "Worked out from", _asked(calculation, outcome, lengths, True))
    _block(to, "Taken as usual, since nothing was told", _asked(calculation, outcome, lengths, False))
    if not calculation.validated:
        _block(to, "How far to trust it", Text(DIRECTION_ONLY, style="bold"))
    _block(to, "Mind", _cautions(calculation))
    if how:
        _block(to, "How it is worked out", _how(calculation))
    if any(figure.sd for figure in answer.figures):
        to.print(Text(GIVE_OR_TAKE, style="dim"))


def _block(to: Console, title: str, block: RenderableType | None) -> None:
    if block is not None:
        if title:
            to.print(Text(title, style="bold underline"))
        to.print(Padding(block, (0, 0, 1, 2)))


def _figures(answer: c.Answer, lengths: Lengths) -> RenderableType | None:
    table = _table()
    for figure in answer.figures:
        table.add_row(figure.says, Text(spoken(figure, lengths), style="bold"))
    return table if answer.figures else None


def _rows(table: c.Table) -> Table:
    shown = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="dim", show_header=any(table.heads))
    for head in table.heads:
        shown.add_column(head, overflow="fold")
    for row in table.rows:
        shown.add_row(*row)
    return shown


def _asked(calculation: c.Calculation, outcome: Outcome, lengths: Lengths, told: bool) -> RenderableType | None:
    table = _table()
    for ask in calculation.asks:
        shown = shown_ask(ask, outcome, lengths)
        if shown and (ask.name in outcome.told) is told:
            table.add_row(ask.says, shown)
    return table if table.row_count else None


def _cautions(calculation: c.Calculation) -> RenderableType | None:
    if not calculation.cautions:
        return None
    said = [Text(mind.says, style="bold") + Text(f"\n{mind.defers}") for mind in calculation.cautions]
    return Text("\n").join(said)


def _how(calculation: c.Calculation) -> Table:
    table = _table()
    for label, says in (
        ("Equation", calculation.equation),
        ("Holds", calculation.holds),
        ("Source", calculation.source),
    ):
        table.add_row(label, says)
    return table


def _lines(says: Iterable[str]) -> RenderableType | None:
    found = [Text(line) for line in says]
    return Text("\n").join(found) if found else None


def _table() -> Table:
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0), pad_edge=False)
    table.add_column(overflow="fold", min_width=12, max_width=44)
    table.add_column(overflow="fold", ratio=1)
    return table
