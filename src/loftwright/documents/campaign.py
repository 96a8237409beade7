"""``campaign.toml``: the question, and which documents answer it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from loftwright.documents.fields import choice, text
from loftwright.documents.payload import Payload
from loftwright.documents.site import Site
from loftwright.documents.vehicle import Vehicle
from loftwright.errors import Problem

__all__ = ["Campaign", "CampaignFile"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CampaignFile:
    """The fields of ``campaign.toml`` itself."""

    name: str = text("What the campaign is called.", example="Spring lifts")
    question: str = text("What the next flight is to answer.", example="Does the hold survive?")
    units: str = choice(
        "metric", "us", doc="Units of reports and terminal output.", default="metric"
    )
    vehicle: str = text("File of the vehicle.", example="vehicle.toml")
    payload: str | None = text("File of the payload.", default=None, example="payload.toml")
    avionics: str | None = text("File of the avionics.", default=None, example="avionics.toml")
    site: str = text("File of the site.", example="site.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Campaign:
    """A campaign folder, read and checked.

    ``hashes`` maps each document's file name to the SHA-256 of its bytes; ``warnings`` are the
    doubtful things that reading found.
    """

    folder: Path
    head: CampaignFile
    vehicle: Vehicle
    payload: Payload | None
    site: Site
    hashes: dict[str, str]
    warnings: tuple[Problem, ...] = ()
