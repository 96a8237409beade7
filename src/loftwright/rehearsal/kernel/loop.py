"""Controllers that listen to flights: every sample through instruments and program, lane by lane.

A group is LANES controllers with one program, each with instruments and a flight of its own. What
flies is given: nothing here changes it.
"""

import numpy as np

from loftwright.instruments.kernel.sense import begin, sense
from loftwright.instruments.kernel.slots import (
    NOISE_LUCK,
    NOISE_PRESSURE,
    NOISE_PUSH,
    OWN_DRAW,
    RESISTANCE,
    SOURCE,
)
from loftwright.program.kernel.decide import decide
from loftwright.program.kernel.places import row_of
from loftwright.program.kernel.slots import (
    CLIMB,
    HEIGHT,
    LANES,
    LEVEL,
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

# Columns of a tape: what was read, whether the controller ran, what it believed; supply [V].
TAPE_PRESSURE, TAPE_PUSH, TAPE_ALIVE, TAPE_STAGE, TAPE_HEIGHT, TAPE_CLIMB, TAPE_VOLTS = range(7)
TAPE_COLUMNS = 7
QUIET = np.float32(0.0)
MOST_RUNS = 4  # of lanes with one flight, that a group has without lanes being looked at each
FARTHEST = 2**62 - 1  # what a place in a table is masked by, for it to be known not negative


def _restore(start, state):
    for i in range(start.shape[0]):
        state[i] = start[i]


def _find_runs(lanes, truth, noise, run):
    """Number the runs of neighbouring lanes that have one flight; return how many there are."""
    runs = 0
    for lane in range(lanes):
        if lane > 0 and (truth[lane] != truth[lane - 1] or noise[lane] != noise[lane - 1]):
            runs += 1
        run[lane] = runs
    return runs + 1


def _find_places(lanes, runs, run, rows, width, places):
    """Note where in a table the row of each run begins, or of each lane where runs are many."""
    for lane in range(LANES):
        places[lane] = 0
    for lane in range(lanes):
        places[run[lane] if runs <= MOST_RUNS else lane] = rows[lane] * width


def _show(lanes, k, runs, run, places, table, shown):
    """Show every lane the number of this sample out of the row of its flight."""
    if runs == 1:
        value = table[(places[0] + k) & FARTHEST]
        for l in range(lanes):
            shown[l] = value
    elif runs <= MOST_RUNS:
        _show_runs(lanes, k, run, places, table, shown)
    else:
        for l in range(lanes):
            shown[l] = table[(places[l] + k) & FARTHEST]


def _show_runs(lanes, k, run, places, table, shown):
    one, two = table[(places[0] + k) & FARTHEST], table[(places[1] + k) & FARTHEST]
    three, four = table[(places[2] + k) & FARTHEST], table[(places[3] + k) & FARTHEST]
    for l in range(lanes):
        value = one if run[l] < 1 else two
        value = value if run[l] < 2 else three
        shown[l] = value if run[l] < 3 else four


def _busy_until(lanes, ints, whole, lengths, ends):
    """First sample in which no actuator moves any more, whoever moves it."""
    until = 0
    for each in range(ends.shape[0]):
        until = max(until, ends[each])
    for output in range(ints[OUTPUTS]):
        first = row_of(ints[OPENED], output)
        for l in range(lanes):
            opened = whole[first + l]
            if opened != NOT_YET:
                until = max(until, opened + lengths[output * LANES + l])
    return until


def _draw_of_others(lanes, k, begins, ends, currents, draw):
    """Add what other controllers move on the same battery."""
    for first in range(0, begins.shape[0], LANES):
        for l in range(lanes):
            moves = (k >= begins[first + l]) & (k < ends[first + l])
            draw[l] += currents[first + l] if moves else QUIET


def _draw(lanes, k, ints, whole, currents, lengths, draw):
    """Current of the actuators that move: for a while after their output has gone up."""
    for l in range(lanes):
        draw[l] = QUIET
    for output in range(ints[OUTPUTS]):
        opened = row_of(ints[OPENED], output)
        first = row_of(0, output)
        for l in range(lanes):
            since = k - whole[opened + l]
            moves = (whole[opened + l] != NOT_YET) & (since < lengths[first + l])
            draw[l] += currents[first + l] if moves else QUIET


def _write_down(lanes, row, first, pressure, pushed, alive, volts, whole, single, ints):
    """Keep the sample of every lane of a group, whose lanes begin at ``first``."""
    source, resistance, own, draw = volts
    for l in range(lanes):
        row[TAPE_PRESSURE, first + l] = pressure[l]
        row[TAPE_PUSH, first + l] = pushed[l]
        row[TAPE_ALIVE, first + l] = alive[l]
    for l in range(lanes):
        row[TAPE_STAGE, first + l] = whole[STAGE + l]
        row[TAPE_HEIGHT, first + l] = single[HEIGHT + l]
        row[TAPE_CLIMB, first + l] = single[CLIMB + l]
    for l in range(lanes):
        row[TAPE_VOLTS, first + l] = source[l] - resistance[l] * (own[l] + draw[l])
    for output in range(ints[OUTPUTS]):
        level = ints[LEVEL] + output * LANES
        for l in range(lanes):
            row[TAPE_COLUMNS + output, first + l] = whole[level + l]


def listen(
    samples, truth_rows, noise_rows, parameters, currents, lengths, others, truth, noises, width,
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
    others : tuple of arrays
        Actuators on the same battery that other controllers move: first sample in which they draw,
        sample in which they have ended, both (g, others * LANES) int32, and float32 currents [A].
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
    tape : (samples, TAPE_COLUMNS + outputs, g * LANES) float32 array
        Written, unless it has no rows: the samples of all lanes.
    work : tuple of arrays
        As ``workspace`` makes them.
    """
    ints, floats = program
    whole, single, memory, port, push, noise, draw, reading, layout = work
    pressure, pushed, line, now, alive, restart = reading
    ports, pushes = truth
    pressures, forces, lucks = noises
    noise_pressure = noise[NOISE_PRESSURE : NOISE_PRESSURE + LANES]
    noise_push = noise[NOISE_PUSH : NOISE_PUSH + LANES]
    noise_luck = noise[NOISE_LUCK : NOISE_LUCK + LANES]
    run, places, quiet_places = layout
    lanes = ints[WIDTH] & LANES  # to the compiler 0 or LANES: see ``decide``
    for group in range(samples.shape[0]):
        rows, quiet, p = truth_rows[group], noise_rows[group], parameters[group]
        runs = _find_runs(lanes, rows, quiet, run)
        _find_places(lanes, runs, run, rows, width, places)
        _find_places(lanes, runs, run, quiet, width, quiet_places)
        _restore(start[0], whole)
        _restore(start[1], single)
        begin(p, memory)
        begins, ends, taken = others[0][group], others[1][group], others[2][group]
        openings = whole[OPENINGS]
        until = _busy_until(lanes, ints, whole, lengths[group], ends)
        volts = (
            memory[SOURCE : SOURCE + LANES],
            p[RESISTANCE : RESISTANCE + LANES],
            p[OWN_DRAW : OWN_DRAW + LANES],
            draw,
        )
        for k in range(samples[group]):
            _show(lanes, k, runs, run, places, ports, port)
            _show(lanes, k, runs, run, places, pushes, push)
            _show(lanes, k, runs, run, quiet_places, pressures, noise_pressure)
            _show(lanes, k, runs, run, quiet_places, forces, noise_push)
            _show(lanes, k, runs, run, quiet_places, lucks, noise_luck)
            if whole[OPENINGS] != openings:
                openings = whole[OPENINGS]
                until = _busy_until(lanes, ints, whole, lengths[group], ends)
            if k <= until:
                _draw(lanes, k, ints, whole, currents[group], lengths[group], draw)
                _draw_of_others(lanes, k, begins, ends, taken, draw)
            sense(
                k, port, push, noise, draw, p, memory, pressure, pushed, line, now, alive, restart
            )
            decide(k, ints, floats, whole, single, pressure, pushed, line, now, alive, restart)
            if k < tape.shape[0]:
                _write_down(
                    lanes, tape[k], group * LANES, pressure, pushed, alive, volts, whole, single,
                    ints,
                )  # fmt: skip
        for i in range(ints[OUTPUTS] * LANES):
            opened[group, i] = whole[ints[OPENED] + i]
        for l in range(LANES):
            sensed[group, l] = whole[SENSED + l]
