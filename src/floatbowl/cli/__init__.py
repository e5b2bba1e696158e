"""The command line: one module a command; each imports its work inside the function, so that help is quick."""

from __future__ import annotations

import importlib
import os

import click

# Arrays here are short: more threads inside each product of two of them only wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

#: Command name to (module, attribute).
COMMANDS = {
    "demo": ("floatbowl.cli.demo", "demo"),
    "identify": ("floatbowl.cli.identify", "identify"),
    "pack": ("floatbowl.cli.pack", "pack"),
    "read": ("floatbowl.cli.read", "read"),
    "refit": ("floatbowl.cli.refit", "refit"),
    "relief": ("floatbowl.cli.relief", "relief"),
    "serve": ("floatbowl.cli.serve", "serve"),
    "shelf": ("floatbowl.cli.shelf", "shelf"),
    "work-out": ("floatbowl.cli.work_out", "work_out"),
}


class LazyGroup(click.Group):
    """A group that imports a command only when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module, attribute = COMMANDS[cmd_name]
        return getattr(importlib.import_module(module), attribute)  # type: ignore[no-any-return]


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="floatbowl")
def main() -> None:
    """Which carburettor is it, which kit does it need, and how sure are we?"""
