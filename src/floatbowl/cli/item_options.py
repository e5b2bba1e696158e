"""Options that belong to the item before them: ``--reading K36 --part tag --reading 2063 --form cast``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import click

#: Options that each begin an item of evidence.
BEGIN: Final = ("reading", "look", "measure")
#: Options that say more about the item before them; before the first item they hold for all that do not say themselves.
ABOUT: Final = ("part", "form", "via", "group", "coached")
_ITEMS: Final = "floatbowl items"


@dataclass(slots=True)
class Item:
    """One item as it was typed: ``kind`` is the option that began it, ``about`` what was said of it."""

    kind: str
    text: str
    about: dict[str, Any] = field(default_factory=dict)


class ItemCommand(click.Command):
    """A command that knows in which order its options were given, which click itself forgets."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        ctx.meta[_ITEMS] = items_of(_in_order(self, ctx, args))
        return super().parse_args(ctx, args)


def typed_items(ctx: click.Context) -> list[Item]:
    """The items of a command line, in order."""
    found: list[Item] = ctx.meta[_ITEMS]
    return found


def items_of(options: Sequence[tuple[str, Any]]) -> list[Item]:
    """Options in order, gathered into items.

    >>> typed = [("via", "heard"), ("reading", "K36"), ("part", "tag"), ("reading", "2063")]
    >>> [(item.text, item.about) for item in items_of(typed)]
    [('K36', {'via': 'heard', 'part': 'tag'}), ('2063', {'via': 'heard'})]
    """
    for_all: dict[str, Any] = {}
    items: list[Item] = []
    for name, value in options:
        if name in BEGIN:
            items.append(Item(name, value, dict(for_all)))
        elif name in ABOUT:
            (items[-1].about if items else for_all)[name] = value
    return items


def _in_order(command: click.Command, ctx: click.Context, args: Sequence[str]) -> list[tuple[str, Any]]:
    """Names and values as click will take them; what click will refuse is passed over here."""
    options = {
        flag: (parameter, flag in parameter.opts)
        for parameter in command.get_params(ctx)
        if isinstance(parameter, click.Option)
        for flag in (*parameter.opts, *parameter.secondary_opts)
    }
    found: list[tuple[str, Any]] = []
    rest = iter(args)
    for token in rest:
        if token == "--":
            break
        flag, equals, value = token.partition("=")
        if flag not in options:
            continue
        parameter, positive = options[flag]
        if parameter.is_flag:
            found.append((str(parameter.name), positive))
        else:
            found.append((str(parameter.name), value if equals else next(rest, "")))
    return found
