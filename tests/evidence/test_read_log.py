"""A made-up flight, written in any layout, reads back to the same numbers."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from evidence.synthetic_logs import flown, written
from hypothesis import given
from hypothesis import strategies as st

from loftwright.errors import ProblemError
from loftwright.evidence.flight_log import FlightLog, LogOptions, read_flight_log
from loftwright.evidence.log_problems import LOG_PROBLEMS

FLIGHT = flown()
COARSE = flown(step=0.1)
FACTORS = {  # exact by definition: NIST SP 811, appendix B; inHg of conventional mercury
    "s": 1.0,
    "ms": 1e-3,
    "us": 1e-6,
    "Pa": 1.0,
    "hPa": 100.0,
    "mbar": 100.0,
    "kPa": 1000.0,
    "inHg": 3386.388640341,
    "m": 1.0,
    "ft": 0.3048,
    "g": 9.80665,
    "m/s^2": 1.0,
}
DIGITS = {"s": 3, "ms": 0, "us": 0, "Pa": 1, "hPa": 3, "mbar": 3, "kPa": 4, "inHg": 5, "g": 4}
NAMES = {
    "time": ("time", "Time", "t", "elapsed", "Zeit"),
    "pressure": ("pressure", "Baro", "P", "Luftdruck"),
    "height": ("altitude", "height", "Höhe", "alt_agl"),
    "push": ("accel", "Acceleration", "az", "acc_z"),
}
FORMS = ("{name} ({unit})", "{name} [{unit}]", "{name}_{unit}")


def put(folder: Path, text: str | bytes, encoding: str = "utf-8") -> Path:
    path = folder / "flight.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return path


def read(folder: Path, text: str | bytes, **said: object) -> FlightLog:
    return read_flight_log(put(folder, text), LogOptions(**said))


def told(folder: Path, text: str | bytes, **said: object) -> set[str]:
    """Read a log and return the codes that it gets."""
    try:
        problems = read(folder, text, **said).warnings
    except ProblemError as error:
        problems = error.problems
    return {problem.code for problem in problems}


def truth(role: str) -> np.ndarray:
    return getattr(COARSE, role)


def values(log: FlightLog, role: str) -> np.ndarray:
    names = {"time": "time_s", "pressure": "pressure_pa", "height": "height_m", "push": "push_m_s2"}
    return getattr(log, names[role])


@st.composite
def layouts(draw: st.DrawFn) -> dict:
    delimiter = draw(st.sampled_from(["\t", ";", ",", "  "]))
    measured = draw(st.sampled_from([["pressure"], ["height"], ["pressure", "height", "push"]]))
    roles = draw(st.permutations(["time", *measured]))
    units = {
        "time": draw(st.sampled_from(["s", "ms", "us"])),
        "pressure": draw(st.sampled_from(["Pa", "hPa", "mbar", "kPa", "inHg"])),
        "height": draw(st.sampled_from(["m", "ft"])),
        "push": draw(st.sampled_from(["g", "m/s^2"])),
    }
    form = draw(st.sampled_from(FORMS)) if delimiter != "  " else "{name}_{unit}"
    names = {role: draw(st.sampled_from(NAMES[role])) for role in roles}
    return {
        "roles": roles,
        "units": units,
        "names": [form.format(name=names[role], unit=units[role]) for role in roles],
        "delimiter": delimiter,
        "decimal": draw(st.sampled_from([".", ","] if delimiter != "," else ["."])),
        "end": draw(st.sampled_from(["\n", "\r\n"])),
        "above": draw(st.sampled_from([[], ["Flight 3, a calm day"], ["# unit 7", "Rows: 2000"]])),
        "encoding": draw(st.sampled_from(["utf-8", "utf-8-sig", "latin-1", "utf-16", "utf-16-le"])),
    }


@given(layout=layouts())
def test_any_layout_reads_back_to_the_same_numbers(
    tmp_path_factory: pytest.TempPathFactory, layout: dict
) -> None:
    units = [layout["units"][role] for role in layout["roles"]]
    columns = [
        truth(role) / FACTORS[unit] for role, unit in zip(layout["roles"], units, strict=True)
    ]
    digits = [DIGITS.get(unit, 3) for unit in units]
    form = {key: layout[key] for key in ("delimiter", "decimal", "end", "above")}
    text = written(columns, layout["names"], digits=digits, **form)
    folder = tmp_path_factory.mktemp("log")
    log = read_flight_log(put(folder, text, layout["encoding"]))
    assert not log.warnings
    assert len(log.time_s) == len(COARSE.time)
    first = len(layout["above"]) + 2
    assert (log.line == np.arange(first, first + len(COARSE.time))).all()
    for role, unit, places in zip(layout["roles"], units, digits, strict=True):
        near = 0.51 * 10.0**-places * FACTORS[unit]
        assert np.abs(values(log, role) - truth(role)).max() <= near


def unnamed(*columns: np.ndarray, digits: tuple[int, ...], delimiter: str = ",") -> str:
    return written(columns, digits=digits, delimiter=delimiter)


def test_without_names_the_numbers_propose_and_say_why(tmp_path: Path) -> None:
    columns = (FLIGHT.time * 1e3, FLIGHT.push, FLIGHT.pressure / 100.0, FLIGHT.height)
    log = read(tmp_path, unnamed(*columns, digits=(0, 2, 3, 1)))
    assert [(each.role, each.unit) for each in log.columns] == [
        ("time", "ms"),
        ("push", "m/s^2"),
        ("pressure", "hPa"),
        ("not used", None),
    ]
    why = [each.why for each in log.columns]
    assert "rises in even steps of 20" in why[0]
    assert "a vehicle at rest" in why[1]
    assert "the air on a pad" in why[2]
    assert "metres and feet look alike" in why[3]


def test_what_the_numbers_leave_open_is_asked_for(tmp_path: Path) -> None:
    text = unnamed(FLIGHT.time, FLIGHT.height, digits=(2, 2))
    with pytest.raises(ProblemError) as caught:
        read(tmp_path, text)
    assert caught.value.problems[0].code == "log-unit-missing"
    log = read(tmp_path, text, units={"2": "ft"})
    assert log.height_m is not None
    assert log.height_m.max() == pytest.approx(FLIGHT.height.max() * 0.3048, abs=0.01)


def test_raw_counts_with_a_scale(tmp_path: Path) -> None:
    counts = np.round((FLIGHT.pressure - 50_000.0) / 0.25)
    text = written([FLIGHT.time, counts], ("t_s", "adc"), digits=(2, 0))
    log = read(
        tmp_path,
        text,
        columns={"pressure": "adc"},
        scales={"adc": (0.25, 50_000.0)},
        units={"adc": "Pa"},
    )
    assert log.pressure_pa == pytest.approx(FLIGHT.pressure, abs=0.13)
    with pytest.raises(ProblemError) as caught:
        read(tmp_path, text, columns={"pressure": "adc"}, scales={"adc": (0.25, 50_000.0)})
    assert caught.value.problems[0].code == "log-unit-missing"


def test_rows_without_time(tmp_path: Path) -> None:
    text = written([FLIGHT.pressure], ("pressure (Pa)",), digits=(1,))
    log = read(tmp_path, text, every_s=0.02)
    assert log.time_s == pytest.approx(FLIGHT.time)
    both = written([FLIGHT.pressure, FLIGHT.height], ("p (Pa)", "h (m)"), above=["50 Hz"])
    log = read(tmp_path, both)
    assert log.time_s == pytest.approx(FLIGHT.time)
    assert any("20 ms apart" in note and "line 1" in note for note in log.notes)


def test_told_columns_count_more_than_names(tmp_path: Path) -> None:
    columns = [FLIGHT.time, FLIGHT.pressure, FLIGHT.pressure + 500.0]
    text = written(columns, ("time (s)", "p (Pa)", "other (Pa)"), digits=(2, 1, 1))
    log = read(tmp_path, text, columns={"pressure": "3"})
    assert log.pressure_pa == pytest.approx(FLIGHT.pressure + 500.0, abs=0.06)
    assert log.columns[2].why == "as told"


def test_clock_times_states_empty_cells_and_a_numbered_table(tmp_path: Path) -> None:
    clock = [f"2031-05-04 23:59:{45 + t:06.3f}" if t < 15 else f"2031-05-05 00:00:{t - 15:06.3f}"
             for t in FLIGHT.time.tolist()]  # fmt: skip
    states = ["PAD" if t < 10 else "UP" if t < 13 else "DOWN" for t in FLIGHT.time.tolist()]
    battery = ["3.91" if i % 50 == 0 else "" for i in range(len(clock))]
    index = [str(i) for i in range(len(clock))]
    columns = [index, clock, FLIGHT.pressure, battery, states]
    text = written(columns, ("", "time", "pressure", "battery (V)", "state"))
    log = read(tmp_path, text)
    assert log.time_s == pytest.approx(FLIGHT.time, abs=1e-6)
    assert [(mark.words, mark.line) for mark in log.marks] == [
        ("PAD", 2),
        ("UP", 502),
        ("DOWN", 652),
    ]
    assert log.marks[1].time_s == pytest.approx(10.0)
    assert log.battery_v is not None
    assert np.isfinite(log.battery_v).sum() == 40
    assert not log.warnings


def test_a_header_of_keys_and_values_is_no_data(tmp_path: Path) -> None:
    above = [f"{word};{number}" for number, word in enumerate(("serial", "rate", "pad", "run"))]
    text = written(
        [FLIGHT.time, FLIGHT.pressure], ("t (s)", "p (Pa)"), delimiter=";", decimal=",", above=above
    )
    assert len(read(tmp_path, text).time_s) == len(FLIGHT.time)


def test_whole_numbers_between_commas_need_no_option(tmp_path: Path) -> None:
    text = written([FLIGHT.time * 1e3, FLIGHT.pressure], ("ms", "Pa"), digits=(0, 0))
    log = read(tmp_path, text)
    assert log.pressure_pa == pytest.approx(FLIGHT.pressure, abs=0.51)


def long_log(folder: Path, rows: int) -> Path:
    path = folder / f"{rows}.csv"
    with path.open("w") as stream:
        stream.write("time_ms,pressure_pa,state\n")
        for first in range(0, rows, 10_000):
            block = range(first, first + 10_000)
            stream.write("".join(f"{i},{100_000 + i % 7},UP\n" for i in block))
    return path


def test_memory_is_that_of_the_arrays_and_a_few_megabytes(tmp_path: Path) -> None:
    peaks = []
    for rows in (100_000, 300_000):
        path, seen = long_log(tmp_path, rows), []
        tracemalloc.start()
        log = read_flight_log(
            path, progress=lambda done, total, seen=seen: seen.append((done, total))
        )
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert len(log.time_s) == rows
        assert seen[-1] == (path.stat().st_size, path.stat().st_size)
    assert peaks[1] - peaks[0] < 200_000 * 48  # bytes a row: two arrays, the lines, one spare


def test_the_digest_is_that_of_the_file(tmp_path: Path) -> None:
    import hashlib

    path = put(tmp_path, written([FLIGHT.time, FLIGHT.height], ("t (s)", "Höhe (m)")), "latin-1")
    assert read_flight_log(path).sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


@given(raw=st.binary(max_size=400))
def test_any_bytes_are_read_or_told(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    folder = tmp_path_factory.mktemp("log")
    assert told(folder, raw) <= set(LOG_PROBLEMS)


@given(text=st.text('0123456789.,;-e\t\n\r :"#T', max_size=300))
def test_any_table_like_text_is_read_or_told(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    folder = tmp_path_factory.mktemp("log")
    assert told(folder, text, every_s=0.02) <= set(LOG_PROBLEMS)


CLOCKED = "clock,baro,x\n" + "".join(
    f"20:00:0{k // 10}.{k % 10},{1000 - 0.1 * k:.1f},{k}\n" for k in range(80)
)


@pytest.mark.parametrize(
    "columns",
    [{"time": "1", "pressure": "1"}, {"pressure": "1"}, {"pressure": "2", "push": "2"}],
)
def test_one_column_is_not_two_things_and_a_clock_no_pressure(tmp_path, columns):
    every = None if "time" in columns else 0.02
    assert told(tmp_path, CLOCKED, columns=columns, every_s=every) == {"log-option"}
