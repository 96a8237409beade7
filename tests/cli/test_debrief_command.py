"""The command that says what happened in a flight."""

from __future__ import annotations

import json

import numpy as np
import pytest
from debrief.made_up_logs import made_up

KEYS = {
    "apogee_m", "apogee_sd_m", "apogee_time_s", "liftoff_time_s", "landing_time_s",
    "max_climb_m_s", "descent_rate_m_s", "naive_max_height_m", "artefacts", "events", "missing",
}  # fmt: skip


@pytest.fixture(scope="module")
def flight():
    return made_up(seed=12)


@pytest.fixture(scope="module")
def log(flight, tmp_path_factory):
    path = tmp_path_factory.mktemp("log") / "alone.csv"
    path.write_text(_text(flight.log.time_s, flight.log.pressure_pa))
    return path


def _text(time, pressure):
    rows = (f"{t:.3f},{p:.1f}" for t, p in zip(time, pressure, strict=True))
    return "\n".join(["time_s,pressure_pa", *rows]) + "\n"


def test_a_log_alone_is_answered_by_its_keys(loftwright, log, flight):
    result = loftwright("debrief", "--log", log, "--pad-temperature", "15 degC ± 1 degC", "--json")
    assert result.code == 0
    told = json.loads(result.out)
    assert told["schema"] == "loftwright/debrief/1"
    assert set(told) >= KEYS
    assert told["apogee_m"] == pytest.approx(flight.apogee, abs=4.0 * told["apogee_sd_m"])
    start = float(np.interp(0.0, flight.time, flight.log.time_s))
    assert told["liftoff_time_s"] == pytest.approx(start, abs=0.1)
    assert told["landing_time_s"] == pytest.approx(flight.events["touchdown"], abs=0.6)
    for each in told["artefacts"]:
        assert {"kind", "time", "size", "time_s", "size_m", "until_s"} <= set(each)
        assert (each["time"], each["size"]) == (each["time_s"], each["size_m"])
    assert [each["kind"] for each in told["missing"]] == ["release"]
    assert told["assumed"]


def test_what_is_not_visible_is_null(loftwright, flight, tmp_path):
    path = tmp_path / "short.csv"
    end = flight.row(2.0)
    path.write_text(_text(flight.log.time_s[:end], flight.log.pressure_pa[:end]))
    told = json.loads(loftwright("debrief", "--log", path, "--json").out)
    assert told["apogee_m"] is None
    assert told["landing_time_s"] is None
    assert {"apogee", "touchdown"} <= {each["kind"] for each in told["missing"]}


def test_the_answer_comes_first_and_in_feet(loftwright, log, tmp_path):
    page, table = tmp_path / "page.html", tmp_path / "path.csv"
    result = loftwright(
        "debrief", "--log", log, "--answer-in", "us", "--report", page, "--csv", table
    )
    assert result.code == 0
    assert "ft" in result.out.splitlines()[0]
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert table.read_text().startswith("time_s,height_m,height_sd_m,")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "DIR and FLIGHT"),
        (("--log", "x.csv", "--causes"), "DIR and FLIGHT"),
        (("somewhere",), "which flight"),
        (("somewhere", "first", "--pad-temperature", "15 degC"), "for a log alone"),
        (("somewhere", "first", "--unit", "2=hPa"), "for a log alone"),
    ],
)
def test_a_slip_is_told(loftwright, arguments, words):
    result = loftwright("debrief", *arguments)
    assert result.code == 2
    assert words in result.err


def test_a_temperature_that_is_none_is_told(loftwright, log):
    result = loftwright("debrief", "--log", log, "--pad-temperature", "warm")
    assert result.code == 2
    assert "--pad-temperature" in result.err


def test_never_writes_over_the_log(loftwright, log):
    before = log.read_bytes()
    result = loftwright("debrief", "--log", log, "--report", log)
    assert result.code == 2
    assert log.read_bytes() == before
