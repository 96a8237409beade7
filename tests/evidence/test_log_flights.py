"""Flights in a log: found by their rise from rest, parted by restarts, picked when told."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from evidence.synthetic_logs import LIFTOFF, TOP, flown, written
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.errors import ProblemError
from loftwright.evidence import flight_log
from loftwright.evidence.flight_log import FlightLog, LogOptions, read_flight_log
from loftwright.evidence.log_flights import FlightFinder

SECONDS = 45.0


def found(
    time: np.ndarray, values: np.ndarray, *, is_pressure: bool = False, cuts: int = 1
) -> list:
    finder = FlightFinder(is_pressure=is_pressure)
    lines = np.arange(2, len(time) + 2, dtype=np.int32)
    for part in np.array_split(np.arange(len(time)), cuts):
        finder.feed(time[part], values[part], lines[part])
    return finder.flights()


def day(gaps: list[float], step: float, noise: float, restarts: bool) -> tuple:
    """Several flights after each other, with rests between, and the liftoffs' times and lines."""
    times, pressures, lines, offset = [], [], [], 0.0
    for number, gap in enumerate(gaps):
        flight = flown(step, SECONDS + gap, noise, seed=number)
        times.append(flight.time + (0.0 if restarts else offset))
        lines.append(2 + sum(map(len, times[:-1])) + int(LIFTOFF / step))
        pressures.append(flight.pressure)
        offset += SECONDS + gap
    return np.concatenate(times), np.concatenate(pressures), lines


@settings(max_examples=40, deadline=None)
@given(
    gaps=st.lists(st.floats(0.0, 60.0), min_size=1, max_size=4),
    step=st.sampled_from([0.01, 0.02, 0.05, 0.1]),
    noise=st.floats(0.0, 8.0),
    restarts=st.booleans(),
    cuts=st.integers(1, 7),
)
def test_every_flight_is_found_however_the_rows_come(
    gaps: list[float], step: float, noise: float, restarts: bool, cuts: int
) -> None:
    time, pressure, lines = day(gaps, step, noise, restarts)
    flights = found(time, pressure, is_pressure=True, cuts=cuts)
    assert len(flights) == len(gaps)
    for flight, line in zip(flights, lines, strict=True):
        assert abs(flight.liftoff - line) * step < 0.6
        assert flight.top_m == pytest.approx(TOP, abs=3.0)
        assert flight.landed
        assert flight.first <= flight.near[0] <= flight.liftoff <= flight.near[1] < flight.end
    assert flights[0].first == 2
    assert flights[-1].end == len(time) + 2
    assert all(one.end == other.first for one, other in pairwise(flights))


@pytest.mark.parametrize(
    ("what", "height"),
    [
        ("a hill on the way", lambda t: np.clip((t - 20.0) * 1.5, 0.0, 40.0)),
        ("weather", lambda t: 8.0 * np.sin(t / 60.0)),
        ("spikes", lambda t: np.where((t % 7.0) < 0.02, 500.0, 0.0)),
        ("a door", lambda t: np.where((t > 20.0) & (t < 20.15), 12.0, 0.0)),
        ("nothing", lambda t: 0.0 * t),
    ],
)
def test_what_is_no_liftoff_is_none(what: str, height) -> None:  # type: ignore[no-untyped-def]
    time = np.arange(0.0, 100.0, 0.02)
    rng = np.random.default_rng(3)
    assert found(time, height(time) + rng.normal(0.0, 0.3, len(time))) == []


def put(folder: Path, time: np.ndarray, pressure: np.ndarray) -> Path:
    path = folder / "day.csv"
    path.write_text(written([time, pressure], ("t (s)", "p (Pa)"), digits=(2, 1)))
    return path


def test_two_flights_are_told_and_one_is_read(tmp_path: Path) -> None:
    time, pressure, lines = day([0.0, 20.0], 0.02, 1.5, restarts=False)
    path = put(tmp_path, time, pressure)
    with pytest.raises(ProblemError) as caught:
        read_flight_log(path)
    (problem,) = caught.value.problems
    assert problem.code == "log-several-flights"
    assert "84 m high" in problem.message
    one, two = (read_flight_log(path, LogOptions(flight_number=n)) for n in (1, 2))
    assert int(one.line[0]) == 2
    assert int(one.line[-1]) + 1 == int(two.line[0])
    assert int(two.line[-1]) == len(time) + 1
    assert int(one.line[0]) < lines[0] < int(two.line[0]) < lines[1]
    assert two.time_s[0] == pytest.approx(time[int(two.line[0]) - 2], abs=0.006)


def read_both_ways(
    path: Path, monkeypatch: pytest.MonkeyPatch, **said: int
) -> tuple[FlightLog, ...]:
    short = read_flight_log(path, LogOptions(**said))  # type: ignore[arg-type]
    monkeypatch.setattr(flight_log, "LONG", 1000)
    return short, read_flight_log(path, LogOptions(**said))  # type: ignore[arg-type]


