"""Whole streams of readings through a release program, LANES of them side by side."""

from loftwright.program.kernel.decide import decide
from loftwright.program.kernel.slots import CLIMB, HEIGHT, LANES, LEVEL, OUTPUTS, STAGE

__all__ = ["run_streams"]

EXACT = True  # each operation rounds by itself


def run_streams(
    count, ints, floats, whole, single, pressures, pushes, lines, nows, alives, restarts,
    pressure, pushed, line, now, alive, restart, stages, heights, climbs, levels,
):  # fmt: skip
    """Take ``count`` samples in every lane, and note what comes of each where that is asked for.

    Parameters
    ----------
    count : int
        Number of samples.
    ints, floats, whole, single
        As ``decide`` takes them.
    pressures ... restarts : (count * LANES,)
        The streams, sample after sample.
    pressure ... restart : (LANES,)
        Room for one sample.
    stages, heights, climbs, levels : (count * LANES,)
        What is after each sample, one bit for each output in ``levels``; when ``stages`` is empty,
        nothing is noted.
    """
    for k in range(count):
        at = k * LANES
        for lane in range(LANES):
            pressure[lane] = pressures[at + lane]
            pushed[lane] = pushes[at + lane]
        for lane in range(LANES):
            line[lane] = lines[at + lane]
            now[lane] = nows[at + lane]
        for lane in range(LANES):
            alive[lane] = alives[at + lane]
            restart[lane] = restarts[at + lane]
        decide(k, ints, floats, whole, single, pressure, pushed, line, now, alive, restart)
        if len(stages) > 0:
            _note(at, ints, whole, single, stages, heights, climbs, levels)


def _note(at, ints, whole, single, stages, heights, climbs, levels):
    for lane in range(LANES):
        stages[at + lane] = whole[STAGE + lane]
        levels[at + lane] = 0
    for lane in range(LANES):
        heights[at + lane] = single[HEIGHT + lane]
        climbs[at + lane] = single[CLIMB + lane]
    for output in range(ints[OUTPUTS]):
        row = ints[LEVEL] + output * LANES
        for lane in range(LANES):
            levels[at + lane] |= whole[row + lane] << output
