"""Records on one grid of times, recorded ones and simulated ones alike, aligned at liftoff.

Whatever is read off a record to judge causes by is read off these, so that nothing tells a real
record from a simulated one but the flight itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.log_guess import rest_of
from loftwright.rehearsal.kernel.loop import (
    TAPE_ALIVE,
    TAPE_PRESSURE,
    TAPE_PUSH,
    TAPE_STAGE,
    TAPE_VOLTS,
)
from loftwright.rehearsal.recorded import heights_over, port_pressure
from loftwright.rehearsal.recording import Tapes

__all__ = ["LONGEST", "PAD", "Layout", "Records", "layout_of", "records_of_log", "records_of_tapes"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Bools = NDArray[np.bool_]

PAD = 10.0  # s of the pad that are looked at, at most
LEAST_PAD = 5.0  # s that a simulated record shows of it where the real one's liftoff is unknown
LONGEST = 60.0  # s of the flight that are looked at
FIRST = 25  # readings whose median is the rest, as `log_guess.rest_of`
ABSURD = 900.0  # m over or under the pad that no such flight reaches: the sensor speaks, not air
RISE, CLEAR, HELD = 5.0, 8.0, 0.25  # a liftoff: see `recorded.pressure_truth`
LIFTED, LIFTED_NOISE = 1.0, 3.0
KNOCK = 30.0  # m/s2: a push that is taken for liftoff where no pressure shows one ...
KNOCK_HELD = 0.06  # s ... if it lasts
NEAR = 0.6  # s round the liftoff that the pressure shows, in which the push may show it better


@dataclass(frozen=True, slots=True)
class Layout:
    """What a controller's record is like, and so what simulated ones are made like.

    ``dt`` is the time from row to row on the grid [s]; ``stages`` are the names of its program's
    stages; ``pad_s`` how much of the pad the record shows; ``channels`` which of "pressure",
    "push", "state" and "battery" it has.
    """

    controller: str
    dt: float
    stages: tuple[str, ...]
    pad_s: float
    pad_temperature: float
    channels: frozenset[str]


@dataclass(frozen=True, slots=True)
class Records:
    """Records of n flights: (n, m) arrays on ``time`` (m,), s from the liftoff that they show.

    Not-a-number stands for what is not there. ``there`` tells where a row was written; ``height``
    is that of the pressure over the record's own rest, where that is a height at all. ``state``
    numbers stages, -1 for none; a number past the last stage is that of another program. ``found``
    says what shows liftoff: 1 the pressure, 2 the push, 3 the stage, 0 nothing does.
    ``reference`` is the pressure at rest [Pa].
    """

    time: Singles
    there: Bools
    pressure: Singles
    height: Singles
    push: Singles
    battery: Singles
    state: NDArray[np.int8]
    found: NDArray[np.int8]
    reference: Singles
    liftoff: Floats  # (n,) s, by the record's own clock


def layout_of(
    controller: str,
    log: FlightLog | None,
    step: float,
    stages: tuple[str, ...],
    pad_temperature: float,
) -> Layout:
    """Describe a controller's record; without a log, one that shows all that could be recorded."""
    every = frozenset(("pressure", "push", "state", "battery"))
    if log is None:
        return Layout(controller, step, stages, LEAST_PAD, pad_temperature, every)
    channels = {"pressure"}
    if log.push_m_s2 is not None and np.isfinite(log.push_m_s2).any():
        channels.add("push")
    if log.battery_v is not None and np.isfinite(log.battery_v).any():
        channels.add("battery")
    known = {stage.casefold() for stage in stages}
    if any(mark.words.strip().casefold() in known for mark in log.marks):
        channels.add("state")
    steps = np.diff(log.time_s)
    usual = float(np.median(steps[steps > 0.0])) if (steps > 0.0).any() else step
    dt = step * max(1.0, np.ceil(usual / step - 0.05))
    alone = Layout(controller, dt, stages, LEAST_PAD, pad_temperature, frozenset(channels))
    seen = records_of_log(log, alone)
    if not seen.found[0]:
        return alone
    shown = float(seen.liftoff[0] - log.time_s[0])
    pad = float(np.clip(shown, 0.5, PAD))
    return Layout(controller, dt, stages, pad, pad_temperature, frozenset(channels))


