"""Many controllers at once: pairs of a case and a flight, laid into lanes and run."""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.compiling.clone import compiled, is_cached
from loftwright.instruments.kernel import slots as instrument_slots
from loftwright.program.flatten import Flat, flat, new_state
from loftwright.program.kernel import slots as program_slots
from loftwright.program.kernel.slots import LANES, NOT_YET
from loftwright.program.table import Table
from loftwright.rehearsal.kernel.loop import TAPE_COLUMNS, listen

__all__ = ["Heard", "Lanes", "Others", "Streams", "hear", "is_ready", "record", "watch"]

CACHE_LINE = 64  # bytes

Single = NDArray[np.float32]
Whole = NDArray[np.int64]


class Streams(NamedTuple):
    """What there is to sense, and the noise it is sensed with: (rows, samples) float32 each."""

    port: Single  # Pa, at the vents
    push: Single  # m/s2
    noise_pressure: Single  # standard normals
    noise_push: Single
    noise_luck: Single


class Others(NamedTuple):
    """Actuators on the controllers' batteries that others move: (actuators, n) each."""

    begins: NDArray[np.int32]  # sample in which it first draws
    ends: NDArray[np.int32]  # sample in which it does no longer; begins where it never does
    currents: Single  # A

    @classmethod
    def none(cls, n: int) -> Others:
        """Return what n controllers have that share their batteries with nobody."""
        sample = np.zeros((0, n), np.int32)
        return cls(sample, sample, np.zeros((0, n), np.float32))

    def take(self, which: Whole) -> Others:
        """Return those of some controllers, in the order asked for."""
        return Others(self.begins[:, which], self.ends[:, which], self.currents[:, which])


class Lanes(NamedTuple):
    """Controllers that run one program, n of them."""

    truth: Whole  # (n,) row of the streams' truth
    noise: Whole  # (n,) row of their noise
    samples: Whole  # (n,)
    parameters: Single  # (instrument_slots.PARAMETERS, n)
    currents: Single  # (outputs, n) A, of the actuators that an output moves
    lengths: NDArray[np.int32]  # (outputs, n) samples that they move for
    others: Others

    def take(self, which: Whole) -> Lanes:
        """Return some of them, in the order asked for."""
        return Lanes(
            self.truth[which],
            self.noise[which],
            self.samples[which],
            self.parameters[:, which],
            self.currents[:, which],
            self.lengths[:, which],
            self.others.take(which),
        )


class Heard(NamedTuple):
    """Samples in which something first happened, NOT_YET for what did not."""

    opened: NDArray[np.int32]  # (outputs, n), an output's level went up
    sensed: NDArray[np.int32]  # (n,), launch was sensed


@cache
def _engine() -> Any:
    return compiled(listen)


def is_ready() -> bool:
    """Tell whether this machine has compiled the loop before."""
    return is_cached(listen)


def hear(table: Table, streams: Streams, lanes: Lanes) -> Heard:
    """Run controllers through their flights.

    A group of ``LANES`` that all listen to the same flight reads it once, and none waits for
    another's longer one; so they are run in the order of lengths and flights, whatever theirs is.
    """
    order = np.lexsort((lanes.noise, lanes.truth, lanes.samples))
    tape = np.zeros((0, TAPE_COLUMNS, LANES), np.float32)
    heard = _run(table, streams, lanes.take(order), _engine(), tape)
    back = np.argsort(order)
    return Heard(heard.opened[:, back], heard.sensed[back])


def watch(table: Table, streams: Streams, lanes: Lanes) -> tuple[Heard, Single]:
    """Run one controller and keep every sample of it.

    The tape has a row a sample: pressure and push as read, whether the controller ran, its stage,
    height and climb as it believes them, the supply's voltage, and the level of each output
    (``kernel.loop``).
    """
    heard, tape = record(table, streams, lanes)
    return heard, np.ascontiguousarray(tape[:, :, 0])


