"""``floatbowl identify``: which carburettor, which kit, how sure; for one enquiry or for thousands."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, NoReturn

import click

from floatbowl.cli.item_options import ItemCommand, typed_items
from floatbowl.reference.facts import FORMS
from floatbowl.reference.observed import VIAS

if TYPE_CHECKING:
    from rich.progress import Progress

    from floatbowl.identify.weigh import Weigher

#: Fewer enquiries than this are done before a bar is of use.
WORTH_A_BAR = 100
#: Failed lines told one by one; all are in the results.
MOST_TOLD = 50
STANDARD = "-"


@click.command(cls=ItemCommand)
@click.option("--pack", required=True, help="What the shop knows: a folder, a .zip or an .xlsx workbook.")
@click.option("--model", help="Rates that 'floatbowl refit' wrote (default: those that come with floatbowl).")
@click.option("--enquiries", help="Many enquiries: a file of JSON lines, - for the standard input.")
@click.option("--out", help="Where the results of many enquiries go, - for the standard output (default).")
@click.option("--jobs", type=click.IntRange(1, 256), help="Processes at once (default: as many as there are cores).")
@click.option("--reading", multiple=True, help="A number as it was read: ? lost, [83] one of these, * any lost.")
@click.option("--look", multiple=True, help='An answer, as "inlet side=left".')
@click.option("--measure", multiple=True, help='A measure with its tool, as "bolt spacing=60.5 rule".')
@click.option("--part", multiple=True, help="Where the reading or look before it is: tag, throttle body, lid, bowl.")
@click.option("--form", multiple=True, type=click.Choice(FORMS), help="How the number before it is made.")
@click.option("--via", multiple=True, type=click.Choice(VIAS), help="How the item before it reached us.")
@click.option("--group", multiple=True, help="Items of one group (one photograph, one call) are not independent.")
@click.option("--coached/--told", default=False, help="Whether the caller was told how to look.")
@click.option("--machine", help="What it is off: a key, or a name that is clearly one machine's.")
@click.option("--machine-text", help="A machine that is not in the records, as it was told.")
@click.option("--serial", help="The machine's serial number.")
@click.option("--year", type=int, help="The machine's year.")
@click.option("--want-level", help="The kit's level that is wanted, such as full or gaskets.")
@click.option("--want-fuel", help="The fuel the engine runs on, such as petrol or paraffin.")
@click.option("--bought", multiple=True, help="A kit this caller bought before.")
@click.pass_context
def identify(ctx: click.Context, /, pack: str, model: str | None, **told: Any) -> None:
    """Weigh evidence: many enquiries from a file, or one from the options.

    --part, --form, --via, --group, --coached and --told belong to the reading, look or measure before them; given
    first, they hold for all that do not say themselves.

    \b
    floatbowl identify --pack PACK --enquiries FILE.jsonl --out RESULTS.jsonl
    floatbowl identify --pack PACK --reading "K3?/11[83]" --part tag --machine lowfold \\
        --look "inlet side=left" --measure "bolt spacing=60.5 rule"

    Ends with 0 when every enquiry was weighed, 2 when nothing could be (one line for each fault), 3 when some lines
    failed; these have their places in the results, with what is wrong.
    """
    single = {name: value for name, value in told.items() if name not in ("enquiries", "out", "jobs") and value}
    if told["enquiries"] is not None:
        if single:
            extra = ", ".join("--" + name.replace("_", "-") for name in single)
            raise click.UsageError(f"With --enquiries the evidence comes from the file; leave out {extra}.")
        _many(pack, model, told["enquiries"], told["out"] or STANDARD, told["jobs"])
    elif told["out"] is not None or told["jobs"] is not None:
        raise click.UsageError("--out and --jobs go with --enquiries.")
    elif not single:
        raise click.UsageError("Say what is known: --enquiries FILE, or --reading, --look, --measure, --machine.")
    else:
        _one(ctx, pack, model, told)


def _one(ctx: click.Context, pack: str, model: str | None, told: dict[str, Any]) -> None:
    from floatbowl.cli.one_enquiry import UnknownWords, enquiry_of

    weigher = open_weigher(pack, model)
    about = {name: told[name] for name in ("machine", "machine_text", "serial", "year") if told[name] is not None}
    about["want"] = {name: told[f"want_{name}"] for name in ("level", "fuel") if told[f"want_{name}"]}
    about["bought"] = list(told["bought"])
    try:
        enquiry = enquiry_of(weigher, typed_items(ctx), about)
    except UnknownWords as unknown:
        refuse(*unknown.says)
    if enquiry.machine and enquiry.machine != told["machine"]:
        click.echo(f"Taken as {weigher.machines.names[enquiry.machine]} ({enquiry.machine}).", err=True)
    from floatbowl.cli.show import console, show
    from floatbowl.identify.consult import consult

    try:
        answer = consult(weigher, enquiry)
    except ValueError as fault:
        refuse(str(fault))
    show(answer, weigher, console())


def _many(pack: str, model: str | None, enquiries: str, out: str, jobs: int | None) -> None:
    from concurrent.futures.process import BrokenProcessPool

    from floatbowl.cli.batch import cores, read_lines, results
    from floatbowl.cli.output import whole_or_nothing

    failed = 0
    try:
        with _lines(enquiries) as file:
            lines = read_lines(file)
    except OSError as fault:
        refuse(
            f"{enquiries}: cannot be read: {fault.strerror or fault}; name a file of enquiries, or - for standard input"
        )
    try:
        with whole_or_nothing(out) as file:
            weigher = open_weigher(pack, model)
            with _bar(len(lines)) as bar:
                task = bar.add_task("Weighing", total=len(lines))
                for result in results(weigher, lines, jobs or cores(), lambda n: bar.advance(task, n)):
                    file.write(result.text + "\n")
                    if result.fault:
                        failed += 1
                    if result.fault and failed <= MOST_TOLD:
                        bar.console.print(f"{_shown(enquiries)}:{result.fault}", soft_wrap=True)
    except BrokenPipeError:
        raise  # Nobody reads any more: click ends the program.
    except OSError as fault:
        refuse(f"{out}: cannot be written: {fault.strerror or fault}; name another file with --out")
    except BrokenProcessPool:
        refuse("The system ended one of the processes, perhaps for want of memory; try again with --jobs 1")
    if failed:
        click.echo(f"{failed:,} of {len(lines):,} could not be weighed; see their places in the results.", err=True)
        raise SystemExit(3)


@contextmanager
def _lines(enquiries: str) -> Iterator[BinaryIO]:
    if enquiries == STANDARD:
        yield sys.stdin.buffer
    else:
        with open(enquiries, "rb") as file:
            yield file


def _bar(count: int) -> Progress:
    """A bar on standard error, shown for long batches and only on a terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    to = Console(stderr=True, markup=False, highlight=False, emoji=False)
    return Progress(
        TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
        console=to, disable=count < WORTH_A_BAR or not to.is_terminal, transient=True,
    )  # fmt: skip


