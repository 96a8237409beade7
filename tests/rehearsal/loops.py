"""Closed loops for tests: plans of the examples, quiet instruments, faults by name."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
from flight.campaigns import example, with_fields
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.program import Estimate, Program
from loftwright.instruments.cases import Happening
from loftwright.instruments.rows import place
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.rehearse import known_happenings
from loftwright.rehearsal.results import PAYLOAD, VEHICLE
from loftwright.rehearsal.run import Flown, Trial
from loftwright.units import Quantity

__all__ = [
    "ESTIMATES",
    "LATCH",
    "MENDED",
    "REHEARSED",
    "acts",
    "flown_acts",
    "happening",
    "plan_for",
    "quiet",
    "row",
    "trial",
    "with_program",
    "words",
]

REHEARSED, MENDED = "sedge-lift-rehearsed", "sedge-lift-mended"
LATCH = "latch servo"


@cache
def plan_for(name: str, seed: int = 1) -> Plan:
    """Make an example ready, once."""
    return plan_of(example(name), seed)


def happening(plan: Plan, fault: str, part: str | None = None) -> Happening:
    """Return a fault of the library at a part of a campaign, the first where none is named."""
    return next(
        each
        for each in known_happenings(plan)
        if each.fault.name == fault and part in (None, each.part.name)
    )


def trial(plan: Plan, *faults: str | tuple[str, str]) -> Trial:
    """Return a trial of some faults: names, or names and parts."""
    found = []
    for each in faults:
        name, part = (each, None) if isinstance(each, str) else each
        found.append(happening(plan, name, part))
    return Trial(tuple(found))


def acts(flown: Flown, number: int, thing: str) -> NDArray[np.float64]:
    """Return when a thing is let go in every flight of a trial, s; NaN for never."""
    column = flown.block.things.index(thing)
    found: NDArray[np.float64] = flown.settled.branches.acts[flown.settled.which[number], column]
    return found


def flown_acts(flown: Flown, number: int) -> NDArray[np.float64]:
    """Return all acts of a trial, (flights, things)."""
    found: NDArray[np.float64] = flown.settled.branches.acts[flown.settled.which[number]]
    return found


def row(flown: Flown, number: int, controller: str, name: str) -> NDArray[np.float32]:
    """Return a parameter of a controller's instruments in every flight of a trial."""
    found: NDArray[np.float32] = flown.hearers[number].instruments[controller][place(name)]
    return found


def words(flown: Flown, number: int = 0) -> list[tuple[str, str]]:
    """Return what became of payload and vehicle in every flight of a trial."""
    judged = flown.of(number)
    return [
        (PAYLOAD[payload], VEHICLE[vehicle])
        for payload, vehicle in zip(judged.payload, judged.vehicle, strict=True)
    ]


# ---------------------------------------------------------------- quiet instruments

_QUIET: dict[str, Any] = {
    "avionics.bay.0.vent_count": 64,
    "avionics.bay.0.vent_diameter": 0.02,
    "avionics.bay.0.port_coefficient": 0.0,
    "avionics.barometer.0.noise": 0.0,
    # The finest step that single precision can hold at the pressure of the ground, 2^-7 Pa.
    "avionics.barometer.0.resolution": 0.0078125,
    "avionics.barometer.0.filter": 1,
    "avionics.barometer.0.jitter": 0.0,
    "avionics.barometer.0.warming": 0.0,
    "avionics.barometer.0.temperature_drift": 0.0,
    "avionics.accelerometer.0.noise": 0.0,
    "avionics.accelerometer.0.bias": 0.0,
    "avionics.controller.0.clock_drift": 0.0,
    # The program reckons with the very air that the flight is flown in.
    "site.air.temperature": 290.15,
    "site.air.humidity": 0.0,
}


def quiet(campaign: Campaign) -> Campaign:
    """Return a campaign of one controller whose instruments show what is there, at once."""
    changes = {**_QUIET, "avionics.battery.0.resistance": 0.0}
    for number in range(2):
        changes |= {
            f"avionics.actuator.{number}.delay": 0.0,
            f"avionics.actuator.{number}.travel_time": 0.0,
        }
    return with_fields(campaign, changes)


def with_program(campaign: Campaign, **fields: Any) -> Campaign:
    """Return a campaign of one controller with other fields in its program."""
    ((name, program),) = campaign.programs.items()
    changed: Program = replace(program, **fields)
    return replace(campaign, programs={name: changed})


ESTIMATES = {
    "tracking": Estimate(kind="tracking", unsteadiness=Quantity(20.0), noise=Quantity(0.2)),
    "slow tracking": Estimate(
        kind="tracking", height_gain=Quantity(0.4), climb_gain=Quantity(0.08)
    ),
    "filter": Estimate(kind="filter", height_time=Quantity(0.1), climb_time=Quantity(0.2)),
    "raw": Estimate(kind="raw"),
}
