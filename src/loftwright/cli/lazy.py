"""A group of commands, each of which is imported when it is invoked, not before."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click

__all__ = ["LazyGroup"]


class LazyGroup(click.Group):
    """A group made from a table: name of a command -> where it is, and what it does in one line.

    Where it is: a module of ``loftwright.cli`` (or any by its whole name) with an object
    ``command``, or ``module:object``.
    """

    def __init__(self, *words: Any, table: Mapping[str, tuple[str, str]], **named: Any) -> None:
        super().__init__(*words, **named)
        self.table = table

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands, in the order of the job."""
        del ctx
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return the command called ``cmd_name``, None where there is none."""
        del ctx
        if cmd_name not in self.table:
            return None
        module, _, name = self.table[cmd_name][0].partition(":")
        found: click.Command = getattr(_module(module), name or "command")
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that ``args`` begin with; a slip of the pen is told the nearest."""
        if args[0] not in self.table and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], self.table, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            ctx.fail(f"There is no command {args[0]!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the table, without importing any."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in self.table.items()])


def _module(name: str) -> Any:
    return import_module(name if name.startswith("loftwright.") else f"loftwright.cli.{name}")
