"""Noting what a command worked out, so that ``glance`` and the pages know that it was done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from loftwright.documents import Campaign

__all__ = ["note_documents", "note_flight"]


def note_documents(verb: str, campaign: Campaign, says: Callable[[], str], **more: Any) -> None:
    """Note what ``verb`` worked out of the documents as they were read; ``says`` is its lead.

    ``more`` are fields of `loftwright.documents.worked.Worked`.
    """
    from loftwright.documents.worked import Worked, flying

    of = flying(campaign)
    _note(campaign.folder, lambda: Worked(verb=verb, of=of, says=says(), **more))


def note_flight(verb: str, folder: Path, flight: str, says: Callable[[], str], **more: Any) -> None:
    """Note what ``verb`` worked out of the record of a flight as it stands."""
    from hashlib import sha256

    from loftwright.documents.files import read_regular
    from loftwright.documents.flights import FLIGHT_FILE, FLIGHTS, home_of
    from loftwright.documents.source import LARGEST
    from loftwright.documents.worked import Worked

    home = home_of(folder)

    def noted() -> Worked:
        of = sha256(read_regular(home / FLIGHTS / flight / FLIGHT_FILE, LARGEST)).hexdigest()
        return Worked(verb=verb, of=of, flight=flight, says=says(), **more)

    _note(home, noted)


def _note(home: Path, worked: Callable[[], Any]) -> None:
    """Write a note; that it cannot be written takes nothing from the answer, and is told."""
    from loftwright.documents.worked import note_worked
    from loftwright.errors import ProblemError

    if _is_shipped(home):
        return
    try:
        note_worked(home, worked())
    except (OSError, ProblemError) as error:
        click.echo(f"Not noted that this was done, for nothing can be written: {error}", err=True)


def _is_shipped(home: Path) -> bool:
    """Tell whether a campaign is one of those that come with the program: they stay as they are."""
    package = Path(__file__).resolve().parents[1]
    return home.resolve().parent in (package / "examples", package.parents[1] / "examples")
