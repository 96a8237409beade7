"""Campaigns for tests: the examples, with fields set to other values."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.documents.reading import read_campaign
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
