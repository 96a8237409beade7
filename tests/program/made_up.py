"""Release programs and readings made up at random over all that their forms allow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.program.table import (
    NO_TIME,
    Act,
    Action,
    Clock,
    Estimator,
    Exit,
    Op,
    Seen,
    Stage,
    Step,
    Table,
)

__all__ = ["HEIGHT_SERIES", "Readings", "demo", "readings", "table"]

# Height above the pad in a standard atmosphere at 15 degC as a series in the share of pressure
# lost: h = T0/L (1 - (1 - x)^(R L/g)), by the binomial theorem (T0 288.15 K, L 6.5 K/km,
# R 287.05287 J/(kg K), g 9.80665 m/s2: International Standard Atmosphere, ISO 2533).
HEIGHT_SERIES = (8434.510, 3414.8669, 2060.0035, 1447.0170, 1102.5508, 883.82987)

# Where thresholds lie, so that readings cross them.
_SPANS = {
    Seen.HEIGHT: (-5.0, 120.0),
    Seen.CLIMB: (-30.0, 60.0),
    Seen.DROP: (-1.0, 30.0),
    Seen.PRESSURE: (95_000.0, 102_000.0),
    Seen.PUSH: (-20.0, 120.0),
    Seen.SWITCH: (-0.5, 1.5),
}


def _single(value: float) -> float:
    return float(np.float32(value))


# ---------------------------------------------------------------- programs


def table(seed: int) -> Table:
    """Return a program made up from a seed: any estimator, stages, exits, conditions, acts."""
    random = np.random.default_rng([seed, 1])
    outputs = int(random.integers(0, 5))
    stages = int(random.integers(1, 7))
    least, most = (30_000.0, 110_000.0) if random.random() < 0.8 else _range(random)
    gains = [_single(each) for each in _gains(random)]
    series = HEIGHT_SERIES if random.random() < 0.8 else random.normal(0, 5000, 6)
    return Table(
        name=f"made up {seed}",
        outputs=tuple(f"output {number}" for number in range(outputs)),
        stages=tuple(_stage(random, number, stages, outputs) for number in range(stages)),
        step_ms=int(random.choice([1, 5, 10, 20, 50])),
        estimator=Estimator(random.integers(0, 3)),
        height_gain=gains[0],
        climb_gain=gains[1],
        reference_gain=gains[2],
        least_pa=least,
        most_pa=most,
        height_series=tuple(_single(each) for each in series),
    )


def _range(random: np.random.Generator) -> tuple[float, float]:
    """A range of readings that hardly refuses anything, or everything."""
    ranges = [(1.0, 1e6), (1.0, 3e38), (-1e5, 1e5), (90_000.0, 80_000.0), (0.0, 1e-38)]
    least, most = ranges[random.integers(0, len(ranges))]
    return _single(least), _single(most)


def _gains(random: np.random.Generator) -> NDArray[np.float64]:
    kind = random.integers(0, 4)
    if kind == 0:
        return random.choice([0.0, 1.0, 2.0, -1.0, 1e-30], 3)
    return random.uniform(0.0, 1.0, 3) * [1.0, 10.0, 0.1]


def _stage(random: np.random.Generator, number: int, stages: int, outputs: int) -> Stage:
    acts = [_act(random, outputs) for _ in range(random.integers(0, 4))] if outputs else []
    return Stage(
        name=f"stage {number}",
        exits=tuple(_exit(random, stages) for _ in range(random.integers(0, 4))),
        acts=tuple(acts),
        is_ground=bool(random.random() < 0.3),
        marks_launch=bool(random.random() < 0.3),
    )


def _act(random: np.random.Generator, outputs: int) -> Act:
    action = Action(random.integers(0, 4))
    for_ms = int(random.choice([0, 1, 20, 70, 500])) if action >= Action.PULSE else 0
    return Act(int(random.integers(0, outputs)), action, for_ms)


def _exit(random: np.random.Generator, stages: int) -> Exit:
    def maybe(chance: float, most: int) -> int:
        return int(random.integers(0, most)) if random.random() < chance else NO_TIME

    always = random.random() < 0.15
    return Exit(
        to=int(random.integers(0, stages)),
        condition=() if always else tuple(_condition(random, int(random.integers(0, 5)))),
        hold_ms=int(random.choice([0, 0, 20, 50, 100, 300])),
        not_before_ms=max(0, maybe(0.3, 400)),
        not_after_ms=maybe(0.2, 600),
        backup_ms=maybe(0.2, 900),
        clock=Clock(random.integers(0, 2)),
    )


def _condition(random: np.random.Generator, depth: int) -> list[Step]:
    kind = random.random()
    if depth == 0 or kind < 0.3:
        seen = Seen(random.integers(0, 6))
        return [Step(Op(random.integers(0, 4)), seen, _single(random.uniform(*_SPANS[seen])))]
    if kind < 0.45:
        return [*_condition(random, depth - 1), Step(Op.NOT)]
    joined = [*_condition(random, depth - 1), *_condition(random, depth - 1)]
    return [*joined, Step(Op.AND if kind < 0.7 else Op.OR)]


# ---------------------------------------------------------------- readings


@dataclass(frozen=True)
class Readings:
    """What n controllers are shown in m samples, each (n, m); as ``runner.Streams`` names them."""

    pressure: NDArray[np.float32]
    push: NDArray[np.float32]
    line: NDArray[np.int32]
    now: NDArray[np.int32]
    alive: NDArray[np.int32]
    restart: NDArray[np.int32]


def readings(seed: int, count: int, samples: int, step_ms: int, *, cuts: bool = True) -> Readings:
    """Make up readings from a seed: flights and worse, with spikes, dropouts and power cuts."""
    random = np.random.default_rng([seed, 2])
    size = (count, samples)
    height = _heights(random, size)
    pressure = 101_325.0 * (1.0 - height / 44_330.0) ** 5.2559 + random.normal(0, 3, size)
    pressure = _spoil(random, pressure.astype(np.float32))
    push = random.choice([9.8, 60.0, 0.0, -5.0], (count, 1)) + random.normal(0, 20, size)
    alive = np.ones(size, np.int32)
    if cuts:
        alive[(random.random(size) < 0.02).cumsum(axis=1) % 4 == 1] = 0
        alive[random.random(count) < 0.5] = 1  # half of them have steady power
    restart = np.zeros(size, np.int32)
    restart[:, 1:] = (alive[:, 1:] == 1) & (alive[:, :-1] == 0)
    return Readings(
        pressure=pressure,
        push=_spoil(random, push.astype(np.float32)),
        line=(random.random(size) < random.choice([0.0, 0.1, 0.5, 1.0], (count, 1))).astype("i4"),
        now=_clock(random, restart, step_ms),
        alive=alive,
        restart=restart,
    )


def _heights(random: np.random.Generator, size: tuple[int, int]) -> NDArray[np.float64]:
    """Up and down again, each at its own speed; some only wander."""
    count, samples = size
    time = np.linspace(0.0, 1.0, samples) * random.uniform(1, 8, (count, 1))
    off = np.maximum(time - random.uniform(0, 2, (count, 1)), 0.0)
    flown = np.maximum(random.uniform(5, 50, (count, 1)) * off - 4.9 * off**2, 0.0)
    wander = np.cumsum(random.normal(0, 1, size), axis=1)
    return np.where(random.random((count, 1)) < 0.7, flown, wander)


def _spoil(random: np.random.Generator, values: NDArray[np.float32]) -> NDArray[np.float32]:
    """Put into some streams: gaps, spikes, values that stick, or nothing but bits at random."""
    count, samples = values.shape
    kind = random.integers(0, 6, count)
    odd = np.float32([np.nan, np.inf, -np.inf, 0.0, -0.0, 1e-42, -7.0, 3e38, 30_000.0, 110_000.0])
    spikes = random.random(values.shape) < 0.1
    values[spikes & (kind == 1)[:, None]] = random.choice(odd)
    spread = random.choice(odd, values.shape)
    values = np.where(spikes & (kind == 2)[:, None], spread, values)
    stuck = (np.arange(samples) > random.integers(0, samples, (count, 1))) & (kind == 3)[:, None]
    values = np.where(stuck, values[:, :1], values)
    bits = random.integers(0, 2**32, values.shape, dtype=np.uint32).view(np.float32)
    return np.where((kind == 4)[:, None], bits, values).astype(np.float32)


def _clock(
    random: np.random.Generator, restart: NDArray[np.int32], step_ms: int
) -> NDArray[np.int32]:
    """A clock that never runs back but at restarts; some are uneven, some stand."""
    steps = np.full(restart.shape, step_ms)
    uneven = random.random((len(restart), 1)) < 0.3
    steps = np.where(uneven, random.integers(0, 2 * step_ms + 1, restart.shape), steps)
    total = np.cumsum(steps, axis=1)
    last = np.maximum.accumulate(np.where(restart != 0, total, 0), axis=1)
    return (total - last).astype(np.int32)


# ---------------------------------------------------------------- one that could fly


def demo() -> Table:
    """Return a program as a person might write it: a payload is let go, then a canopy."""

    def over(seen: Seen, constant: float) -> Step:
        return Step(Op.MORE, seen, _single(constant))

    def under(seen: Seen, constant: float) -> Step:
        return Step(Op.LESS, seen, _single(constant))

    off = (over(Seen.PUSH, 29.42), over(Seen.HEIGHT, 12.0), Step(Op.OR))
    slow = (under(Seen.CLIMB, 15.24),)
    falling = (under(Seen.CLIMB, 0.0), over(Seen.DROP, 2.0), Step(Op.AND))
    launch = Clock.LAUNCH
    stages = (
        Stage("pad", (Exit(1, off, hold_ms=60),), is_ground=True),
        Stage("climbing", (Exit(2, slow, 40, 800, NO_TIME, 3600, launch),), marks_launch=True),
        Stage("let go", (Exit(3, falling, 60, 0, NO_TIME, 5500, launch),), (Act(0, Action.OPEN),)),
        Stage("under canopy", (Exit(4, (under(Seen.HEIGHT, 5.0),), 2000),), (Act(1, Action.OPEN),)),
        Stage("down", (Exit(4, (), 0, 3000),), (Act(2, Action.SOUND, 500),)),
    )
    return Table(
        name="Main release",
        outputs=("latch", "canopy", "beeper"),
        stages=stages,
        step_ms=20,
        estimator=Estimator.TRACKING,
        height_gain=_single(0.35),
        climb_gain=_single(3.6),
        reference_gain=_single(0.004),
        least_pa=30_000.0,
        most_pa=110_000.0,
        height_series=tuple(_single(each) for each in HEIGHT_SERIES),
    )
