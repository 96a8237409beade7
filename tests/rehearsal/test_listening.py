"""Many controllers at once: each does what instruments and interpreter in plain Python do."""

from __future__ import annotations

import numpy as np
import pytest
from instruments.plain_sense import Plain
from instruments.sensing import NOMINAL, PARAMETER_NAMES
from program.made_up import demo

from loftwright.instruments.kernel import slots
from loftwright.instruments.rows import place
from loftwright.program.interpreter import Reading, power_up, step
from loftwright.program.kernel.slots import NOT_YET
from loftwright.rehearsal.listening import Heard, Lanes, Others, Streams, hear, watch

F = np.float32
ROWS, SAMPLES = 6, 400
BEGIN = -2.0
DRAWS = (1.0, 6.0)  # A, by turns; the second is enough to bring a controller down
LASTS = 8  # samples
OTHERS = (0.0, 0.0, 6.0)  # A, by turns: what somebody else moves on the same battery

FAULTS: list[dict[str, float]] = [
    {},
    {"FAIL_FROM": -slots.FAR, "FAIL_UNTIL": slots.FAR},
    {"FREEZE_FROM": 0.5, "FREEZE_UNTIL": 2.0},
    {"PORT_FLOW": 3.0, "LEAK": 4.0, "LEAK_FROM": -1.0, "LEAK_UNTIL": 3.0},
    {"RESET_FROM": 1.0, "RESET_UNTIL": 1.1, "START_UP": 0.1},
    {"OPENS_AT": 80.0, "START_UP": 0.1},
    {"FLAT_FROM": 3.0, "FLAT_VOLTAGE": 2.0},
    {"STEP": 0.0201, "EVERY": 0.05, "DRIFT": 2.0, "WARM_UNTIL": 1.0},
    {"PUSH_FAIL_FROM": -1.0, "PUSH_FAIL_UNTIL": slots.FAR, "PUSH_FAIL_READS": 300.0},
]


def streams() -> Streams:
    """Flights that begin at moments of their own, with noise."""
    random = np.random.default_rng(3)
    time = BEGIN + 0.02 * np.arange(SAMPLES) - np.linspace(0.0, 0.5, ROWS)[:, None]
    flown = np.clip(time, 0.0, None)
    height = np.clip(45.0 * flown - 4.905 * flown**2, 0.0, None)
    push = np.where((time > 0.0) & (time < 0.3), 100.0, np.where(time < 0.0, 9.81, -1.0))
    kinds = random.standard_normal((3, ROWS, SAMPLES)).astype(F)
    port = 100_000.0 * np.exp(-height / 8400.0)
    return Streams(port.astype(F), push.astype(F), *kinds)


def lanes(rows: list[int], cases: list[int], lengths: list[int]) -> Lanes:
    """A controller for each row of the streams and case."""
    table = np.zeros((slots.PARAMETERS, len(rows)), F)
    nominal = {"NOISE": 1.5, "PUSH_NOISE": 0.3, "FIRST_AT": BEGIN}
    for lane, case in enumerate(cases):
        for name, value in (NOMINAL | nominal | FAULTS[case]).items():
            table[place(name), lane] = value
    currents = np.zeros((3, len(rows)), F)
    currents[0] = [DRAWS[lane // len(FAULTS) % 2] for lane in range(len(rows))]
    long = np.full((3, len(rows)), LASTS, np.int32)
    which = np.array(rows, np.int64)
    return Lanes(
        which, which, np.array(lengths, np.int64), table, currents, long, others(len(rows))
    )


def others(number: int) -> Others:
    """What somebody else moves in flight, a while in every third lane."""
    begins = 110 + 3 * np.arange(number, dtype=np.int32)[None, :]
    amps = np.array([[OTHERS[lane % 3] for lane in range(number)]], F)
    return Others(begins, begins + LASTS, amps)


def listened(shown: Streams, laid: Lanes, lane: int) -> tuple[list[int], int]:
    """What one lane does, in plain Python: when outputs first go up, and launch is sensed."""
    table, row = demo(), int(laid.truth[lane])
    case = Plain({name: laid.parameters[place(name), lane] for name in PARAMETER_NAMES})
    state = power_up(table)
    opened, sensed = [NOT_YET] * len(table.outputs), NOT_YET
    for k in range(int(laid.samples.max())):
        moves = opened[0] != NOT_YET and k - opened[0] < LASTS
        others = laid.others.begins[0, lane] <= k < laid.others.ends[0, lane]
        drawn = F(laid.currents[0, lane] if moves else 0.0)
        drawn += F(laid.others.currents[0, lane] if others else 0.0)
        noise = [kind[row, k] for kind in shown[2:]]
        pressure, pushed, line, now, alive, restart = case.sample(
            k,
            shown.port[row, k],
            shown.push[row, k],
            noise,
            drawn,
        )
        if restart:
            state = power_up(table)
        if alive:
            step(table, state, Reading(pressure, pushed, line, now))
        for output, level in enumerate(state.level):
            if level and opened[output] == NOT_YET:
                opened[output] = k
        if state.launched_ms >= 0 and sensed == NOT_YET:
            sensed = k
    return opened, sensed


def alike(heard: Heard, shown: Streams, laid: Lanes, chosen: range) -> None:
    for lane in chosen:
        opened, sensed = listened(shown, laid, lane)
        assert heard.opened[:, lane].tolist() == opened
        assert heard.sensed[lane] == sensed


def test_every_case_does_what_plain_python_does():
    shown = streams()
    cases = [number % len(FAULTS) for number in range(40)]
    laid = lanes([lane // 20 for lane in range(40)], cases, [SAMPLES] * 40)
    heard = hear(demo(), shown, laid)
    alike(heard, shown, laid, range(2 * len(FAULTS)))
    assert len(np.unique(heard.opened[0])) > 2  # cases differ
    # Whoever lets go with a heavy draw loses what it knew, and opens nothing.
    assert heard.opened[1, 0] != NOT_YET
    assert heard.opened[0, len(FAULTS)] != NOT_YET
    assert heard.opened[1, len(FAULTS)] == NOT_YET


@pytest.mark.parametrize("per", [32, 20, 8, 1])
def test_a_lane_does_the_same_whatever_runs_beside_it(per):
    """However many flights a group of lanes spans, and in whatever order they come."""
    shown = streams()
    rows = [(lane // per) % ROWS for lane in range(70)]
    laid = lanes(rows, [lane % len(FAULTS) for lane in range(70)], [SAMPLES] * 70)
    together = hear(demo(), shown, laid)
    for lane in (0, 21, 37, 69):
        alone = hear(demo(), shown, laid.take(np.array([lane])))
        np.testing.assert_array_equal(alone.opened[:, 0], together.opened[:, lane])
        assert alone.sensed[0] == together.sensed[lane]


def test_what_is_watched_is_what_is_heard():
    shown = streams()
    laid = lanes([2], [0], [SAMPLES])
    heard, tape = watch(demo(), shown, laid)
    np.testing.assert_array_equal(heard.opened, hear(demo(), shown, laid).opened)
    first_up = [np.flatnonzero(level)[:1].tolist() for level in tape[:, -3:].T]
    assert first_up == [[] if each == NOT_YET else [each] for each in heard.opened[:, 0]]
    assert len(first_up[1]) == 1
