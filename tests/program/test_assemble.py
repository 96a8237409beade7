"""The table of a program: its gains, its series, its rounding; and what the estimate lags."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from program.tables import STEP, table_of

from loftwright.documents import read_document
from loftwright.documents.program import Program
from loftwright.errors import ProblemError
from loftwright.physics.altimetry import height_coefficients
from loftwright.physics.atmosphere import air_pressure_at
from loftwright.program.assemble import assemble
from loftwright.program.estimates import climb_noise, estimate_lag, height_noise
from loftwright.program.interpreter import Reading, height_of, power_up, step
from loftwright.program.reading import read_program
from loftwright.program.single import single, spacing
from loftwright.program.table import Clock, Estimator, Op, Seen, Stage, Table

WHOLE = Path(__file__).with_name("whole") / "program-main.toml"


def test_the_table_holds_what_is_written():
    table = assemble(read_document(WHOLE, Program))
    assert table == read_program(WHOLE).table
    way = table.stages[1].exits[0]
    assert (way.to, way.clock, way.hold_ms, way.not_before_ms) == (2, Clock.LAUNCH, 40, 800)
    assert way.backup_ms == 3600
    assert way.condition[0].op == Op.LESS
    assert way.condition[0].seen == Seen.CLIMB
    assert way.condition[0].constant == single(15.24)
    assert table.stages[3].acts[1].for_ms == 600_000
    assert (table.step_ms, table.estimator) == (20, Estimator.TRACKING)


def test_every_number_is_one_of_single_precision():
    table = read_program(WHOLE).table
    numbers = [table.height_gain, table.climb_gain, table.reference_gain, *table.height_series]
    numbers += [step.constant for s in table.stages for e in s.exits for step in e.condition]
    assert all(float(np.float32(number)) == number for number in numbers)


@given(st.floats(-1e30, 1e30))
def test_single_precision_without_numpy_is_that_of_numpy(number):
    assert single(number) == float(np.float32(number))
    assert spacing(number) == float(np.spacing(np.float32(abs(number))))


def written(tmp_path: Path, old: str, new: str) -> Path:
    text = WHOLE.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "program.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def test_a_way_without_a_condition_is_taken_at_its_time(tmp_path):
    both = []
    for word in ("not_before", "backup"):
        way = 'when = "climb < 50 ft/s"\nhold = "40 ms"\nnot_before = "0.8 s"\nbackup = "3.6 s"'
        table = read_program(written(tmp_path, way, f'{word} = "2 s"')).table
        both.append(table.stages[1].exits[0])
    assert both[0] == both[1]
    assert both[0].condition == ()
    assert both[0].not_before_ms == 2000


def test_a_condition_that_cannot_be_read_is_told_without_a_file_too(tmp_path):
    document = read_document(written(tmp_path, "climb < 50 ft/s", "climb < 50"), Program)
    with pytest.raises(ProblemError) as caught:
        assemble(document)
    assert caught.value.problems[0].where.field == "stage.1.way.0.when"


# ---------------------------------------------------------------- heights


def with_series(temperature: float) -> Table:
    table = table_of([Stage("pad")])
    series = tuple(map(single, height_coefficients(temperature)))
    return Table(
        **{name: getattr(table, name) for name in Table.__slots__} | {"height_series": series}
    )


@pytest.mark.parametrize("elevation", [-300.0, 0.0, 500.0, 1500.0, 3000.0])
@pytest.mark.parametrize("warmth", [-20.0, 0.0, 15.0, 40.0])
def test_heights_are_within_a_centimetre_and_what_rounding_takes(elevation, warmth):
    ground = air_pressure_at(elevation, 101325.0, 288.15)
    temperature = 273.15 + warmth
    table = with_series(temperature)
    for height in np.linspace(-50.0, 1000.0, 43):
        pressure = air_pressure_at(float(height), ground, temperature)
        said = height_of(table, np.float32(ground), np.float32(pressure))
        # Half a step of either pressure, and six roundings of the sum.
        scale = table.height_series[0] / pressure
        rounding = scale * (spacing(ground) + spacing(pressure)) / 2.0 + 6.0 * 6e-8 * abs(height)
        assert abs(float(said) - height) < 0.01 + rounding


# ---------------------------------------------------------------- lags and noise

ESTIMATORS = [
    (Estimator.RAW, 1.0, 1.0),
    (Estimator.FILTER, 0.3, 0.2),
    (Estimator.FILTER, 1.0, 0.1),
    (Estimator.TRACKING, 0.4, 2.0),
    (Estimator.TRACKING, 0.109, 0.31),
]


def tuned(estimator: Estimator, height_gain: float, climb_gain: float) -> Table:
    table = with_series(288.15)
    changed = {"estimator": estimator, "height_gain": single(height_gain)}
    changed["climb_gain"] = single(climb_gain)
    return Table(**{name: getattr(table, name) for name in Table.__slots__} | changed)


def followed(table: Table, climb: float, acceleration: float, samples: int) -> tuple[float, float]:
    """Fly a parabola past the interpreter; return truth less estimate at its end."""
    state = power_up(table)
    start = 500.0
    for k in range(samples):
        t = STEP / 1000.0 * k
        height = start * (k > 0) + climb * t + 0.5 * acceleration * t * t
        pressure = air_pressure_at(height, 101325.0, 288.15)
        step(table, state, Reading(pressure, now_ms=STEP * k))
    speed = climb + acceleration * t
    return height - float(state.height), speed - float(state.climb)


@pytest.mark.parametrize(("estimator", "height_gain", "climb_gain"), ESTIMATORS)
@pytest.mark.parametrize("acceleration", [0.0, -20.0])
def test_the_interpreter_lags_as_reckoned(estimator, height_gain, climb_gain, acceleration):
    table = tuned(estimator, height_gain, climb_gain)
    samples = 250
    lag_height, lag_climb = followed(table, 50.0, acceleration, samples)
    speed = 50.0 + acceleration * STEP / 1000.0 * (samples - 1)
    expected = estimate_lag(table, speed, acceleration)
    grain = 0.01  # m, of a pressure in single precision, through the filter
    assert lag_height == pytest.approx(expected[0], abs=grain)
    assert lag_climb == pytest.approx(expected[1], abs=grain if estimator != Estimator.RAW else 0.2)


@pytest.mark.parametrize(("estimator", "height_gain", "climb_gain"), ESTIMATORS)
def test_noise_comes_through_as_reckoned(estimator, height_gain, climb_gain):
    """Squares of the answer to one stray sample add up to the variance of white noise."""
    table = tuned(estimator, height_gain, climb_gain)
    seconds = STEP / 1000.0
    height = climb = 0.0
    squares = [0.0, 0.0]
    for k in range(4000):
        sample = 1.0 if k == 0 else 0.0
        before = height
        if estimator == Estimator.TRACKING:
            height += climb * seconds
            off = sample - height
            height, climb = height + table.height_gain * off, climb + table.climb_gain * off
        else:
            height += table.height_gain * (sample - height)
            climb += table.climb_gain * ((height - before) / seconds - climb)
        squares = [squares[0] + height**2, squares[1] + climb**2]
    assert height_noise(table, 2.0) == pytest.approx(2.0 * squares[0] ** 0.5, rel=1e-6)
    assert climb_noise(table, 2.0) == pytest.approx(2.0 * squares[1] ** 0.5, rel=1e-6)
