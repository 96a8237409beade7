"""Every command there is, by its full name."""

from __future__ import annotations

from collections.abc import Iterator

import click

from loftwright.cli.main import COMMANDS, verbs


def every_command() -> Iterator[tuple[str, click.Command]]:
    """Yield every command that does something, e.g. ``("program check", ...)``; no groups."""
    for name in COMMANDS:
        command = verbs.get_command(click.Context(verbs), name)
        assert command is not None
        if not isinstance(command, click.Group):
            yield name, command
            continue
        context = click.Context(command)
        for word in command.list_commands(context):
            below = command.get_command(context, word)
            assert below is not None
            yield f"{name} {word}", below
