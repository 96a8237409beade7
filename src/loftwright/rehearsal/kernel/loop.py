"""Controllers that listen to flights: every sample through instruments and program, lane by lane.

A group is LANES controllers with one program, each with instruments and a flight of its own. What
flies is given: nothing here changes it.
"""

import numpy as np

from loftwright.instruments.kernel.sense import begin, sense
from loftwright.instruments.kernel.slots import NOISE_LUCK, NOISE_PRESSURE, NOISE_PUSH
from loftwright.program.kernel.decide import decide
from loftwright.program.kernel.slots import (
    CLIMB,
    HEIGHT,
    LANES,
    LEVEL,
    NEVER,
    NOT_YET,
    OPENED,
    OPENINGS,
    OUTPUTS,
    SENSED,
    STAGE,
    WIDTH,
)

__all__ = ["TAPE_COLUMNS", "listen"]

EXACT = True  # the program's arithmetic is that of a controller

# Columns of the tape of one lane: what was read, whether the controller ran, what it believed.
TAPE_PRESSURE, TAPE_PUSH, TAPE_ALIVE, TAPE_STAGE, TAPE_HEIGHT, TAPE_CLIMB = range(6)
TAPE_COLUMNS = 6
QUIET = np.float32(0.0)


def _restore(start, state):
    for i in range(start.shape[0]):
        state[i] = start[i]


def _row(first, number):
    """Where a row begins, as what the compiler knows not to be negative (see ``decide``)."""
    return (first + number * LANES) & NEVER


def _gather(lanes, k, rows, width, table, values):
    """Take each lane's number of this sample out of the row of its own flight."""
    for l in range(lanes):
        values[l] = table[rows[l] * width + k]


def _spread(lanes, k, row, width, table, values):
    """The same where all lanes have one flight."""
    value = table[row * width + k]
    for l in range(lanes):
        values[l] = value


def _noise(lanes, k, rows, width, tables, noise):
    pressures, pushes, luck = tables
    for l in range(lanes):
        place = rows[l] * width + k
        noise[NOISE_PRESSURE + l] = pressures[place]
        noise[NOISE_PUSH + l] = pushes[place]
        noise[NOISE_LUCK + l] = luck[place]


def _same_noise(lanes, k, row, width, tables, noise):
    pressures, pushes, luck = tables
    place = row * width + k
    pressure, push, lucky = pressures[place], pushes[place], luck[place]
    for l in range(lanes):
        noise[NOISE_PRESSURE + l] = pressure
        noise[NOISE_PUSH + l] = push
        noise[NOISE_LUCK + l] = lucky


def _are_same(lanes, rows):
    different = 0
    for l in range(lanes):
        different |= rows[l] ^ rows[0]
    return different == 0


def _busy_until(lanes, ints, whole, lengths):
    """First sample in which no actuator moves any more."""
    until = 0
    for output in range(ints[OUTPUTS]):
        first = _row(ints[OPENED], output)
        for l in range(lanes):
            opened = whole[first + l]
            if opened != NOT_YET:
                until = max(until, opened + lengths[output * LANES + l])
    return until


def _draw(lanes, k, ints, whole, currents, lengths, draw):
    """Current of the actuators that move: for a while after their output has gone up."""
    for l in range(lanes):
        draw[l] = QUIET
    for output in range(ints[OUTPUTS]):
        opened = _row(ints[OPENED], output)
        first = _row(0, output)
        for l in range(lanes):
            since = k - whole[opened + l]
            moves = (whole[opened + l] != NOT_YET) & (since < lengths[first + l])
            draw[l] += currents[first + l] if moves else QUIET


def _write_down(k, pressure, pushed, alive, whole, single, ints, tape):
    """Keep the sample of the first lane."""
    row = tape[k]
    row[TAPE_PRESSURE] = pressure[0]
    row[TAPE_PUSH] = pushed[0]
    row[TAPE_ALIVE] = alive[0]
    row[TAPE_STAGE] = whole[STAGE]
    row[TAPE_HEIGHT] = single[HEIGHT]
    row[TAPE_CLIMB] = single[CLIMB]
    for output in range(ints[OUTPUTS]):
        row[TAPE_COLUMNS + output] = whole[ints[LEVEL] + output * LANES]


def listen(
    samples, truth_rows, noise_rows, parameters, currents, lengths, truth, noises, width,
    program, start, opened, sensed, tape, work,
):  # fmt: skip
    """Run every group through its samples; note when outputs first went up.

    Parameters
    ----------
    samples : (g,) int array
        Number of samples of each group.
    truth_rows, noise_rows : (g, LANES) int arrays
        Which flight, and which row of noise, each lane has.
    parameters : (g, PARAMETERS * LANES) float32 array
        Instruments, as ``instruments.kernel.slots`` has them.
    currents, lengths : (g, outputs * LANES) float32 and int32 arrays
        What an output's actuators draw [A], and for how many samples.
    truth : tuple of float32 arrays
        Pressure at the vents and push along the axis, (rows * width,) each.
    noises : tuple of float32 arrays
        Standard normals for pressure, push and luck, (rows * width,) each.
    width : int
        Samples in a row of ``truth`` and ``noises``.
    program, start : tuple of arrays
        The flat program, and a state at power-up.
    opened : (g, outputs * LANES) int32 array
        Written: sample in which each output first went up, or NOT_YET.
    sensed : (g, LANES) int32 array
        Written: sample in which launch was sensed, or NOT_YET.
    tape : (samples, TAPE_COLUMNS + outputs) float32 array
        Written, unless it has no rows: the samples of the first lane of the first group.
    work : tuple of arrays
        As ``workspace`` makes them.
    """
    ints, floats = program
    whole, single, port, push, noise, draw, memory, pressure, pushed, line, now, alive, restart = (
        work
    )
    ports, pushes = truth
    lanes = ints[WIDTH] & LANES  # to the compiler 0 or LANES: see ``decide``
    for group in range(samples.shape[0]):
        rows, quiet, p = truth_rows[group], noise_rows[group], parameters[group]
        same, same_noise = _are_same(lanes, rows), _are_same(lanes, quiet)
        _restore(start[0], whole)
        _restore(start[1], single)
        begin(p, memory)
        _draw(lanes, 0, ints, whole, currents[group], lengths[group], draw)
        openings, until = whole[OPENINGS], _busy_until(lanes, ints, whole, lengths[group])
        for k in range(samples[group]):
            if same:
                _spread(lanes, k, rows[0], width, ports, port)
                _spread(lanes, k, rows[0], width, pushes, push)
            else:
                _gather(lanes, k, rows, width, ports, port)
                _gather(lanes, k, rows, width, pushes, push)
            if same_noise:
                _same_noise(lanes, k, quiet[0], width, noises, noise)
            else:
                _noise(lanes, k, quiet, width, noises, noise)
            if whole[OPENINGS] != openings:
                openings = whole[OPENINGS]
                until = _busy_until(lanes, ints, whole, lengths[group])
            if k <= until:
                _draw(lanes, k, ints, whole, currents[group], lengths[group], draw)
            sense(
                k, port, push, noise, draw, p, memory, pressure, pushed, line, now, alive, restart
            )
            decide(k, ints, floats, whole, single, pressure, pushed, line, now, alive, restart)
            if group == 0 and k < tape.shape[0]:
                _write_down(k, pressure, pushed, alive, whole, single, ints, tape)
        for i in range(ints[OUTPUTS] * LANES):
            opened[group, i] = whole[ints[OPENED] + i]
        for l in range(LANES):
            sensed[group, l] = whole[SENSED + l]