def _state_numbers(log: FlightLog, stages: tuple[str, ...]) -> NDArray[np.int8]:
    """Number of the stage of each row of a log."""
    own = {stage.casefold(): number for number, stage in enumerate(stages)}
    found = np.full(len(log.time_s), -1, np.int8)
    rows = np.searchsorted(log.line, [mark.line for mark in log.marks])
    for row, mark in zip(rows, log.marks, strict=True):
        found[row:] = own.get(mark.words.strip().casefold(), len(stages))
    return found


def _answered(pressure: Floats) -> Floats:
    """Return pressures, not-a-number for none at all: so recorders write that nothing answers."""
    return np.where(pressure > 0.0, pressure, np.nan)


def records_of_log(log: FlightLog, layout: Layout) -> Records:
    """Lay a log out on the grid; of rows that share a place, the last counts."""
    dt = layout.dt
    place = np.round((log.time_s - log.time_s[0]) / dt).astype(int)
    kept = place * dt <= PAD * 60.0 + LONGEST
    place = place[kept]
    count = int(place[-1]) + 1
    raw = {
        "pressure": _answered(port_pressure(log, layout.pad_temperature)),
        "push": log.push_m_s2 if "push" in layout.channels else None,
        "battery": log.battery_v if "battery" in layout.channels else None,
    }
    laid = {name: np.full((1, count), np.nan, np.float32) for name in raw}
    for name, values in raw.items():
        if values is not None:
            laid[name][0, place] = values[kept]
    state = np.full((1, count), -1, np.int8)
    if "state" in layout.channels:
        state[0, place] = _state_numbers(log, layout.stages)[kept]
    there = np.zeros((1, count), bool)
    there[0, place] = True
    first = np.array([float(log.time_s[0])])
    return _aligned(layout, first, there, state, **laid)


