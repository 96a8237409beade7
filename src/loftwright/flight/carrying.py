"""What a payload on the side does to the climb: the angle it holds the vehicle at, and the bend.

The same flight is flown several ways at once: as it is, without the payload, and with one of its
effects at a time. What each does on its own, and what they do together, is told apart that way.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import PAYLOADS
from loftwright.flight import engine, steady_trim
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.results import Carrying

__all__ = ["EFFECTS", "carrying", "veers"]

Floats = NDArray[np.float64]

# What a payload does to its carrier, and the rows that do it.
EFFECTS: dict[str, tuple[str, ...]] = {
    "its mass beside the axis": ("ITEM_MASS", "ITEM_IXX", "ITEM_IYY", "ITEM_IZZ", "ITEM_IYZ"),
    "its drag beside the axis": ("ITEM_DRAG",),
    "its push off the body": ("ITEM_PUSH",),
    "its standing edge": ("ITEM_SIDE", "ITEM_SLOPE"),
}
UNBREAKABLE = 1e12  # N
CAPACITY = 4_000
FINE = (2e-3, 2e-2)  # s between samples
COARSE = (1e-2, 4e-2)
COARSE_CAPACITY = 400
TOGETHER = 32  # flights whose samples are kept at once
LEAST_MASS = 1e-9  # kg, of what is there for its air alone


def _payload_items(bodies: Sequence[Body]) -> list[int]:
    """Numbers of the payloads among the things of the body on the pad."""
    return [
        item
        for body in bodies
        if body.name in PAYLOADS
        for parent, item in body.parents
        if parent == 0
    ]


def _set(table: Floats, name: str, items: Sequence[int], value: float) -> None:
    for item in items:
        table[:, (getattr(slots, name) + item * slots.ITEM) // slots.LANES] = value


def _only(table: Floats, items: Sequence[int], kept: Sequence[str]) -> Floats:
    """Leave a payload one of its effects."""
    changed = table.copy()
    for names in EFFECTS.values():
        for name in names:
            if name not in kept:
                _set(changed, name, items, LEAST_MASS if name == "ITEM_MASS" else 0.0)
    return changed


def _without(table: Floats, items: Sequence[int]) -> Floats:
    changed = table.copy()
    _set(changed, "ITEM_ATTACHED", items, 0.0)
    return changed


def _held(table: Floats, items: Sequence[int]) -> Floats:
    """Holds that bear anything: what is asked is the flight with the payload on."""
    changed = table.copy()
    for name in ("ITEM_ALONG", "ITEM_ACROSS", "ITEM_PEEL"):
        _set(changed, name, items, UNBREAKABLE)
    return changed


def _no_spin(table: Floats) -> Floats:
    changed = table.copy()
    changed[:, slots.ROLL_FORCING // slots.LANES] = 0.0
    return changed


def _climb(tape: Floats, figures: Floats) -> Floats:
    """Samples of a flight up to its top."""
    top = figures[slots.APOGEE_TIME]
    return tape[tape[:, slots.RECORD_TIME] <= top] if np.isfinite(top) else tape


def _column(tape: Floats, slot: int) -> Floats:
    return tape[:, slots.RECORD_STATE + slot // slots.LANES]


def _place_at(tape: Floats, height: float) -> tuple[float, float] | None:
    """East and north of a climb where it passes a height, or None where it does not."""
    up = _column(tape, slots.UP)
    if len(up) < 2 or not up[0] <= height <= up[-1]:
        return None
    rising = np.maximum.accumulate(up)
    east = np.interp(height, rising, _column(tape, slots.EAST))
    north = np.interp(height, rising, _column(tape, slots.NORTH))
    return float(east), float(north)


def _aside(tape: Floats, bare: Floats, height: float) -> tuple[float, float] | None:
    """How far east and north a climb passes of another at a height."""
    here, there = _place_at(tape, height), _place_at(bare, height)
    if here is None or there is None:
        return None
    return here[0] - there[0], here[1] - there[1]


def _height_let_go(figures: Floats, items: Sequence[int]) -> float:
    """Height at which the first payload leaves; of the top where none does."""
    times = [figures[slots.RELEASED_TIME + item * slots.ITEM_FIGURES] for item in items]
    heights = [figures[slots.RELEASED_HEIGHT + item * slots.ITEM_FIGURES] for item in items]
    if not np.isfinite(times).any():
        return float(figures[slots.APOGEE_HEIGHT])
    return float(heights[int(np.nanargmin(times))])


def _fly(
    vehicle: Body,
    tables: Sequence[Floats],
    tolerance: float,
    capacity: int = CAPACITY,
    intervals: tuple[float, float] = FINE,
) -> engine.Raw:
    """Fly the vehicle alone, in several ways side by side."""
    states = np.concatenate([vehicle.states] * len(tables))
    body = vehicle._replace(parameters=np.concatenate(tables), states=states)
    return engine.fly_all(
        [body],
        tolerance=tolerance,
        recorded=len(states),
        capacity=capacity,
        intervals=intervals,
        threads=1,
    )


def _spin(tape: Floats) -> float:
    """Turns about the long axis over some samples."""
    return float(np.trapezoid(_column(tape, slots.ROLL_RATE), tape[:, 0]) / (2.0 * np.pi))


def carrying(bodies: Sequence[Body], tolerance: float = 1e-6) -> Carrying | None:
    """Tell what the payloads do to the climb of one flight; None where nothing is carried.

    ``bodies`` are those of a single flight, as ``prepare`` makes them; they are left unchanged.
    Holds are taken to bear: what a payload that tears off does not do any more is not told.
    """
    items = _payload_items(bodies)
    if not items:
        return None
    vehicle = bodies[0]
    whole = _held(vehicle.parameters, items)
    tables = [
        whole,
        _without(vehicle.parameters, items),
        _no_spin(whole),
        *(_only(whole, items, names) for names in EFFECTS.values()),
    ]
    raw = _fly(vehicle, tables, tolerance)
    climbs = [
        _climb(tape["vehicle"], row) for tape, row in zip(raw.tapes, raw.figures, strict=True)
    ]
    height = _height_let_go(raw.figures[0], items)
    asides = [_aside(climb, climbs[1], height) for climb in climbs]
    without_spin = _aside(climbs[2], _without_spin(vehicle, items, tolerance), height)
    trim = steady_trim.over_climb(whole[0], _carried_part(climbs[0], raw.figures[0], items))
    tops = raw.figures[:2, slots.APOGEE_HEIGHT]
    veer = asides[0]
    return Carrying(
        carry_trim_deg=trim.largest_deg,
        carry_trim_time_s=trim.largest_time_s,
        trim_parts_deg=trim.parts_deg,
        veer_m=hypot(*veer) if veer else None,
        veer_east_m=veer[0] if veer else None,
        veer_north_m=veer[1] if veer else None,
        veer_parts_m={
            name: _along(aside, veer)
            for name, aside in zip(EFFECTS, asides[3:], strict=True)
            if aside is not None and veer is not None
        },
        veer_without_spin_m=hypot(*without_spin) if without_spin else None,
        spin_turns=_spin(_carried_part(climbs[0], raw.figures[0], items)),
        apogee_loss_m=float(tops[1] - tops[0]) if np.isfinite(tops).all() else None,
        apogee_held_m=float(tops[0]) if np.isfinite(tops[0]) else None,
        time=trim.time,
        trim_deg=trim.trim_deg,
        incidence_deg=trim.incidence_deg,
    )


def _without_spin(vehicle: Body, items: Sequence[int], tolerance: float) -> Floats:
    """Climb of the vehicle without payload and without spin."""
    raw = _fly(vehicle, [_no_spin(_without(vehicle.parameters, items))], tolerance)
    return _climb(raw.tapes[0]["vehicle"], raw.figures[0])


def _along(aside: tuple[float, float], veer: tuple[float, float]) -> float:
    """How much of a displacement goes the way of the whole one; the rest goes across it [m]."""
    size = hypot(*veer)
    return (aside[0] * veer[0] + aside[1] * veer[1]) / size if size > 0.0 else 0.0


def _carried_part(climb: Floats, figures: Floats, items: Sequence[int]) -> Floats:
    """Samples from leaving the guide until the first payload leaves."""
    times = [figures[slots.RELEASED_TIME + item * slots.ITEM_FIGURES] for item in items]
    left = min((time for time in times if np.isfinite(time)), default=np.inf)
    begun = figures[slots.GUIDE_EXIT_TIME]
    time = climb[:, slots.RECORD_TIME]
    part: Floats = climb[(time >= begun) & (time <= left)]
    return part


def veers(bodies: Sequence[Body], flights: int, tolerance: float = 1e-6) -> Floats:
    """Veer of each of the first ``flights`` flights [m], NaN where it has none."""
    items = _payload_items(bodies)
    if not items:
        return np.full(flights, np.nan)
    parts = [
        _some_veers(bodies[0], items, start, min(start + TOGETHER, flights), tolerance)
        for start in range(0, flights, TOGETHER)
    ]
    return np.concatenate(parts)


def _some_veers(
    vehicle: Body, items: Sequence[int], start: int, stop: int, tolerance: float
) -> Floats:
    some = vehicle._replace(
        parameters=vehicle.parameters[start:stop], states=vehicle.states[start:stop]
    )
    whole = _held(some.parameters, items)
    raw = _fly(some, [whole, _without(whole, items)], tolerance, COARSE_CAPACITY, COARSE)
    number = stop - start
    found = np.full(number, np.nan)
    for flight in range(number):
        carried, bare = (
            _climb(raw.tapes[k]["vehicle"], raw.figures[k]) for k in (flight, number + flight)
        )
        aside = _aside(carried, bare, _height_let_go(raw.figures[flight], items))
        if aside is not None:
            found[flight] = hypot(*aside)
    return found
