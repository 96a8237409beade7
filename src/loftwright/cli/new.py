"""``loftwright new``."""

from __future__ import annotations

from pathlib import Path

import click

from loftwright.cli.options import json_option

__all__ = ["command"]


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path, file_okay=False))
@click.option("--name", help="What the campaign is called; the folder's name when left out.")
@json_option
def command(folder: Path, name: str | None, as_json: bool) -> None:
    """Begin a campaign in DIR: documents with every field, its meaning and an example.

    Nothing that exists is overwritten.
    """
    from loftwright.cli.answers import emit
    from loftwright.documents.template import new_campaign

    written = new_campaign(folder, name or folder.resolve().name)
    if as_json:
        emit("new", {"folder": folder, "files": [path.name for path in written]})
        return
    click.echo(f"Begun in {folder}: {', '.join(path.name for path in written)}")
    click.echo("The numbers in them are examples. Put yours in, then:")
    click.echo(f"  loftwright check {folder}")
