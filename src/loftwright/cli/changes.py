"""``loftwright changes``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.ledger.since import Since

__all__ = ["command"]


@click.command("changes")
@campaign_folder
@click.argument("flight", metavar="[FLIGHT]", required=False)
@json_option
def command(folder: Path, flight: str | None, as_json: bool) -> None:
    """Say what changed in the documents of DIR since FLIGHT, the last one when left out."""
    from dataclasses import asdict

    from loftwright.documents.named import documents_named
    from loftwright.ledger.since import changes_since, last_flight

    documents_named(folder)  # a folder that is no campaign is told before anything else
    name = flight or last_flight(folder)
    since = None if name is None else changes_since(folder, name)
    if as_json:
        from loftwright.cli.answers import emit

        answer = {
            "flight": name,
            "flown": None if since is None else since.flown,
            "differs": [asdict(each) for each in since.changes]
            if since is not None and since.kept
            else None,
        }
        emit("changes", answer)
        return
    if since is None:
        click.echo("No flight is kept yet: nothing to compare with.")
    else:
        _print(since)


def _print(since: Since) -> None:
    from sys import stdout

    from loftwright.report.ledger_words import change_rows
    from loftwright.report.terminal import print_table

    day = f" of {since.flown}" if since.flown else ""
    if not since.kept:
        click.echo(f"The documents that flew in {since.flight}{day} are not kept.")
    elif not since.changes:
        click.echo(f"Nothing has changed since {since.flight}{day}.")
    else:
        heads = (f"changed since {since.flight}{day}", "flew", "now")
        print_table(heads, change_rows(since.changes), stdout)
