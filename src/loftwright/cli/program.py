"""``loftwright program``: release programs, before anything flies."""

from __future__ import annotations

import click

from loftwright.cli.lazy import LazyGroup

__all__ = ["SUBCOMMANDS", "command"]

# name -> (module, what it does in one line); the module holds an object ``command``.
SUBCOMMANDS: dict[str, tuple[str, str]] = {
    "check": ("program_check", "Check a program without flying it, and prove its promises."),
    "explain": ("program_explain", "Read a program out in plain language, with its stages."),
    "run": ("program_run", "Run a program over recorded or made-up samples."),
    "emit-c": ("program_emit", "Write a program as C99 for a controller."),
}


@click.group("program", cls=LazyGroup, table=SUBCOMMANDS, invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """Check, read and run release programs, the TOML documents that controllers obey."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())
