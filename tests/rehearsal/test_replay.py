"""A replay is the interpreter over the log's readings, and says why each stage was entered."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from evidence.synthetic_logs import LIFTOFF, TOP, flown, written
from hypothesis import given
from hypothesis import strategies as st
from rehearsal.programs import program, when

from loftwright.errors import ProblemError
from loftwright.evidence.flight_log import FlightLog, LogOptions, read_flight_log
from loftwright.program import interpreter
from loftwright.program.table import Exit, Op, Seen
from loftwright.rehearsal.recorded import pressure_truth
from loftwright.rehearsal.replay import Replayed, readings_of, replay

FLIGHT = flown()


def log_of(
    folder: Path, *, height: bool = False, push: bool = False, step: float = 0.02
) -> FlightLog:
    flight = flown(step=step)
    names = ["time (s)", "height (m)" if height else "pressure (Pa)"]
    columns = [flight.time, flight.height if height else flight.pressure]
    if push:
        names.append("push (m/s^2)")
        columns.append(flight.push)
    path = folder / "flight.csv"
    path.write_text(written(columns, names, digits=(3, 3, 3)))
    return read_flight_log(path)


def made(time: np.ndarray, pressure: np.ndarray, push: np.ndarray | None = None) -> FlightLog:
    return FlightLog(
        name="made.csv",
        time_s=time,
        pressure_pa=pressure,
        height_m=None,
        push_m_s2=push,
        battery_v=None,
        line=np.arange(2, 2 + len(time), dtype=np.int32),
        marks=(),
        columns=(),
        notes=(),
        warnings=(),
        sha256="",
    )


def ways(replayed: Replayed) -> list[tuple[str, str]]:
    return [(each.name, each.way) for each in replayed.entered]


def directly(table, readings) -> list[tuple]:
    """Run the interpreter by itself."""
    state = interpreter.power_up(table)
    seen = []
    with np.errstate(all="ignore"):
        for sample in range(len(readings.time_s)):
            reading = interpreter.Reading(
                readings.pressure[sample],
                readings.push[sample],
                int(readings.line[sample]),
                sample * table.step_ms,
            )
            interpreter.step(table, state, reading)
            seen.append((state.stage, float(state.height), float(state.climb), *state.level))
    return seen


def as_rows(replayed: Replayed) -> list[tuple]:
    columns = (replayed.stage, replayed.height_m, replayed.climb_m_s)
    return [
        (*row, *level)
        for row, level in zip(
            zip(*(each.tolist() for each in columns), strict=True),
            replayed.level.tolist(),
            strict=True,
        )
    ]


def test_a_flight_goes_through_all_stages(tmp_path: Path) -> None:
    replayed = replay(program(), log_of(tmp_path))
    assert ways(replayed) == [
        ("pad", "power-up"),
        ("climbing", "condition"),
        ("let go", "condition"),
        ("down", "time"),
        ("found", "condition"),
    ]
    assert replayed.launch_s == pytest.approx(LIFTOFF + 0.3, abs=0.2)
    let_go = replayed.entered[2]
    assert let_go.since_launch_s == pytest.approx(let_go.time_s - replayed.launch_s)
    assert let_go.height_m == pytest.approx(TOP, abs=3.0)
    assert replayed.entered[3].time_s - let_go.time_s == pytest.approx(2.0)
    assert [(each.output, each.level) for each in replayed.switched] == [
        ("latch", 1),
        ("canopy", 1),
        ("canopy", 0),
        ("latch", 0),
        ("beeper", 1),
        ("beeper", 0),
    ]
    assert replayed.record.raw_highest_m == pytest.approx(TOP, abs=0.6)
    assert replayed.record.raw_highest_time_s == pytest.approx(13.0, abs=0.2)


def test_it_is_the_interpreter_sample_for_sample(tmp_path: Path) -> None:
    table, log = program(), log_of(tmp_path, push=True)
    replayed = replay(table, log, line_opens_s=10.0)
    assert as_rows(replayed) == directly(table, replayed.readings)
    assert replayed.readings.line.tolist() == [int(t >= 10.0 - 1e-6) for t in replayed.time_s]


def test_the_backup_is_told_from_the_condition(tmp_path: Path) -> None:
    replayed = replay(program(backup_ms=1200, threshold=-50.0), log_of(tmp_path))
    assert ways(replayed)[2] == ("let go", "backup")
    assert replayed.entered[2].since_launch_s == pytest.approx(1.2)


def test_a_stage_that_leads_to_itself_is_entered_again(tmp_path: Path) -> None:
    table = program()
    again = replace(table.stages[0], exits=(Exit(0, when(Seen.HEIGHT, Op.LESS, 1.0), 1000),))
    replayed = replay(replace(table, stages=(again, *table.stages[1:])), log_of(tmp_path))
    times = [each.time_s for each in replayed.entered]
    assert times[1] == pytest.approx(1.0)
    assert times[2] - times[1] == pytest.approx(1.02)


def test_height_alone_gives_the_same_stages(tmp_path: Path) -> None:
    table = program()
    by_height = replay(table, log_of(tmp_path, height=True))
    by_pressure = replay(table, log_of(tmp_path))
    assert [e.name for e in by_height.entered] == [e.name for e in by_pressure.entered]
    assert float(by_height.height_m.max()) == pytest.approx(TOP, abs=1.0)
    assert any("standard atmosphere" in note for note in by_height.notes)


def test_the_last_reading_at_or_before_a_sample_counts() -> None:
    time = np.array([0.0, 0.05, 0.1, 0.1, 0.17])
    log = made(time, np.array([1.0, 2.0, 3.0, 4.0, 5.0]) * 2e4)
    readings = readings_of(program(), log)
    assert readings.time_s == pytest.approx(np.arange(9) * 0.02)
    assert readings.row.tolist() == [0, 0, 0, 1, 1, 3, 3, 3, 3]
    assert (readings.pressure == log.pressure_pa[readings.row]).all()


def test_empty_cells_are_no_readings() -> None:
    nan = float("nan")
    readings = readings_of(
        program(), made(np.arange(4) * 0.02, np.array([nan, 9e4, nan, 8e4]), np.full(4, nan))
    )
    assert readings.row.tolist() == [-1, 1, 1, 3]
    assert np.isnan(readings.pressure[0])
    assert np.isnan(readings.push).all()


@given(
    steps=st.lists(st.integers(1, 90), min_size=1, max_size=60),
    step_ms=st.integers(1, 50),
)
def test_what_is_read_was_there_and_is_the_latest(steps: list[int], step_ms: int) -> None:
    time = np.cumsum([0, *steps]) / 1e3
    readings = readings_of(program(step_ms=step_ms), made(time, 9e4 + np.arange(len(time))))
    whole = np.cumsum([0, *steps])
    for sample, row in enumerate(readings.row.tolist()):
        assert whole[row] <= sample * step_ms
        assert row + 1 == len(whole) or whole[row + 1] > sample * step_ms
    assert len(readings.row) == whole[-1] // step_ms + 1


def test_what_the_log_lacks_is_told(tmp_path: Path) -> None:
    table = program()
    exits = (
        Exit(1, when(Seen.PUSH, Op.MORE, 30.0)),
        Exit(1, when(Seen.SWITCH, Op.AT_LEAST, 0.5)),
    )
    table = replace(table, stages=(replace(table.stages[0], exits=exits), *table.stages[1:]))
    log = log_of(tmp_path)
    assert len([n for n in replay(table, log).notes if "looks at" in n]) == 2
    opened = replay(table, log, line_opens_s=10.0)
    assert opened.entered[1].way_number == 1
    assert opened.launch_s == pytest.approx(10.0)
    pushed = replay(table, log_of(tmp_path, push=True))
    assert pushed.entered[1].way_number == 0


def test_a_log_of_years_is_refused() -> None:
    time = np.array([*np.arange(20) * 0.02, 9.9e9])
    with pytest.raises(ProblemError) as caught:
        replay(program(), made(time, np.full(21, 1e5)))
    assert caught.value.problems[0].code == "log-too-long"


# ---------------------------------------------------------------- a record as truth


@given(noise=st.floats(0.0, 4.0), drift=st.floats(-0.5, 0.5), start=st.floats(-1e3, 1e6))
def test_first_motion_is_found(noise: float, drift: float, start: float) -> None:
    flight = flown(noise=noise)
    log = made(flight.time + start, flight.pressure + drift * flight.time)
    truth = pressure_truth(log)
    # 56 m/s at once: within two samples of the truth, or where noise hides the first metres.
    assert truth.liftoff_s - start == pytest.approx(LIFTOFF, abs=0.08)
    assert (np.diff(truth.time_s) > 0).all()
    assert truth.time_s[0] == pytest.approx(-LIFTOFF, abs=0.08)


def test_a_gust_is_no_liftoff() -> None:
    flight = flown()
    pressure = flight.pressure.copy()
    pressure[100:106] -= 150.0
    assert pressure_truth(made(flight.time, pressure)).liftoff_s == pytest.approx(LIFTOFF, abs=0.08)


def test_liftoff_as_told() -> None:
    log = made(FLIGHT.time, FLIGHT.pressure, FLIGHT.push)
    truth = pressure_truth(log, liftoff_s=9.5)
    assert truth.time_s[0] == -9.5
    assert truth.how == "as told"
    assert (truth.push == FLIGHT.push).all()
    for wrong in (-1.0, 99.0, float("nan")):
        with pytest.raises(ProblemError) as caught:
            pressure_truth(log, liftoff_s=wrong)
        assert caught.value.problems[0].code == "log-option"


def test_no_liftoff_is_told() -> None:
    with pytest.raises(ProblemError) as caught:
        pressure_truth(made(FLIGHT.time, np.full(len(FLIGHT.time), 1e5)))
    assert caught.value.problems[0].code == "log-no-liftoff"


def test_rows_without_pressure_and_equal_times_are_no_truth() -> None:
    pressure = FLIGHT.pressure.copy()
    pressure[7] = np.nan
    time = FLIGHT.time.copy()
    time[20] = time[21]
    truth = pressure_truth(made(time, pressure))
    assert len(truth.time_s) == len(time) - 2
    assert np.isfinite(truth.port_pressure).all()


def test_options_reach_the_reader(tmp_path: Path) -> None:
    path = tmp_path / "h.csv"
    path.write_text(written([FLIGHT.time, FLIGHT.height], digits=(2, 2)))
    log = read_flight_log(path, LogOptions(units={"2": "m"}))
    assert replay(program(), log).launch_s is not None
