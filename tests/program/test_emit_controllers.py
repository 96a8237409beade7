"""Emitted C on emulated controllers of 8 and 32 bits, to the bit."""

from __future__ import annotations

import pytest
from program.agreement import expected_lines, same_nan, streams
from program.arithmetic import differences
from program.controllers import CONTROLLERS, run_on
from program.made_up import demo, readings, table

from loftwright.program.runner import run as run_program


@pytest.mark.parametrize("seed", [None, 5, 8, 10], ids=["demo", "5", "8", "10"])
@pytest.mark.parametrize("controller", CONTROLLERS)
def test_a_controller_decides_as_the_runner_does(controller, seed, tmp_path):
    program = demo() if seed is None else table(seed)
    samples = 300 if seed is None else 150
    count = min(8, CONTROLLERS[controller].samples // samples)
    shown = readings(seed or 3, count, samples, program.step_ms)
    decided = run_program(program, streams(shown), every_sample=True)
    want = expected_lines(decided, shown, len(program.outputs))
    got = run_on(controller, program, shown, tmp_path)
    assert [same_nan(line) for line in got] == want


def test_the_8_bit_library_rounds_as_ieee_754_says_but_in_quotients_below_the_normal_range(
    tmp_path,
):
    # Found here, with avr-libc 2.0.0: quotients smaller than 1.2e-38 are at times one unit of
    # their last digit too small. No quotient of a program is that small but zero: shares of
    # pressure are above 1e-8 then, and a rise that is divided by the step is a difference of
    # heights.
    found = differences(20_000, 12345, tmp_path)
    assert found.others == 0
    assert found.most_units <= 1