def _shown(enquiries: str) -> str:
    return "standard input" if enquiries == STANDARD else enquiries


def open_weigher(pack: str, model: str | None = None) -> Weigher:
    """The pack, compiled; what is wrong with it or with the model is told line by line, and ends the program with 2."""
    from floatbowl.identify.weigh import Weigher
    from floatbowl.reference.pack import PackFaults, read_pack

    rates = read_model(model) if model else (None, None)
    try:
        return Weigher(read_pack(pack), *rates)
    except PackFaults as faults:
        refuse(*str(faults).splitlines())
    except ValueError as fault:
        refuse(f"{pack}: {fault}")


def read_model(path: str) -> tuple[Any, Any]:
    """The error model and assumptions that ``floatbowl refit`` wrote."""
    from floatbowl.identify.refit import model_from_json_text

    try:
        return model_from_json_text(Path(path).read_text(encoding="utf-8"))
    except OSError as fault:
        refuse(f"{path}: cannot be read: {fault.strerror or fault}; name a file that 'floatbowl refit' wrote")
    except ValueError as fault:
        refuse(f"{path}: {fault}; write it anew with 'floatbowl refit'")


def refuse(*says: str) -> NoReturn:
    """Say what is wrong, one line each, and end with 2: nothing was written."""
    for line in says:
        click.echo(line, err=True)
    raise SystemExit(2)
