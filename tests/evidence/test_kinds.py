"""Files are known by their bytes and columns; layouts are known again; readings are kept once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from evidence.synthetic_logs import flown, written
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.evidence.flight_log import LogOptions, read_flight_log
from loftwright.evidence.kept_reading import firing_options, log_options, readings_of
from loftwright.evidence.kinds import look_at, propose_kind
from loftwright.evidence.shapes import add_reading, known_reading, reading_of_log, shape_of

FLIGHT = flown(0.05, 45.0)


def log(*names: str, **form: str) -> str:
    columns = [FLIGHT.time, FLIGHT.pressure, FLIGHT.push][: max(2, len(names))]
    return written(columns, names, digits=(2, 1, 2), **form)


THRUST = written([FLIGHT.time, np.where(FLIGHT.time > 10, 50.0, 0.0)], ("t (s)", "thrust (N)"))

KINDS = [
    (b"RIFF\x00\x00\x00\x00WAVEfmt ", "sound", True),
    (b"RIFF\x00\x00\x00\x00AVI LIST", "film", True),
    (b"OggS\x00\x02", "sound", True),
    (b"\xff\xd8\xff\xe0\x00\x10JFIF", "picture", True),
    (b"\x00\x00\x00\x20ftypisom\x00\x00", "film", True),
    (b"\x00\x00\x00\x20ftypM4A \x00\x00", "sound", True),
    (b"\x1aE\xdf\xa3\x01", "film", True),
    (log("t (s)", "p (Pa)").encode(), "log", True),
    (log("t (s)", "p (Pa)", "az (g)").encode(), "log", True),
    (log().encode(), "log", True),
    (log("time", "Druck [Pa]").encode("latin-1"), "log", True),
    (THRUST.encode(), "firing", True),
    (written([FLIGHT.time, FLIGHT.height]).encode(), "log", False),
    (
        written([FLIGHT.time, 0 * FLIGHT.time + 5.0], ("t (s)", "rain (mm)")).encode(),
        "other",
        False,
    ),
    (b"windy, gusts from the hedge\n", "other", True),
    (b"\x00\x01\x02\x03", "other", True),
    (b"", "other", True),
]


@pytest.mark.parametrize(("content", "kind", "sure"), KINDS)
def test_what_a_file_is(content: bytes, kind: str, sure: bool, tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(content)
    found = propose_kind(path)
    assert (found.kind, found.sure) == (kind, sure)
    assert found.why


def shape(path: Path, text: str, **told: str) -> str | None:
    path.write_text(text, encoding="utf-8")
    head = look_at(path, **told)
    return None if head is None else shape_of(head.layout)


def test_a_shape_is_that_of_the_columns(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    one = shape(path, log("t (s)", "p (Pa)"))
    assert one == shape(path, log("T (s)", "P (Pa)", delimiter=";", decimal=","))
    assert one != shape(path, log("t (s)", "q (Pa)"))
    assert one != shape(path, log("p (Pa)", "t (s)"))
    assert one != shape(path, log())
    assert shape(path, log()) == shape(path, log(delimiter="\t"))


names = st.sampled_from(["p (Pa)", "baro", "Druck [Pa]", "p", "pressure", "adc 3", "7", "x\u202ey"])
times = st.sampled_from(["t (s)", "time", "clock", "3", ""])


@settings(max_examples=60, deadline=None)
@given(time=times, name=names, scale=st.sampled_from([None, 0.25, -1e-3]), more=st.booleans())
def test_a_kept_reading_reads_the_same_again(
    tmp_path_factory: pytest.TempPathFactory, time: str, name: str, scale: float | None, more: bool
) -> None:
    folder = tmp_path_factory.mktemp("campaign")
    path = folder / "log.csv"
    columns = [FLIGHT.time, FLIGHT.pressure / (scale or 1.0), FLIGHT.push]
    heads = [time, name, "az (m/s2)"][: 3 if more else 2]
    path.write_text(written(columns[: len(heads)], heads, digits=(2, 3, 2)), encoding="utf-8")
    told = LogOptions(
        columns={"time": "1", "pressure": "2"},
        units={"1": "s", "2": "Pa"},
        scales={} if scale is None else {"2": (scale, 0.0)},
    )
    first = read_flight_log(path, told)
    called = add_reading(folder, reading_of_log(first, told), "board")
    assert add_reading(folder, reading_of_log(first, told), "other") == called == "board"
    kept = known_reading(path, readings_of(folder), "log")
    assert kept is not None
    again = read_flight_log(path, log_options(kept))
    for field in ("time_s", "pressure_pa", "push_m_s2"):
        one, other = getattr(first, field), getattr(again, field)
        assert (one is None) == (other is None)
        assert one is None or np.array_equal(one, other)
    assert known_reading(path, readings_of(folder), "firing") is None


def test_a_name_that_is_taken_gets_a_number_and_comments_stay(tmp_path: Path) -> None:
    path = tmp_path / "readings.toml"
    path.write_text('# mine\n[[reading]]\nname = "board"  # of May\n')
    assert add_reading(tmp_path, {"kind": "firing", "every": "1 ms"}, "board") == "board-2"
    text = path.read_text()
    assert "# mine\n" in text
    assert "# of May" in text
    readings = readings_of(tmp_path)
    assert [each.name for each in readings] == ["board", "board-2"]
    assert firing_options(readings[1]) == {"rate": pytest.approx(1000.0)}
