"""The compiled runner decides as the interpreter does, to the bit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from program.agreement import assert_alike, interpret, streams
from program.made_up import demo, readings, table

from loftwright.program.flatten import flat, new_state
from loftwright.program.kernel import slots
from loftwright.program.runner import Streams, run

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=120)
@given(seed=SEEDS)
def test_any_program_decides_as_the_interpreter_does_to_the_bit(seed):
    program = table(seed)
    shown = readings(seed, 12, 50, program.step_ms)
    assert_alike(run(program, streams(shown), every_sample=True), interpret(program, shown))


def test_a_program_that_could_fly_decides_as_the_interpreter_does():
    program = demo()
    shown = readings(5, 40, 450, program.step_ms)
    found = run(program, streams(shown), every_sample=True)
    assert_alike(found, interpret(program, shown))
    assert set(np.unique(found.last_stage)) >= {0, 3, 4}  # it is put through its stages


@settings(max_examples=8)
@given(seed=SEEDS)
def test_the_kernel_gives_the_same_bits_without_being_compiled(seed):
    program = table(seed)
    shown = streams(readings(seed, 3, 12, program.step_ms))
    compiled = run(program, shown, every_sample=True)
    assert_alike(run(program, shown, every_sample=True, plain=True), compiled)


def test_a_stream_is_decided_alike_whatever_runs_beside_it():
    program = demo()
    shown = readings(7, 70, 300, program.step_ms)
    together = run(program, streams(shown), every_sample=True)
    for chosen in (0, 33, 69):
        one = {
            name: getattr(shown, name)[chosen : chosen + 1] for name in shown.__dataclass_fields__
        }
        alone = run(program, Streams(**one), every_sample=True)
        np.testing.assert_array_equal(alone.stage[0], together.stage[chosen])
        np.testing.assert_array_equal(alone.height[0], together.height[chosen])
        np.testing.assert_array_equal(alone.opened[0], together.opened[chosen])


def test_first_openings_are_the_same_with_and_without_every_sample():
    program = demo()
    shown = streams(readings(9, 40, 300, program.step_ms))
    brief, whole = run(program, shown), run(program, shown, every_sample=True)
    np.testing.assert_array_equal(brief.opened, whole.opened)
    np.testing.assert_array_equal(brief.launched, whole.launched)
    assert brief.stage.size == 0


def test_what_is_left_out_of_streams_is_filled_in():
    program = demo()
    alive = np.ones((1, 30), np.int32)
    alive[0, 10:13] = 0
    pressure = np.full((1, 30), 101_000.0)
    now = np.r_[np.arange(13), np.arange(17)] * program.step_ms
    restart = np.zeros((1, 30))
    restart[0, 13] = 1
    short = run(program, Streams(pressure, alive=alive), every_sample=True)
    long = Streams(pressure, now=now[None], alive=alive, restart=restart, push=np.nan, line=0)
    assert_alike(short, run(program, long, every_sample=True))


def test_no_streams_give_no_decisions():
    found = run(demo(), Streams(np.zeros((0, 5))))
    assert found.opened.shape == (0, 3)
    assert found.last_stage.shape == (0,)


def test_streams_of_one_dimension_are_refused():
    with pytest.raises(ValueError, match="two dimensions"):
        run(demo(), Streams(np.zeros(5)))


def test_flat_arrays_are_of_single_width():
    program, state = flat(demo()), new_state(demo())
    assert program.ints.dtype == state.whole.dtype == np.int32
    assert program.floats.dtype == state.single.dtype == np.float32
    assert len(state.whole) == program.ints[slots.WHOLE_SIZE]
