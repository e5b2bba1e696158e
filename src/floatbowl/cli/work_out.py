"""``floatbowl work-out``: list what can be worked out, and work one of it out."""

from __future__ import annotations

import difflib
import json
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from floatbowl.work_out.asking import Outcome
    from floatbowl.work_out.calculation import Asked, Calculation
    from floatbowl.work_out.spoken import Lengths

#: Options of the command itself, which no ask may take the place of.
_OWN: Final = ("json", "inch", "how", "help")


class Calculations(click.Group):
    """One command a calculation, made from what it asks when it is asked for: so that help itself is quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_calculations())

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        found = _calculations().get(cmd_name)
        return command_of(found) if found else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and not args[0].startswith("-") and args[0] not in _calculations():
            _refuse(_unknown(args[0]))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Calculations"):
            formatter.write_text("'floatbowl work-out' lists them; 'floatbowl work-out KEY --help' says what one asks.")


@click.group("work-out", cls=Calculations, invoke_without_command=True, subcommand_metavar="[KEY] [WHAT IT ASKS]...")
@click.pass_context
def work_out(ctx: click.Context) -> None:
    """Work something out: air and fuel, float and needle, shaft and fits, threads and faces, units.

    \b
    floatbowl work-out conversion --written "1 1/8 in"
    """
    if ctx.invoked_subcommand is None:
        from floatbowl.cli.show_worked import show_list
        from floatbowl.work_out.everything import groups

        show_list(groups())


def command_of(calculation: Calculation) -> click.Command:
    """The command of one calculation: an option for each ask."""
    options = [_option(name, ask) for name, ask in options_of(calculation).items()]
    return click.Command(
        calculation.key,
        callback=lambda **written: _run(calculation, **written),
        params=[*options, *_own_options()],
        help=_help(calculation),
        short_help=calculation.title,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110},
    )


def options_of(calculation: Calculation) -> dict[str, Asked]:
    """The asks by the names of their options."""
    from floatbowl.work_out.asking import asks_by_name

    return {f"{name}-asked" if name in _OWN else name: ask for name, ask in asks_by_name(calculation).items()}


def _option(name: str, ask: Asked) -> click.Option:
    from floatbowl.work_out.asking import usual

    unit = f" A bare number is {ask.unit}." if ask.unit else ""
    words = f" One of: {', '.join(ask.choices)}." if ask.choices else ""
    left = f" Left out: {usual(ask)}." if ask.usual is not None else (" Need not be told." if ask.optional else "")
    how = f" {ask.how.rstrip('.')}." if ask.how else ""
    metavar = "WORD" if ask.choices else "TEXT" if ask.kind == "text" else ask.kind.replace(" ", "-").upper()
    return click.Option([f"--{name}", _variable(name)], metavar=metavar, help=f"{ask.says}.{how}{unit}{words}{left}")


def _variable(name: str) -> str:
    return f"asked_{name.replace('-', '_')}"


def _own_options() -> list[click.Parameter]:
    return [
        click.Option(["--inch"], is_flag=True, help="Lengths in inches: bare numbers, and what is shown."),
        click.Option(["--how"], is_flag=True, help="Show the equation, where it holds, and its source."),
        click.Option(["--json", "as_json"], is_flag=True, help="One JSON object: values in SI, and the text shown."),
    ]


def _help(calculation: Calculation) -> str:
    about = calculation.about or calculation.title
    said = f"{about.rstrip('.')}.\n\nWrite a doubt as in '28 mm +- 0.1': 19 times in 20 the true figure is that near."
    return said if calculation.validated else f"{said}\n\n{_direction_only()}"


def _run(calculation: Calculation, *, inch: bool, how: bool, as_json: bool, **written: str | None) -> None:
    from floatbowl.work_out.asking import worked

    names = options_of(calculation)
    texts = {name: written.get(_variable(name)) or "" for name in names}
    lengths: Lengths = "inch" if inch else "mm"
    outcome = worked(calculation, dict(zip(_asked(calculation), texts.values(), strict=True)), {}, lengths)
    if outcome.answer is None:
        _refuse(*_refusals(calculation, outcome))
    if as_json:
        from floatbowl.work_out.as_json import as_object

        click.echo(json.dumps(as_object(calculation, outcome, lengths), ensure_ascii=False, indent=2))
        return
    from floatbowl.cli.show_worked import show

    show(calculation, outcome, lengths, how)


def _asked(calculation: Calculation) -> tuple[str, ...]:
    from floatbowl.work_out.asking import asks_by_name

    return tuple(asks_by_name(calculation))


def _refusals(calculation: Calculation, outcome: Outcome) -> list[str]:
    if outcome.refused:
        return [f"{calculation.title}: {outcome.refused}"]
    options = dict(zip(_asked(calculation), options_of(calculation), strict=True))
    return [f"--{options[name]}: {wrong}" for name, wrong in outcome.faults.items()]


def _unknown(key: str) -> str:
    near = difflib.get_close_matches(key, _calculations(), 3, 0.5)
    like = f"; near it: {', '.join(near)}" if near else ""
    return f"{key!r} is nothing that can be worked out{like}. 'floatbowl work-out' lists what can be"


def _direction_only() -> str:
    from floatbowl.work_out.calculation import DIRECTION_ONLY

    return DIRECTION_ONLY


def _calculations() -> Any:
    from floatbowl.work_out.everything import calculations

    return calculations()


def _refuse(*says: str) -> None:
    for line in says:
        click.echo(line, err=True)
    raise SystemExit(2)
