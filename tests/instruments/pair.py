"""A campaign with two controllers: one for the payload, one for the canopy, each with a battery."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from documents.bad_wired import WIRED

from loftwright.documents import Campaign, flatten, read_campaign
from loftwright.documents.avionics import Controller, FaultChance
from loftwright.flight.draws import bounds_of, draw
from loftwright.units import Quantity


@cache
def single() -> Campaign:
    """The wired campaign of the documents."""
    return read_campaign(WIRED)


@cache
def pair() -> Campaign:
    """The same with a controller of its own for the canopy, at another pace."""
    campaign = single()
    avionics = campaign.avionics
    assert avionics is not None
    cell = replace(avionics.battery[0], name="canopy cell")
    second = Controller(
        name="backup",
        program="program-backup.toml",
        battery="canopy cell",
        senses="baro",
        clock_drift=Quantity(0.0, 0.01),
    )
    lid = replace(avionics.actuator[1], controller="backup", battery="canopy cell")
    program = campaign.programs["main"]
    slower = replace(program, sample_every=Quantity(0.05))
    return replace(
        campaign,
        avionics=replace(
            avionics,
            battery=(*avionics.battery, cell),
            controller=(*avionics.controller, second),
            actuator=(avionics.actuator[0], lid),
        ),
        programs={"main": program, "backup": slower},
    )


def with_chances(campaign: Campaign, *chances: FaultChance) -> Campaign:
    assert campaign.avionics is not None
    return replace(campaign, avionics=replace(campaign.avionics, fault=chances))


def flattened(
    campaign: Campaign, flights: int, first: int = 0
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return values, with what is uncertain drawn, and words."""
    values, sds, words = flatten(campaign)
    drawn = draw(values, sds, bounds_of(campaign), 1, flights, first)
    return {**values, **drawn}, dict(words)
