"""The campaign with several payloads, boosters and an upper stage, for tests."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from loftwright.documents.campaign import Campaign
from loftwright.documents.reading import read_campaign

STAGED = Path(__file__).parents[1] / "documents" / "staged"


@cache
def staged() -> Campaign:
    """Read the staged campaign, once."""
    return read_campaign(STAGED)
