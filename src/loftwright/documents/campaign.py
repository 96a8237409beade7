"""``campaign.toml``: the question, and which documents answer it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from loftwright.documents.avionics import Avionics
from loftwright.documents.fields import choice, text
from loftwright.documents.payload import Payload
from loftwright.documents.program import Program
from loftwright.documents.site import Site
from loftwright.documents.stage import Boosters, Upper
from loftwright.documents.vehicle import Vehicle
from loftwright.errors import Problem

__all__ = ["PAYLOADS", "Campaign", "CampaignFile"]

PAYLOADS = ("payload", "payload2", "payload3")


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
    payload2: str | None = text("File of a second payload.", default=None, example="payload2.toml")
    payload3: str | None = text("File of a third payload.", default=None, example="payload3.toml")
    boosters: str | None = text(
        "File of the boosters: pressure stages beside the vehicle.",
        default=None,
        example="boosters.toml",
    )
    upper: str | None = text(
        "File of the upper stage: a pressure stage on top of the vehicle.",
        default=None,
        example="upper.toml",
    )
    avionics: str | None = text("File of the avionics.", default=None, example="avionics.toml")
    site: str = text("File of the site.", example="site.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Campaign:
    """A campaign folder, read and checked.

    ``hashes`` maps each document's file name to the SHA-256 of its bytes; ``warnings`` are the
    doubtful things that reading found. ``programs`` are by the controller that runs them.
    """

    folder: Path
    head: CampaignFile
    vehicle: Vehicle
    payload: Payload | None
    site: Site
    hashes: dict[str, str]
    warnings: tuple[Problem, ...] = ()
    payload2: Payload | None = None
    payload3: Payload | None = None
    boosters: Boosters | None = None
    upper: Upper | None = None
    avionics: Avionics | None = None
    programs: dict[str, Program] = field(default_factory=dict)

    @property
    def payloads(self) -> dict[str, Payload]:
        """The payloads by their roots, ``"payload"`` first."""
        given = {root: getattr(self, root) for root in PAYLOADS}
        return {root: payload for root, payload in given.items() if payload is not None}

    @property
    def documents(self) -> dict[str, Any]:
        """Every document by its root, in the order in which they are flattened."""
        roots = ("vehicle", *PAYLOADS, "boosters", "upper", "avionics", "site")
        given = {root: getattr(self, root) for root in roots}
        return {root: document for root, document in given.items() if document is not None}
