"""What ``floatbowl shelf`` works out: what to buy, build and carry, and which forecast told the shop's past best."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from floatbowl.cli import shelf_said as said


@click.command()
@said.shop_options
@click.option("--filled", type=click.FloatRange(50, 99), default=90, show_default=True, help="Orders to fill, of 100.")
@click.option("--review", type=click.FloatRange(0.25, 12), default=1, show_default=True, help="Months between looks.")
def buy(database: Path | None, as_json: bool, filled: float, review: float) -> None:
    """What to buy from whom, how many, and why."""
    said.open_shop(database)
    from floatbowl.shop.shelf.buying import terms_now
    from floatbowl.shop.shelf.expected import expected
    from floatbowl.shop.shelf.levels_kept import Rule
    from floatbowl.shop.shelf.on_hand import all_stands
    from floatbowl.shop.shelf.suggesting import what_to_buy
    from floatbowl.shop.shelf.things import things_now

    things = things_now()
    rule = Rule(filled=filled / 100, review_months=review)
    groups = said.or_refuse(lambda: what_to_buy(things, all_stands(things), expected(things), terms_now(), rule))
    lines = [(group.supplier.name if group.supplier else "", line) for group in groups for line in group.lines]
    if as_json:
        names = ("supplier", "kind", "key", "pieces", "level", "price", "why")
        rows = [_bought(*line) for line in lines]
        said.show_json({"lines": [dict(zip(names, row, strict=True)) for row in rows]})
        return
    said.show_table(
        ("Supplier", "Item", "Pieces", "Each", "Why"),
        [(name or "none written down", line.thing.name, line.filled, line.price, line.why) for name, line in lines],
        "Nothing to buy.",
    )


def _bought(supplier: str, line: Any) -> tuple[object, ...]:
    return supplier, line.thing.kind, line.thing.key, line.filled, line.level, line.price, line.why


@click.command()
@said.shop_options
@click.option("--hours", type=click.FloatRange(0, 1000), help="Bench hours there are (default: as many as it takes).")
@click.option("--minutes", type=click.FloatRange(0.1, 600), default=6, show_default=True, help="Minutes for one kit.")
@click.option("--months", type=click.FloatRange(0.1, 24), default=1, show_default=True, help="Months they are to last.")
@click.option("--aim", type=click.Choice(["earn", "fill"]), default="earn", show_default=True)
def build(database: Path | None, as_json: bool, hours: float | None, minutes: float, months: float, aim: Any) -> None:
    """Which kits to build now from the loose parts: the best plan, and the simple rule's beside it."""
    said.open_shop(database)
    from floatbowl.shop.models.shelf import KIT
    from floatbowl.shop.shelf.expected import expected
    from floatbowl.shop.shelf.on_hand import all_stands
    from floatbowl.shop.shelf.planning import Asking, plan
    from floatbowl.shop.shelf.things import things_now

    things = things_now()
    asking = Asking(hours=hours, minutes=minutes, months=months, aim=aim)
    found = said.or_refuse(lambda: plan(asking, things, all_stands(things), expected(things))).plan
    best, simple = dict(found.best.build), dict(found.simple.build)
    if as_json:
        said.show_json(
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
    said.show_table(("Kit", "Build", "Simple rule"), rows, "Nothing to build.")
    proof = "no plan does better" if found.proven else f"a better one may exist, by at most {found.gap:.1%}"
    click.echo(f"Gains {found.best.gains:.2f} in {found.best.minutes:.0f} minutes: {proof}.")
    click.echo(f"The simple rule gains {found.simple.gains:.2f} in {found.simple.minutes:.0f} minutes.")


@click.command()
@said.shop_options
@click.option("--months", type=click.IntRange(1, 240), default=24, show_default=True, help="Enquiries so far back.")
def carry(database: Path | None, as_json: bool, months: int) -> None:
    """The fewest kits that answer 80, 90 and 95 in 100 enquiries, and what one more on hand would add."""
    said.open_shop(database)
    from floatbowl.shop.models.shelf import KIT
    from floatbowl.shop.shelf.carrying import what_to_carry
    from floatbowl.shop.shelf.on_hand import all_stands
    from floatbowl.shop.shelf.things import things_now

    things = things_now()
    found = what_to_carry(things, all_stands(things), months)
    if found is None:
        said.refuse("no enquiry of that time had a carburettor read back, so nothing says which kits were wanted")
    if as_json:
        said.show_json(
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
        kits = "1 kit answers" if len(one.kits) == 1 else f"{len(one.kits)} kits answer"
        click.echo(f"{kits} {one.covered} of {one.enquiries} ({one.share:.0%} wanted): {proof}.")
        click.echo(f"  {', '.join(one.kits)}")
    rows = [(things.of(KIT, one.kit).name, one.adds, f"{one.share_then:.0%}") for one in found.more]
    said.show_table(("One more kit", "Adds", "Answered then"), rows, "Every enquiry is answered by a kit on hand.")


@click.command()
@said.shop_options
@click.option("--months", type=click.IntRange(1, 24), default=4, show_default=True, help="Months of each forecast.")
@click.option("--times", type=click.IntRange(1, 36), default=6, show_default=True, help="Past times it is tried at.")
def backtest(database: Path | None, as_json: bool, months: int, times: int) -> None:
    """Hold the ways of forecasting against this shop's own past: which would have told it best."""
    said.open_shop(database)
    from floatbowl.shelf.choosing import choose
    from floatbowl.shop.shelf.expected import expected
    from floatbowl.shop.shelf.things import things_now

    found = expected(things_now())
    if found is None:
        said.refuse("nothing was asked of the shelf yet; bring in past sales with: floatbowl shelf sales FILE")
    choice = said.or_refuse(lambda: choose(found.asked.orders, months, times, found.group))
    if as_json:
        origins = [found.asked.month_begins(month).isoformat() for month in choice.origins]
        said.show_json({"method": choice.method, "scores": dict(choice.scores), "origins": origins, "why": choice.why})
        return
    said.show_table(
        ("Way of forecasting", "Missed by, units (less is better)"),
        [(name, f"{score:.4f}") for name, score in sorted(choice.scores.items(), key=lambda one: one[1])],
        "Not compared.",
    )
    click.echo(f"Taken: {choice.method}. {choice.why[:1].upper()}{choice.why[1:]}.")
