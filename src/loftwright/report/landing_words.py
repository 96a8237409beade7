"""Where everything comes down, body by body: in a sentence with the chance that matters."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from loftwright.documents.campaign import PAYLOADS
from loftwright.field.shapes import ground_shapes
from loftwright.flight.chance import Chance, chance_of
from loftwright.flight.obstacles import catching
from loftwright.physics.hazard import LIGHT_INJURY_ENERGY
from loftwright.report.bodies import in_order
from loftwright.report.quantities import amount
from loftwright.report.reading import Floats, Reading, compass, listed, often

__all__ = ["landed_bodies", "landing_sentences", "outside"]


def landed_bodies(read: Reading) -> list[str]:
    """Return the bodies that come down, in this flight or in any of the ensemble."""
    columns = read.ensemble.columns if read.ensemble else {}
    seen = {
        name.removeprefix("touchdown_").removesuffix("_time_s")
        for name in columns
        if name.startswith("touchdown_")
        and name.endswith("_time_s")
        and np.isfinite(columns[name]).any()
    }
    return in_order(seen | set(read.flight.touchdown))


def outside(read: Reading, points: Floats) -> tuple[str, Chance] | None:
    """Return what the field is called and how often landings leave it; None without an edge."""
    edges = [each for each in ground_shapes(read.campaign.site) if each.kind == "field edge"]
    if not edges or not len(points):
        return None
    held = np.logical_or.reduce([edge.holds(points) for edge in edges])
    return edges[0].name if len(edges) == 1 else "the field", chance_of(~held)


def landing_sentences(read: Reading) -> Iterator[str]:
    """Yield where, when and how hard each body comes down, and how often outside the field."""
    bodies = landed_bodies(read)
    for body in bodies:
        yield _landing(read, body)
    yield from _hard(read, bodies)


def _landing(read: Reading, body: str) -> str:
    points, base = read.places(body), f"touchdown_{body}"
    if not len(points):
        return f"{read.name(body)} does not come down."
    east, north = np.median(points, axis=0).tolist()
    far = amount(math.hypot(east, north), "distance", read.system, 2)
    torn = ", torn off," if body in PAYLOADS and read.tears(body) else ""
    return (
        f"{read.name(body)}{torn} comes down {far} to the {compass(east, north)} of the pad, "
        f"{read.shown(f'{base}_time_s', 'time')} after liftoff, at "
        f"{read.shown(f'{base}_speed_m_s', 'speed')} and with "
        f"{read.shown(f'{base}_energy_j', 'energy')}{_spread(read, body, points)}."
    )


def _spread(read: Reading, body: str, points: Floats) -> str:
    """How far off it may be, and how often it leaves the field."""
    left = outside(read, points)
    if read.ensemble is None:
        caught = read.flight.touchdown.get(body, {}).get("caught")
        return f"; {_catcher(read, caught)} has caught it" if caught is not None else ""
    reach = float(np.quantile(np.hypot(*points.T), 0.9))
    said = f"; 9 in 10 within {amount(reach, 'distance', read.system, 2)} of the pad"
    return said + (f", outside {left[0]} {often(left[1])}" if left else "")


def _catcher(read: Reading, number: float) -> str:
    return read.campaign.site.shape[catching(read.campaign.site)[int(number)]].name


def _hard(read: Reading, bodies: list[str]) -> Iterator[str]:
    """Say what comes down hard enough to hurt, by the lowest published threshold."""
    limit = amount(LIGHT_INJURY_ENERGY, "energy", read.system, 2)
    hard = []
    for body in bodies:
        energy = _energies(read, body)
        above = energy > LIGHT_INJURY_ENERGY
        if above.any():
            times = f" {often(chance_of(above))}" if read.ensemble else ""
            hard.append(f"{read.name(body)}{times}")
    what = "the least that 14 CFR 107.120 reckons with; a nose or a fin hurts with far less"
    if hard:
        yield f"More than {limit} at the ground, {what}: {listed(hard)}."
    elif bodies:
        yield f"{_nothing(read, bodies)} with more than {limit}, {what}."


def _nothing(read: Reading, bodies: list[str]) -> str:
    """Say that nothing comes down so; of many flights, in how many it was counted."""
    if read.ensemble is None:
        return "Nothing comes down"
    known = max((_energies(read, body) for body in bodies), key=len)
    times = often(chance_of(known > LIGHT_INJURY_ENERGY))
    return f"{times[:1].upper()}{times[1:]} does anything come down"


def _energies(read: Reading, body: str) -> Floats:
    if read.ensemble is None:
        return np.array([read.flight.touchdown.get(body, {}).get("energy_j", math.nan)])
    column = np.asarray(read.ensemble.columns.get(f"touchdown_{body}_energy_j", np.zeros(0)))
    return column[np.isfinite(column)]
