"""``loftwright undo``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.documents.journal import Made

__all__ = ["command"]


@click.command("undo")
@campaign_folder
@click.option("--redo", "again", is_flag=True, help="Make the change again that undo took back.")
@click.option("--list", "listed", is_flag=True, help="Only say what would be taken back.")
@json_option
def command(folder: Path, again: bool, listed: bool, as_json: bool) -> None:
    """Take back the last change that a page or a command made to the documents of DIR.

    The last 200 changes are kept. A document that was changed by other means since then is left
    alone, and that is said.
    """
    from loftwright.documents.history import redo, steps, undo

    done = None if listed else redo(folder) if again else undo(folder)
    left = steps(folder)
    if as_json:
        from loftwright.cli.answers import emit

        answer = {
            "did": None if done is None else "redo" if again else "undo",
            "change": _plain(done),
            "undo_next": _plain(left.undo),
            "redo_next": _plain(left.redo),
            "blocked_by": list(left.blocked),
        }
        emit("undo", answer)
        return
    if done is not None:
        click.echo(f"{'Made again' if again else 'Taken back'}: {_words(done)}")
    click.echo(f"Undo would take back: {_words(left.undo)}")
    if left.blocked:
        click.echo(f"  but {', '.join(left.blocked)} was changed by other means since then")
    if left.redo is not None:
        click.echo(f"Redo would make again: {_words(left.redo)}")


def _plain(made: Made | None) -> dict[str, Any] | None:
    if made is None:
        return None
    return {"when": made.when, "what": made.what, "files": sorted(made.files)}


def _words(made: Made | None) -> str:
    from loftwright.errors.render import printable

    return "nothing" if made is None else f"{printable(made.what, 200)} ({made.when})"