def record(table: Table, streams: Streams, lanes: Lanes) -> tuple[Heard, Single]:
    """Run controllers and keep every sample of each: a tape (samples, columns, n) as `watch` has.

    What stands in it after a lane's own last sample has no meaning. Take few lanes at a time.
    """
    n = len(lanes.samples)
    groups = -(-n // LANES)
    samples = int(lanes.samples.max())
    tape = np.zeros((samples, TAPE_COLUMNS + len(table.outputs), groups * LANES), np.float32)
    return _run(table, streams, lanes, _engine(), tape), tape[:, :, :n]


def _run(table: Table, streams: Streams, lanes: Lanes, engine: Any, tape: Single) -> Heard:
    n = len(lanes.samples)
    groups = -(-n // LANES)
    program, start = flat(table), new_state(table)
    outputs = len(table.outputs)
    opened = np.full((groups, max(outputs, 1) * LANES), NOT_YET, np.int32)
    sensed = np.full((groups, LANES), NOT_YET, np.int32)
    engine(
        _whole(lanes.samples, groups).max(axis=1),
        _whole(lanes.truth, groups),
        _whole(lanes.noise, groups),
        _grouped(lanes.parameters, groups),
        _grouped(lanes.currents, groups),
        _grouped(lanes.lengths, groups),
        tuple(_grouped(each, groups) for each in lanes.others),
        (streams.port.ravel(), streams.push.ravel()),
        (
            streams.noise_pressure.ravel(),
            streams.noise_push.ravel(),
            streams.noise_luck.ravel(),
        ),
        streams.port.shape[1],
        (program.ints, program.floats),
        (start.whole, start.single),
        opened,
        sensed,
        tape,
        _workspace(program),
    )
    by_output = opened.reshape(groups, -1, LANES).transpose(1, 0, 2).reshape(-1, groups * LANES)
    return Heard(by_output[:outputs, :n], sensed.ravel()[:n])


def _filled(values: NDArray[Any], groups: int) -> NDArray[Any]:
    """Repeat the last lane until the last group is full."""
    missing = groups * LANES - values.shape[-1]
    last = np.repeat(values[..., -1:], missing, axis=-1)
    return np.concatenate([values, last], axis=-1)


def _whole(values: Whole, groups: int) -> Whole:
    return np.ascontiguousarray(_filled(values, groups).reshape(groups, LANES), dtype=np.int64)


def _grouped(rows: NDArray[Any], groups: int) -> NDArray[Any]:
    """Turn rows of n lanes into a flat table for each group."""
    by_group = _filled(rows, groups).reshape(len(rows), groups, LANES).transpose(1, 0, 2)
    table = _aligned((groups, len(rows) * LANES), rows.dtype)
    table[:] = by_group.reshape(groups, -1)
    return table


def _workspace(program: Flat) -> tuple[Any, ...]:
    """Make the arrays that the loop writes to in every sample."""
    whole = _aligned(program.ints[program_slots.WHOLE_SIZE], np.int32)
    single = _aligned(program_slots.SINGLE_ROWS * LANES, np.float32)
    memory = _aligned(instrument_slots.MEMORIES * LANES, np.float32)
    port, push, draw, pressure, pushed = _aligned((5, LANES), np.float32)
    noise = _aligned(instrument_slots.NOISE_ROWS * LANES, np.float32)
    line, now, alive, restart = _aligned((4, LANES), np.int32)
    reading = (pressure, pushed, line, now, alive, restart)
    layout = (_aligned(LANES, np.int32), *_aligned((2, LANES), np.int64))
    return whole, single, memory, port, push, noise, draw, reading, layout


def _aligned(shape: Any, kind: Any) -> NDArray[Any]:
    """Make an array that begins where a line of the processor's cache does: no vector spans two."""
    size = int(np.prod(shape)) * np.dtype(kind).itemsize
    room = np.zeros(size + CACHE_LINE, np.uint8)
    begin = -room.ctypes.data % CACHE_LINE
    made: NDArray[Any] = room[begin : begin + size].view(kind).reshape(shape)
    return made
