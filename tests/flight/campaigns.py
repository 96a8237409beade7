"""Campaigns for tests: the examples, with fields set to other values."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from loftwright.documents.build import build
from loftwright.documents.campaign import Campaign
from loftwright.documents.payload import Payload
from loftwright.documents.reading import read_campaign
from loftwright.documents.source import Source
from loftwright.units import Quantity

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def example(name: str) -> Campaign:
    """Read an example campaign, once."""
    return read_campaign(EXAMPLES / name)


def with_fields(campaign: Campaign, changes: dict[str, Any]) -> Campaign:
    """Return the campaign with other values, by path (``"vehicle.fins.0.span"``).

    A float becomes a quantity without spread; None takes an optional field or table out.
    """
    for path, value in changes.items():
        campaign = _with(campaign, path.split("."), value)
    return campaign


def _with(document: Any, path: list[str], value: Any) -> Any:
    if not path:
        return Quantity(value) if isinstance(value, float) else value
    word, *rest = path
    if isinstance(document, tuple):
        index = int(word)
        return (*document[:index], _with(document[index], rest, value), *document[index + 1 :])
    name = "coming_from" if word == "from" else word
    return replace(document, **{name: _with(getattr(document, name), rest, value)})


# A sheet-foam glider whose wing springs open as it is let go.
GLIDER = """
name = "Sandpiper"
kind = "glider"
mass = "28 g"

[carried]
from_nose = "540 mm"
offset = "64 mm"
around = "45 deg"
length = "320 mm"
width = "60 mm"
thickness = "18 mm"

[wing]
from_nose = "80 mm"
span = "420 mm"
root_chord = "85 mm"
tip_chord = "65 mm"
sweep = "10 mm"
dihedral = "7 deg"
incidence = "2 deg"
thickness = "3 mm"
camber = 0.02
unfold_time = "0.2 s"

[tailplane]
from_nose = "270 mm"
span = "150 mm"
root_chord = "50 mm"
tip_chord = "40 mm"
sweep = "10 mm"
thickness = "3 mm"

[fin]
from_nose = "270 mm"
span = "60 mm"
root_chord = "50 mm"
tip_chord = "40 mm"
sweep = "10 mm"
thickness = "3 mm"

[fuselage]
length = "320 mm"
width = "10 mm"
depth = "15 mm"

[balance]
from_nose = "105 mm"

[hold]
strength = "60 N"
friction = 0.2

[release]
when = "climb"
climb = "15 m/s"

[toss]
speed = "1.5 m/s"
"""


@cache
def with_glider() -> Campaign:
    """The demo campaign with a glider whose wing is described."""
    payload = build(Payload, Source("payload.toml", data=tomllib.loads(GLIDER)))
    return replace(example("sedge-lift"), payload=payload)


@cache
def staged() -> Campaign:
    """A campaign with three payloads, two boosters and an upper stage."""
    return read_campaign(Path(__file__).parents[1] / "documents" / "staged")
