"""``loftwright ledger take-in``, and the ledger as its other commands open it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.ledger.ledger import Ledger
    from loftwright.ledger.taking_in import TakenIn

__all__ = ["command", "ledger_of", "opened"]


@contextmanager
def opened(folder: Path) -> Iterator[Ledger]:
    """Open the ledger of a campaign, with the flights that have come since; tell what is amiss."""
    from loftwright.cli.answers import tell_warnings
    from loftwright.ledger.taking_in import take_in

    with ledger_of(folder) as ledger:
        found = take_in(ledger)
        tell_warnings(found.problems)
        if found.waiting:
            names = ", ".join(found.waiting)
            click.echo(f"Not taken in, for nothing can be written here: {names}\n", err=True)
        yield ledger


def ledger_of(folder: Path) -> Ledger:
    """Open the ledger of a campaign; a folder that is none gets no ledger by a slip of the pen.

    Raises ``ProblemError``: ``file-missing``, and as `loftwright.ledger.ledger.open_ledger`.
    """
    from loftwright.documents.flights import home_of
    from loftwright.documents.reading import CAMPAIGN_FILE
    from loftwright.ledger.ledger import open_ledger
    from loftwright.ledger.opening import FILE
    from loftwright.ledger.problems import refused

    home = home_of(folder)
    if home.is_dir() and not any((home / name).exists() for name in (CAMPAIGN_FILE, FILE)):
        message = f"there is no {CAMPAIGN_FILE} in {home}"
        mend = "give a campaign folder; nothing was written"
        raise refused("file-missing", message, mend, CAMPAIGN_FILE)
    return open_ledger(home)


@click.command("take-in")
@campaign_folder
@click.option(
    "--accept",
    metavar="FLIGHT",
    multiple=True,
    help="Take the documents in this flight's build/ as they stand now; may be repeated.",
)
@json_option
def command(folder: Path, accept: tuple[str, ...], as_json: bool) -> int:
    """Take in the flights of DIR: each folder flights/NAME/ with its flight.toml and build/.

    Other ledger commands do so by themselves. What people wrote into the ledger is left as it is.
    """
    from loftwright.cli.answers import emit, tell_warnings
    from loftwright.errors import as_dict
    from loftwright.ledger.taking_in import take_in

    with ledger_of(folder) as ledger:
        with ledger.writing():  # refused at once where nothing can be written
            pass
        found = take_in(ledger, accept=accept)
    if as_json:
        problems = [as_dict(problem) for problem in found.problems]
        emit("ledger-take-in", {"new": found.new, "changed": found.changed, "problems": problems})
    else:
        tell_warnings(found.problems)
        click.echo(_words(found))
    return 2 if any(each.severity == "error" for each in found.problems) else 0


def _words(found: TakenIn) -> str:
    if not found.new and not found.changed:
        return "Nothing new."
    said = [f"Taken in: {', '.join(found.new)}."] if found.new else []
    said += [f"Taken in again, changed: {', '.join(found.changed)}."] if found.changed else []
    return " ".join(said)
