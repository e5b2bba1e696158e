"""``floatbowl refit``: the shop's own rates, learnt from confirmed enquiries, kept only where they do better."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from floatbowl.cli.identify import read_model, refuse

if TYPE_CHECKING:
    from floatbowl.identify.learning.cases import Case
    from floatbowl.identify.refit import Refit
    from floatbowl.reference.facts import Reference

MOST_RATES_SHOWN = 12


@click.command()
@click.option("--pack", help="What the shop knows: a folder, a .zip or an .xlsx workbook.")
@click.option("--cases", help='Enquiry lines with "confirmed": the carburettor\'s key, or null when in no records.')
@click.option("--database", type=click.Path(path_type=Path, dir_okay=False), help="The shop's database instead.")
@click.option("--model", help="The rates to begin with (default: those in use).")
@click.option("--out", help="Where the new rates go (default with --database: beside it, where the shop finds them).")
@click.option("--seed", type=int, default=0, show_default=True, help="Chooses which cases are held back.")
def refit(
    pack: str | None, cases: str | None, database: Path | None, model: str | None, out: str | None, seed: int
) -> None:
    """Refit how marks are misread, which marks people read, and how often carburettors were swapped.

    Most probable values given the confirmed enquiries, with the present rates as prior. One case in four is held back
    to judge by: the old rates stay, and nothing is written, unless the new ones do better there.

    \b
    floatbowl refit --pack PACK --cases CASES.jsonl --out MODEL.json
    floatbowl refit --database shop.sqlite3
    """
    if database is None and not (pack and cases):
        raise click.UsageError("Say what to learn from: --pack with --cases, or --database.")
    from floatbowl.identify.refit import refit as fit

    if database is not None:
        _open_shop(database)
        out = out or str(_beside(database))
        if model is None and Path(out).is_file():
            model = out
    reference = _reference(pack)
    told = _cases(cases) if cases else _cases_of_shop()
    error_model, assumptions = read_model(model) if model else (None, None)
    try:
        found = fit(reference, told, error_model, assumptions, seed)
    except ValueError as fault:
        refuse(str(fault))
    _report(found)
    if found.better and out:
        _write(found, out)


def _reference(pack: str | None) -> Reference:
    from floatbowl.reference.pack import PackFaults, read_pack

    if pack is None:
        from floatbowl.shop.load import dump_reference

        return dump_reference()
    try:
        return read_pack(pack)
    except PackFaults as faults:
        refuse(*str(faults).splitlines())


def _cases(path: str) -> list[Case]:
    from floatbowl.identify.learning.cases import read_cases
    from floatbowl.reference.enquiries import EnquiryFault

    try:
        with open(path, "rb") as file:
            told = list(read_cases(file))
    except OSError as fault:
        refuse(f"{path}: cannot be read: {fault.strerror or fault}; name a file of confirmed enquiries")
    faults = [f"{path}:{each.line}: {each.field}: {each.says}" for each in told if isinstance(each, EnquiryFault)]
    if faults:
        refuse(*faults)
    return [each for each in told if not isinstance(each, EnquiryFault)]


def _open_shop(database: Path) -> None:
    from floatbowl.shop.setup import prepare

    if not database.is_file():
        refuse(f"{database}: is not there; name the shop's database")
    prepare(database)


def _beside(database: Path) -> Path:
    from floatbowl.shop.places import model_path

    return model_path(database)


def _cases_of_shop() -> list[Case]:
    """Enquiries that ended in a sale: the carburettor that was read back, and not withdrawn since."""
    from floatbowl.identify.learning.cases import Case
    from floatbowl.shop.models import ReadBack
    from floatbowl.shop.pages.counter.told import observed_enquiry, standing_evidence

    sold = ReadBack.objects.filter(withdrawn_at=None, in_hand__enquiry__outcome="sold")
    latest = {one.in_hand: one.carburettor for one in sold.select_related("in_hand__enquiry").order_by("at")}
    return [
        Case(observed_enquiry(in_hand, standing_evidence(in_hand)), carburettor)
        for in_hand, carburettor in latest.items()
        if carburettor
    ]


def _report(found: Refit) -> None:
    click.echo(
        f"{found.fit_cases + found.held_back:,} confirmed enquiries: {found.fit_cases:,} fitted, "
        f"{found.held_back:,} held back. Readings fitted: " + _listed(found.readings.items()) + "."
    )
    furthest = sorted(found.fitted.items(), key=lambda each: -_moved(*each[1]))
    for name, (before, after) in furthest[:MOST_RATES_SHOWN]:
        click.echo(f"  {name:<24} {before:.4f} -> {after:.4f}")
    if len(furthest) > MOST_RATES_SHOWN:
        click.echo(f"  and {len(furthest) - MOST_RATES_SHOWN} more that moved less")
    for count in found.answers:
        told = "coached" if count.coached else "untold"
        click.echo(f"  {count.feature} ({told}): {count.right:,} of {count.of:,} answers right")
    click.echo(
        f"Log loss on {found.held_back:,} held-back cases: {found.loss_before:.4f} before, "
        f"{found.loss_after:.4f} after (better in {found.improved_in:.0%} of resamples)."
    )
    click.echo(found.why if found.better else f"The old rates stay. {found.why}")


def _moved(before: float, after: float) -> float:
    return abs(after / max(1 - after, 1e-9) / (before / max(1 - before, 1e-9)) - 1)


def _listed(counts: Iterable[tuple[str, int]]) -> str:
    return ", ".join(f"{count:,} {via}" for via, count in counts if count) or "none"


def _write(found: Refit, out: str) -> None:
    from floatbowl.cli.output import whole_or_nothing
    from floatbowl.identify.refit import model_as_json

    try:
        with whole_or_nothing(out) as file:
            json.dump(model_as_json(found.error_model, found.assumptions), file, indent=1)
            file.write("\n")
    except OSError as fault:
        refuse(f"{out}: cannot be written: {fault.strerror or fault}; name another file with --out")
    click.echo(f"Written to {out}.")
