"""The list to go over on the pad: what the documents, the check and the cautions ask for.

What is asked is common practice (no source beyond the cautions and the check's own); amounts are
those of the documents.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from loftwright.report.quantities import stated, unit_of

if TYPE_CHECKING:
    from loftwright.documents.campaign import Campaign
    from loftwright.flight.check import CheckResult

__all__ = ["PadPart", "pad_list"]


@dataclass(frozen=True, slots=True)
class PadPart:
    """A part of the list, in the order in which it is gone over."""

    head: str
    lines: tuple[str, ...]


def pad_list(campaign: Campaign, checked: CheckResult) -> tuple[PadPart, ...]:
    """Return the list for a campaign, in the person's units."""
    parts = (
        PadPart("People", tuple(_people(campaign, checked))),
        PadPart("Vehicle", tuple(_vehicle(campaign))),
        PadPart("Electronics", tuple(_electronics(campaign))),
        PadPart("Fill and pressure", tuple(_fill(campaign, checked))),
        PadPart("Before the release", _BEFORE),
        PadPart("Afterwards", _AFTER),
    )
    return tuple(part for part in parts if part.lines)


_BEFORE = (
    "Watches, cameras and whoever takes bearings are ready, each with a clock that is noted.",
    "Sky and ground are clear: under the flight, downwind, and all around the pad.",
    "Count down aloud, and release from a distance.",
)
_AFTER = (
    "Nobody approaches a pressurised vehicle: vent it from where you stand, then wait.",
    "Note where everything came down, what was seen, and read out the log before power is cut.",
)


def _people(campaign: Campaign, checked: CheckResult) -> Iterator[str]:
    system = campaign.head.units
    yield "Everybody wears eye protection, from the first stroke of the pump."
    test = _away(checked.pressure_test_distance_m, system)
    yield f"Nobody is nearer than {test} while it is under pressure."
    if checked.spectator_distance_m is not None:
        far = _away(checked.spectator_distance_m, system)
        yield f"Whoever looks on stands {far} away or more."
    yield "The landowner knows, and local codes and the rules of the air are kept."


def _away(metres: float, system: str) -> str:
    """Return a distance to keep as it is paced out: rounded up, to whole units and then to tens."""
    unit = unit_of("distance", system)
    least = metres / unit.size - 1e-6  # what is whole in the rule stays so
    step = 1 if least <= 100 else 10
    return f"{math.ceil(least / step) * step}\u00a0{unit.symbol}"


def _vehicle(campaign: Campaign) -> Iterator[str]:
    vehicle = campaign.vehicle
    yield f"{vehicle.name}: no scratch, dent or clouding of the wall; fins and nose sit firmly."
    if vehicle.canopy is not None:
        yield "The canopy is packed, its lines are free, and it comes out by hand."
    for payload in campaign.payloads.values():
        yield f"{payload.name} sits in its hold, and leaves it freely when it is let go by hand."
    lean = stated(campaign.site.launch.elevation.value, "angle", campaign.head.units)
    yield f"The guide stands firmly, at {lean} above the horizon."


def _electronics(campaign: Campaign) -> Iterator[str]:
    avionics = campaign.avionics
    if avionics is None:
        return
    for battery in avionics.battery:
        yield f"Battery {battery.name} is charged, measured, and held so that it cannot slip out."
    for controller in avionics.controller:
        yield (
            f"Controller {controller.name} runs {controller.program} as it was rehearsed, is on, "
            "and says that it is ready."
        )
    for actuator in avionics.actuator:
        yield f"Actuator {actuator.name} was moved once on this day, and is set again."


def _fill(campaign: Campaign, checked: CheckResult) -> Iterator[str]:
    system = campaign.head.units
    fill = campaign.vehicle.fill
    water = stated(fill.water_volume.value, "volume", system)
    pressure = _at_most(fill.gauge_pressure.value, system)
    yield f"Water: {water}, measured."
    if checked.proof_margin is None:
        yield "! Not every vessel was proof-tested: do that first, filled with water."
    yield f"Pressure: {pressure}, by the gauge, from a distance; not more."
    for root in ("boosters", "upper"):
        stage = getattr(campaign, root)
        if stage is not None:
            said = _at_most(stage.fill.gauge_pressure.value, system)
            own = stated(stage.fill.water_volume.value, "volume", system)
            yield f"{stage.name}: {own} of water, {said}."


def _at_most(pressure: float, system: str) -> str:
    """Return a pressure that is not to be exceeded: rounded, it is rounded down."""
    return stated(pressure, "gauge_pressure", system, 4, "down")