def test_a_long_log_is_read_near_the_flight_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    flight = flown(0.1, SECONDS)
    rest = np.arange(0.0, 1000.0, 0.1)
    time = np.concatenate([rest, 1000.0 + flight.time, 1045.0 + rest])
    still = np.full(len(rest), flight.pressure[0])
    path = put(tmp_path, time, np.concatenate([still, flight.pressure, still]))
    seen: list[tuple[int, int]] = []
    short, long = read_both_ways(path, monkeypatch)
    read_flight_log(path, progress=lambda done, total: seen.append((done, total)))
    assert len(short.time_s) == len(time)
    assert [each.code for each in long.warnings] == ["log-long-cut"]
    # Two minutes before liftoff, which is at 1010 s; a minute after it lies still, at about 1027 s.
    assert long.time_s[0] == pytest.approx(890.0, abs=1.0)
    assert long.time_s[-1] == pytest.approx(1087.0, abs=2.0)
    part = np.searchsorted(short.line, (long.line[0], long.line[-1] + 1))
    for field in ("time_s", "pressure_pa", "line"):
        assert np.array_equal(getattr(short, field)[slice(*part)], getattr(long, field))
    assert short.sha256 == long.sha256
    size = path.stat().st_size
    assert seen[-1] == (size, size)
    assert sorted(seen) == seen


def test_times_of_day_of_a_long_log_count_from_its_first_row(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    flight = flown(0.1, 300.0)
    seconds = np.concatenate([np.arange(0.0, 600.0, 0.1), 600.0 + flight.time])
    clock = [f"{9 + int(t // 3600):02d}:{int(t // 60) % 60:02d}:{t % 60:06.3f}" for t in seconds]
    pressure = np.concatenate([np.full(6000, flight.pressure[0]), flight.pressure])
    path = tmp_path / "day.csv"
    path.write_text(written([clock, pressure], ("time", "p (Pa)")))
    short, long = read_both_ways(path, monkeypatch)
    assert short.time_s[0] == 0.0
    assert long.time_s[0] == pytest.approx(490.0, abs=1.0)


def test_the_state_in_force_when_a_flight_begins_is_kept(tmp_path: Path) -> None:
    time, pressure, _ = day([0.0, 20.0], 0.02, 1.5, restarts=False)
    states = ["ON" if t < 5.0 else "ARMED" for t in time]
    path = tmp_path / "day.csv"
    path.write_text(written([time, pressure, states], ("t (s)", "p (Pa)", "mode"), digits=(2, 1)))
    log = read_flight_log(path, LogOptions(flight_number=2))
    assert [(each.words, each.time_s) for each in log.marks] == [("ARMED", log.time_s[0])]


def test_temperature_counts_levels_and_what_is_to_be_ignored(tmp_path: Path) -> None:
    flight = flown(seconds=SECONDS)
    columns = [flight.time, flight.pressure / 0.25, 0.0 * flight.time + 59.0, flight.push,
               [f"{int(t) % 2}" for t in flight.time], flight.height]  # fmt: skip
    names = ("t (s)", "adc", "temp (F)", "acc (m/s2)", "channel 2", "alt (m)")
    path = tmp_path / "log.csv"
    path.write_text(written(columns, names, digits=(2, 0, 1, 2)))
    said = LogOptions(
        columns={"pressure": "adc"},
        units={"adc": "Pa"},
        scales={"adc": (0.25, 0.0)},
        ignored=("alt",),
    )
    log = read_flight_log(path, said)
    # 59 degF = 15 degC = 288.15 K, exactly (NIST SP 811, B.8)
    assert log.temperature_k == pytest.approx(288.15)
    assert log.pressure_pa == pytest.approx(flight.pressure, abs=0.2)
    assert log.height_m is None
    assert [(each.name, len(each.changes)) for each in log.states] == [("channel 2", 45)]
    both = read_flight_log(path, LogOptions(columns={"height": "alt", "pressure": "adc"},
                                            units=said.units, scales=said.scales))  # fmt: skip
    assert both.height_m == pytest.approx(flight.height, abs=0.01)


def test_what_is_concluded_from_numbers_is_in_doubt(tmp_path: Path) -> None:
    flight = flown(seconds=SECONDS)
    path = tmp_path / "log.csv"
    path.write_text(written([flight.time, flight.pressure], digits=(2, 1)))
    assert [each.doubt for each in read_flight_log(path).columns] == ["what it is and its unit"] * 2
    path.write_text(written([flight.time, flight.pressure], ("time", "baro"), digits=(2, 1)))
    assert [each.doubt for each in read_flight_log(path).columns] == ["its unit"] * 2
    path.write_text(written([flight.time, flight.pressure], ("t (s)", "p (Pa)"), digits=(2, 1)))
    assert not any(each.doubt for each in read_flight_log(path).columns)
