"""Runs a release program over recorded or made-up readings, compiled: many streams at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loftwright.program.flatten import Lanes, flat, new_state
from loftwright.program.kernel import slots
from loftwright.program.kernel.streams import run_streams
from loftwright.program.table import Table

__all__ = ["MOST_OUTPUTS", "Decisions", "Streams", "run"]

MOST_OUTPUTS = 31  # whose levels fit one whole number
Whole = NDArray[np.int32]
Single = NDArray[np.float32]


@dataclass(frozen=True)
class Streams:
    """Readings of n controllers, m samples each: every array is (n, m) or may be stretched to it.

    ``pressure`` in Pa and ``push`` in m/s2, not-a-number where nothing measures them; ``line`` 1
    when the line is open; ``alive`` 0 while a controller is without power. ``restart`` is 1 in
    the sample in which power is back (left out: wherever ``alive`` goes up), ``now`` the
    controller's clock in ms since its last power-up (left out: the program's step a sample).
    """

    pressure: ArrayLike
    push: ArrayLike = float("nan")
    line: ArrayLike = 0
    now: ArrayLike | None = None
    alive: ArrayLike = 1
    restart: ArrayLike | None = None


class _Plain(NamedTuple):
    """Streams with nothing left out, each (n, m), in the order in which the kernel takes them."""

    pressure: Single
    push: Single
    line: Whole
    now: Whole
    alive: Whole
    restart: Whole


@dataclass(frozen=True)
class Decisions:
    """What a program decided in n streams of m samples.

    ``opened`` (n, outputs) is the sample in which each output's level first went up, ``launched``
    (n,) the one in which launch was first sensed; -1 where that did not happen. ``last_stage``
    (n,). The others are (n, m), after each sample: number of the stage, height in m, climb in m/s,
    and the outputs' levels, bit i that of output i; empty unless asked for.
    """

    opened: Whole
    launched: Whole
    last_stage: Whole
    stage: Whole = field(default_factory=lambda: np.zeros((0, 0), np.int32))
    height: Single = field(default_factory=lambda: np.zeros((0, 0), np.float32))
    climb: Single = field(default_factory=lambda: np.zeros((0, 0), np.float32))
    levels: Whole = field(default_factory=lambda: np.zeros((0, 0), np.int32))


def run(table: Table, streams: Streams, *, every_sample: bool = False, plain: bool = False) -> Any:
    """Run a release program over streams of readings; return ``Decisions``.

    ``every_sample`` asks for what is after each sample too. With ``plain`` the kernel is not
    compiled: slow, for tests and for looking into it. Raises ``ValueError`` for streams that do
    not fit together, and for more than ``MOST_OUTPUTS`` outputs with ``every_sample``.
    """
    if every_sample and len(table.outputs) > MOST_OUTPUTS:
        raise ValueError(f"the levels of {len(table.outputs)} outputs do not fit one number")
    filled = _fill(table, streams)
    kernel = run_streams if plain else _compiled()
    with np.errstate(all="ignore"):
        parts = [_run_block(table, block, kernel, every_sample) for block in _blocks(filled)]
    count = len(filled.pressure)
    if not parts:
        nobody = np.zeros(0, np.int32)
        return Decisions(np.zeros((0, len(table.outputs)), np.int32), nobody, nobody)
    return Decisions(*(np.concatenate(each)[:count] for each in zip(*parts, strict=True)))


@cache
def _compiled() -> Any:
    from loftwright.compiling.clone import compiled

    return compiled(run_streams)


# ---------------------------------------------------------------- streams into blocks of lanes


def _fill(table: Table, streams: Streams) -> _Plain:
    given = [streams.pressure, streams.push, streams.line, streams.alive]
    given += [each for each in (streams.now, streams.restart) if each is not None]
    shape = np.broadcast_shapes(*(np.shape(each) for each in given))
    if len(shape) != 2:
        raise ValueError(f"streams are arrays of two dimensions, these are of {len(shape)}")
    alive = _stretched(streams.alive, np.int32, shape)
    restart = _rises(alive) if streams.restart is None else streams.restart
    restart = _stretched(restart, np.int32, shape)
    now = _clock(table, restart) if streams.now is None else streams.now
    return _Plain(
        pressure=_stretched(streams.pressure, np.float32, shape),
        push=_stretched(streams.push, np.float32, shape),
        line=_stretched(streams.line, np.int32, shape),
        now=_stretched(now, np.int32, shape),
        alive=alive,
        restart=restart,
    )


def _stretched(values: ArrayLike, kind: Any, shape: tuple[int, ...]) -> NDArray[Any]:
    return np.broadcast_to(np.asarray(values, kind), shape)


def _rises(alive: Whole) -> Whole:
    """Return where power is back after it was gone."""
    rises = np.zeros(alive.shape, np.int32)
    rises[:, 1:] = (alive[:, 1:] != 0) & (alive[:, :-1] == 0)
    return rises


def _clock(table: Table, restart: Whole) -> Whole:
    samples = np.arange(restart.shape[1], dtype=np.int32)
    last = np.maximum.accumulate(np.where(restart != 0, samples, 0), axis=1)
    clock: Whole = (samples - last).astype(np.int32) * np.int32(table.step_ms)
    return clock


def _blocks(streams: _Plain) -> Iterator[_Plain]:
    """Yield LANES streams at a time; the last block is filled up with the last stream."""
    count = len(streams.pressure)
    for first in range(0, count, slots.LANES):
        rows = np.minimum(np.arange(first, first + slots.LANES), count - 1)
        yield _Plain._make(np.ascontiguousarray(each[rows].T).reshape(-1) for each in streams)


# ---------------------------------------------------------------- one block


def _run_block(table: Table, block: _Plain, kernel: Any, every_sample: bool) -> list[NDArray[Any]]:
    program, state = flat(table), new_state(table)
    samples = len(block.pressure) // slots.LANES
    room = [np.zeros(slots.LANES, each.dtype) for each in block]
    noted = _room(samples if every_sample else 0)
    kernel(samples, *program, *state, *block, *room, *noted)
    seen = [each.reshape(-1, slots.LANES).T for each in noted]
    return [*_first_times(table, state, program.ints), *seen]


def _room(samples: int) -> list[NDArray[Any]]:
    kinds = (np.int32, np.float32, np.float32, np.int32)
    return [np.zeros(samples * slots.LANES, kind) for kind in kinds]


def _first_times(table: Table, state: Lanes, ints: Whole) -> list[Whole]:
    whole, lanes = state.whole, slots.LANES
    first = ints[slots.OPENED]
    opened = whole[first : first + len(table.outputs) * lanes].reshape(-1, lanes).T
    launched = whole[slots.SENSED : slots.SENSED + lanes]
    return [opened, launched, whole[slots.STAGE : slots.STAGE + lanes]]
