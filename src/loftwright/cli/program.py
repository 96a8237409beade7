"""``loftwright program``: release programs, before anything flies."""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec

import click

__all__ = ["SUBCOMMANDS", "command"]

# name -> (module, what it does in one line); the module holds an object ``command``.
SUBCOMMANDS: dict[str, tuple[str, str]] = {
    "check": ("program_check", "Check a program without flying it, and prove its promises."),
    "explain": ("program_explain", "Read a program out in plain language, with its stages."),
    "run": ("program_run", "Run a program over recorded or made-up samples."),
    "emit-c": ("program_emit", "Write a program as C99 for a controller."),
}


def _there(name: str) -> bool:
    return find_spec(f"loftwright.cli.{SUBCOMMANDS[name][0]}") is not None


class Parts(click.Group):
    """A group that imports a sub-command when it is invoked, not before."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all sub-commands that are there, in the order of the job."""
        del ctx
        return [name for name in SUBCOMMANDS if _there(name)]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return a sub-command, None where there is none of that name."""
        if cmd_name not in self.list_commands(ctx):
            return None
        module = import_module(f"loftwright.cli.{SUBCOMMANDS[cmd_name][0]}")
        found: click.Command = module.command
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the sub-command; a slip of the pen is told the nearest."""
        known = self.list_commands(ctx)
        if args[0] not in known and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], known, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            ctx.fail(f"There is no command {args[0]!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of sub-commands from the table, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, SUBCOMMANDS[name][1]) for name in self.list_commands(ctx)])


@click.group("program", cls=Parts, invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """Check, read and run release programs, the TOML documents that controllers obey."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())
