"""Campaigns and ledgers for the tests of this room."""

from __future__ import annotations

import pytest
from ledger import campaigns

from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.taking_in import take_in


@pytest.fixture
def campaign(tmp_path):
    """A copy of the demo campaign, without flights."""
    return campaigns.campaign(tmp_path / "sedge-lift")


@pytest.fixture
def flown(campaign):
    """The demo campaign after two flights: in the first the glider was not let go."""
    saw = campaigns.saw
    campaigns.add_flight(
        campaign,
        "first-lift",
        title="First lift",
        flown="2026-05-03",
        outcome="failure",
        saw=saw("liftoff", by="Ana") + saw("release", "no", of="payload") + saw("canopy open"),
        files={"board.csv": b"time_s,height_m\n0,0\n"},
    )
    campaigns.change(campaign / "payload.toml", 'strength = "11 N', 'strength = "22 N')
    campaigns.add_flight(
        campaign, "second-lift", title="Second lift", flown="2026-05-17", outcome="success"
    )
    return campaign


@pytest.fixture
def ledger(flown):
    """The ledger of that campaign, open."""
    with open_ledger(flown) as opened:
        take_in(opened)
        yield opened