def records_of_tapes(tapes: Tapes, layout: Layout) -> Records:
    """Lay tapes out on the grid as their recorder would have written them."""
    step = tapes.table.step_ms / 1000.0
    thin = max(1, round(layout.dt / step))
    n = len(tapes.trial)
    begin = np.maximum(np.ceil((-layout.pad_s - tapes.begin) / tapes.step), 0).astype(int)
    count = -(-int((tapes.samples - begin).max()) // thin)
    count = min(count, int((PAD + LONGEST) / layout.dt))
    index = begin[:, None] + thin * np.arange(count)
    inside = index < tapes.samples[:, None]
    index = np.minimum(index, len(tapes.tape) - 1)
    lane = np.arange(n)[:, None]

    def column(number: int) -> Singles:
        found: Singles = tapes.tape[:, number, :][index, lane]
        return found

    there = inside & (column(TAPE_ALIVE) > 0.5)

    def shown(number: int) -> Singles:
        return np.where(there, column(number), np.float32(np.nan))

    own = {stage: number for number, stage in enumerate(layout.stages)}
    names = [stage.name for stage in tapes.table.stages]
    numbers = np.array([own.get(name, len(layout.stages)) for name in names], np.int8)
    state = np.where(there, numbers[column(TAPE_STAGE).astype(int)], np.int8(-1))
    nothing = np.full((n, count), np.nan, np.float32)
    return _aligned(
        layout,
        begin * step,
        there,
        state if "state" in layout.channels else np.full_like(state, -1),
        pressure=shown(TAPE_PRESSURE),
        push=shown(TAPE_PUSH) if "push" in layout.channels else nothing,
        battery=shown(TAPE_VOLTS) if "battery" in layout.channels else nothing,
    )


def _aligned(
    layout: Layout,
    first: Floats,
    there: Bools,
    state: NDArray[np.int8],
    *,
    pressure: Singles,
    push: Singles,
    battery: Singles,
) -> Records:
    """Find what shows liftoff in each record, and lay all of them beside each other from there."""
    dt, (n, count) = layout.dt, there.shape
    reference = np.array([rest_of(row) for row in pressure])
    height = _heights(pressure, reference, layout.pad_temperature)
    start, found = _liftoffs(dt, height, push, state)
    start = np.where(found > 0, start, round(layout.pad_s / dt))
    before = min(round(PAD / dt), int(start.max()))
    after = max(1, min(round(LONGEST / dt), int((count - start).max())))
    index = start[:, None] + np.arange(-before, after)
    inside = (index >= 0) & (index < count)
    index = np.clip(index, 0, count - 1)
    lane = np.arange(n)[:, None]

    def moved(values: Singles) -> Singles:
        return np.where(inside, values[lane, index], np.float32(np.nan))

    return Records(
        time=(np.arange(-before, after) * dt).astype(np.float32),
        there=inside & there[lane, index],
        pressure=moved(pressure),
        height=moved(height),
        push=moved(push),
        battery=moved(battery),
        state=np.where(inside, state[lane, index], np.int8(-1)),
        found=found,
        reference=reference.astype(np.float32),
        liftoff=first + start * dt,
    )


def _heights(pressure: Singles, reference: Floats, temperature: float) -> Singles:
    with np.errstate(invalid="ignore"):
        height = heights_over(pressure.astype(float), reference[:, None], temperature)
        height = np.where(np.abs(height) < ABSURD, height, np.nan)
    return height.astype(np.float32)


def _held(above: Bools, known: Bools, width: int) -> Bools:
    """Where a run of ``width`` places has two known ones at least, and none that is not above."""
    width = max(width, 2)
    bad = np.cumsum(known & ~above, axis=1)
    good = np.cumsum(known & above, axis=1)
    found = np.zeros_like(above)
    last = above.shape[1] - width
    if last > 0:
        found[:, :last] = (bad[:, width:] - bad[:, :-width] == 0) & (
            good[:, width:] - good[:, :-width] >= 2
        )
        found[:, :last] &= (above & known)[:, :last]
    return found


def _liftoffs(
    dt: float, height: Singles, push: Singles, state: NDArray[np.int8]
) -> tuple[NDArray[np.int64], NDArray[np.int8]]:
    """Return the place of liftoff in each record, and what shows it."""
    known = np.isfinite(height)
    level = np.where(known, height, 0.0)
    noise = _noise(height)
    rose = _held(level > np.maximum(RISE, CLEAR * noise)[:, None], known, round(HELD / dt))
    by_pressure, is_pressed = _first(rose)
    calm = known & (level <= np.maximum(LIFTED, LIFTED_NOISE * noise)[:, None])
    columns = np.arange(height.shape[1])
    calm &= columns < by_pressure[:, None]
    by_pressure = np.where(calm.any(axis=1), _last(calm), by_pressure)
    pushed = np.nan_to_num(push) > KNOCK
    lasting = _held(pushed, np.isfinite(push), round(KNOCK_HELD / dt))
    near = np.abs(columns - by_pressure[:, None]) <= NEAR / dt
    sharper, is_sharper = _first(pushed & near)
    by_push, is_pushed = _first(lasting)
    changed = np.zeros_like(pushed)
    changed[:, 1:] = (state[:, 1:] >= 0) & (state[:, :-1] >= 0) & (state[:, 1:] != state[:, :-1])
    by_state, is_stated = _first(changed)
    start = np.where(is_pressed, np.where(is_sharper, sharper, by_pressure), by_push)
    start = np.where(is_pressed | is_pushed, start, by_state)
    found = np.select([is_pressed, is_pushed, is_stated], [1, 2, 3], default=0)
    return start, found.astype(np.int8)


def _noise(height: Singles) -> Floats:
    """Noise of the first readings of each record, m; robust against a few bad ones."""
    head = np.abs(np.diff(height[:, : 2 * FIRST], axis=1))
    head = np.where(np.isfinite(head), head, np.nan)
    enough = np.isfinite(head).any(axis=1)
    found = np.zeros(len(height))
    if enough.any():
        found[enough] = 1.05 * np.nanmedian(head[enough], axis=1)  # of normal noise: 1/(0.954)
    return found


def _first(mask: Bools) -> tuple[NDArray[np.int64], Bools]:
    return mask.argmax(axis=1), np.asarray(mask.any(axis=1))


def _last(mask: Bools) -> NDArray[np.int64]:
    return np.asarray(mask.shape[1] - 1 - mask[:, ::-1].argmax(axis=1))
