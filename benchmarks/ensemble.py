"""Ensembles that the benchmarks fly: the demo campaign, its glider with its wing or as a point."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from loftwright.documents.build import build
from loftwright.documents.payload import Payload
from loftwright.documents.reading import read_campaign
from loftwright.documents.source import Source
from loftwright.flight import blocks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from loftwright.documents.campaign import Campaign
    from loftwright.flight.kernel.body import Body

__all__ = ["CAMPAIGN", "SEED", "alone", "bodies_of", "pointed", "winged"]

CAMPAIGN = Path(__file__).resolve().parent.parent / "examples" / "sedge-lift"
SEED = 1
POINT = Path(__file__).with_name("point_payload.toml")


def winged() -> Campaign:
    """The demo campaign with its hold mended: its glider flies in six degrees of freedom."""
    return read_campaign(CAMPAIGN.with_name("sedge-lift-mended"))


def pointed() -> Campaign:
    """The demo campaign with a payload that flies as a point on its polar."""
    source = Source(POINT.name, data=tomllib.loads(POINT.read_text(encoding="utf-8")))
    payload = build(Payload, source)
    assert isinstance(payload, Payload)
    return replace(read_campaign(CAMPAIGN), payload=payload)


def bodies_of(campaign: Campaign, flights: int) -> list[Body]:
    """Return the bodies of an ensemble, ready to fly."""
    return blocks.rows_of(blocks.recipe_of(campaign, SEED, 1e-6), 0, flights)[0]


def alone(bodies: Sequence[Body], flight: int) -> list[Body]:
    """Return one flight in tables of its own."""
    which = slice(flight, flight + 1)
    return [
        body._replace(parameters=body.parameters[which], states=body.states[which])
        for body in bodies
    ]
