"""Which documents a campaign names: their roots, files and kinds, also where some do not read."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from loftwright.documents.campaign import CampaignFile
from loftwright.documents.flights import home_of
from loftwright.documents.program import Program
from loftwright.documents.reading import CAMPAIGN_FILE, ROLES, stays_inside
from loftwright.documents.source import Source, load
from loftwright.errors import Problem, ProblemError, Where

__all__ = ["Named", "documents_named", "field_named", "head_units", "units_beside"]


@dataclass(frozen=True, slots=True)
class Named:
    """A document of a campaign.

    ``root`` begins the paths of its fields: "campaign", "vehicle" and so on, "program.board" for
    the program of the controller called board.
    """

    root: str
    file: str
    model: type


def documents_named(folder: Path) -> dict[str, Named]:
    """Return the documents of the campaign in ``folder`` by their roots, campaign.toml first.

    They need not read, nor be there; what leads out of the folder is left out. Raises
    ``ProblemError`` where there is no campaign.toml.
    """
    home = home_of(folder)
    head = load(home / CAMPAIGN_FILE, CAMPAIGN_FILE)
    if not head.sha256 and [each.code for each in head.problems] != ["file-missing"]:
        raise ProblemError(head.problems)
    if not head.sha256:
        message, mend = (
            f"there is no {CAMPAIGN_FILE} in {home}",
            f"begin one: loftwright new {home}",
        )
        raise ProblemError([Problem("file-missing", message, Where(file=CAMPAIGN_FILE), mend)])
    found = {"campaign": Named("campaign", CAMPAIGN_FILE, CampaignFile)}
    data = head.data or {}
    for root, model in ROLES.items():
        file = data.get(root)
        if isinstance(file, str) and _is_own(home, file):
            found[root] = Named(root, file, model)
    if "avionics" in found:
        found |= _programs(home, found["avionics"].file)
    return found


def head_units(folder: Path) -> str:
    """Return the units of the campaign in ``folder``; metric where its head does not tell."""
    head = load(home_of(folder) / CAMPAIGN_FILE, CAMPAIGN_FILE)
    return "us" if (head.data or {}).get("units") == "us" else "metric"


def units_beside(file: Path) -> str | None:
    """Return the units of the campaign in whose folder a file lies; None where there is none.

    ``file`` may be the folder itself.
    """
    folder = file if file.is_dir() else file.parent
    return head_units(folder) if (folder / CAMPAIGN_FILE).is_file() else None


def field_named(documents: dict[str, Named], path: str) -> tuple[Named, str]:
    """Return the document that a path begins with, and the path of the field in it ("": itself).

    Raises ``ProblemError`` with ``edit-no-document`` where the campaign has no such document.
    """
    roots = [root for root in documents if path == root or path.startswith(f"{root}.")]
    if not roots:
        message = f"this campaign has no document {path.partition('.')[0]}"
        mend = f"begin the path with one of {', '.join(documents)}"
        where = Where(field=path)
        raise ProblemError([Problem("edit-no-document", message, where, mend)])
    root = max(roots, key=len)
    return documents[root], path[len(root) + 1 :]


def _programs(home: Path, avionics: str) -> dict[str, Named]:
    controllers: Any = (load(home / avionics, avionics).data or {}).get("controller")
    found = {}
    for each in controllers if isinstance(controllers, list) else []:
        if not isinstance(each, dict):
            continue
        name, file = each.get("name"), each.get("program")
        if isinstance(name, str) and isinstance(file, str) and _is_own(home, file):
            found[f"program.{name}"] = Named(f"program.{name}", file, Program)
    return found


def _is_own(home: Path, file: str) -> bool:
    return file.endswith(".toml") and stays_inside(home, Source(CAMPAIGN_FILE), ("file",), file)
