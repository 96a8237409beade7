"""Writing a fit into the vehicle's document, with where it came from."""

from __future__ import annotations

import tomllib
from pathlib import Path

from loftwright.debrief.firings.fit import FiringFit
from loftwright.debrief.firings.words import provenance_comment, write_back
from loftwright.documents.alone import writing_alone
from loftwright.documents.edit import changed_text
from loftwright.documents.history import write_documents
from loftwright.documents.reading import CAMPAIGN_FILE
from loftwright.documents.spans import scan
from loftwright.documents.vehicle import Vehicle

__all__ = ["write_fit"]

BEGINNING = "# fitted to "  # of the comment, by which an older one is known


def write_fit(
    path: Path, fit: FiringFit, *, fills: bool = False, home: Path | None = None
) -> dict[str, str]:
    """Write the fitted values into ``vehicle.toml`` at ``path``; return what was written.

    Above the first of them stands a comment that names the records; one from an earlier fit is
    replaced. Every other byte stays as it was, and the change can be taken back. ``home`` is the
    campaign's folder, that of the document when left out. Raises ``ProblemError`` as
    ``set_values`` does.
    """
    values, home = write_back(fit, fills=fills), home or path.parent
    with writing_alone(home / CAMPAIGN_FILE):
        text = changed_text(path, values, Vehicle)
        commented = _with_comment(text, next(iter(values)), provenance_comment(fit))
        if tomllib.loads(commented.lstrip("\ufeff")) == tomllib.loads(text.lstrip("\ufeff")):
            text = commented
        file = path.relative_to(home).as_posix()
        write_documents(home, {file: text.encode("utf-8")}, "fitted to recorded firings")
    return values


def _with_comment(text: str, field: str, comment: str) -> str:
    """Return ``text`` with the comment on a line of its own above ``field``."""
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    body = text[len(mark) :]
    start = body.rfind("\n", 0, scan(body).values[tuple(field.split("."))].start) + 1
    before, after = body[:start], body[start:]
    newline = "\r\n" if "\r\n" in body else "\n"
    lines = before.splitlines(keepends=True)
    if lines and lines[-1].startswith(BEGINNING):
        lines.pop()
    return f"{mark}{''.join(lines)}# {comment}{newline}{after}"
