"""``loftwright program run``: a program replayed over a recorded flight."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from evidence.synthetic_logs import flown, written

from loftwright.cli.program_run import command
from loftwright.errors import ProblemError

PROGRAM = """
name = "Main release"
sample_every = "20 ms"
[estimate]
kind = "tracking"
unsteadiness = "30 m/s^2"
noise = "0.3 m"
[[output]]
name = "latch"
[[stage]]
name = "pad"
ground = true
[[stage.way]]
to = "climbing"
when = "height > 8 m"
hold = "60 ms"
[[stage]]
name = "climbing"
launch = true
[[stage.way]]
to = "let go"
when = "climb < 10 m/s"
hold = "40 ms"
not_before = "0.8 s"
backup = "6 s"
clock = "launch"
[[stage]]
name = "let go"
[[stage.do]]
output = "latch"
does = "pulse"
for = "0.5 s"
[[stage.way]]
to = "down"
not_before = "2 s"
[[stage]]
name = "down"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    flight = flown()
    (tmp_path / "main.toml").write_text(PROGRAM)
    columns = [flight.time * 1e3, flight.pressure / 100.0]
    text = written(columns, ("t_ms", "Baro (hPa)"), digits=(0, 3), delimiter=";", decimal=",")
    (tmp_path / "flight.csv").write_text(text)
    return tmp_path


def run(folder: Path, *words: object) -> Result:
    program, log = folder / "main.toml", folder / "flight.csv"
    return CliRunner().invoke(command, [str(each) for each in (program, log, *words)])


def code_of(result: Result) -> str:
    assert isinstance(result.exception, ProblemError)
    return result.exception.problems[0].code


def test_it_says_what_would_have_happened_and_why(folder: Path) -> None:
    result = run(folder)
    assert result.exit_code == 0, result.output
    assert "would have sensed launch at 10." in result.output
    assert "height > 8 m, held for 0.06 s" in result.output
    assert "climb < 10 m/s, held for 0.04 s" in result.output
    assert "time alone: 2 s in that stage" in result.output
    assert "Baro (hPa)): pressure in hPa" in result.output
    assert "highest single reading" in result.output


def test_the_wrong_way_round_is_told_as_that(folder: Path) -> None:
    swapped = [str(folder / "flight.csv"), str(folder / "main.toml")]
    result = CliRunner().invoke(command, swapped)
    assert result.exit_code == 2
    assert "the program comes first, then the log" in result.output


def test_the_backup_says_so(folder: Path) -> None:
    path = folder / "main.toml"
    path.write_text(PROGRAM.replace("6 s", "1 s").replace("< 10 m/s", "< -90 m/s"))
    assert "backup: 1 s since launch; climb < -90 m/s had not led on before" in run(folder).output


def test_json(folder: Path) -> None:
    answer = json.loads(run(folder, "--json").output)
    assert answer["schema"] == "loftwright/program-run/1"
    assert [each["name"] for each in answer["entered"]] == ["pad", "climbing", "let go", "down"]
    assert [each["way"] for each in answer["entered"]] == [
        "power-up",
        "condition",
        "condition",
        "time",
    ]
    assert answer["entered"][0]["since_launch_s"] is None
    assert answer["switched"][0]["output"] == "latch"
    assert answer["record"]["rows"] == 2000
    assert answer["samples"] == 2000


def test_csv_has_every_sample(folder: Path) -> None:
    target = folder / "out.csv"
    assert f"Written: {target}" in run(folder, "--csv", target).output
    rows = list(csv.DictReader(target.read_text().splitlines()))
    assert len(rows) == 2000
    assert rows[0]["since_launch_s"] == ""
    assert rows[0]["push_m_s2"] == ""
    assert {row["stage"] for row in rows} == {"pad", "climbing", "let go", "down"}
    opened = [row for row in rows if row["latch"] == "1"]
    assert len(opened) == 25
    assert float(opened[0]["time_s"]) == pytest.approx(13.0, abs=0.5)


def test_the_report_shows_stages_on_the_flights_clock(folder: Path) -> None:
    target = folder / "out.html"
    assert run(folder, "--report", target).exit_code == 0
    page = target.read_text(encoding="utf-8")
    assert "would have sensed launch 0." in page
    assert page.count("let go") > 3
    assert "flight.csv" in page
    later = run(folder, "--report", target, "--liftoff", "9 s")
    assert later.exit_code == 0
    assert "would have sensed launch 1." in target.read_text(encoding="utf-8")
    assert code_of(run(folder, "--report", target, "--liftoff", "99 s")) == "log-option"


def test_a_log_without_a_liftoff_still_has_a_report(folder: Path) -> None:
    flight = flown()
    columns = [flight.time, flight.pressure[0] + 0.0 * flight.time]
    (folder / "flight.csv").write_text(written(columns, ("t (s)", "p (Pa)"), digits=(2, 1)))
    target = folder / "out.html"
    result = run(folder, "--report", target)
    assert result.exit_code == 0, result.exception
    assert "would not have sensed a launch" in result.output
    assert "would not have sensed a launch" in target.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["flight.csv", "main.toml"])
def test_an_output_takes_the_place_of_no_input(folder: Path, name: str) -> None:
    before = (folder / name).read_bytes()
    assert code_of(run(folder, "--csv", folder / name)) == "command-output"
    assert (folder / name).read_bytes() == before


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--every", "20"), "quantity-no-unit"),
        (("--unit", "hPa"), "log-option"),
        (("--scale", "2=0"), "log-option"),
        (("--scale", "2=x"), "log-option"),
        (("--scale", "2=1,2,3"), "log-option"),
        (("--pressure", "7"), "log-no-column"),
        (("--unit", "2=Pa"), "log-pressure-range"),
        (("--line-opens", "soon"), "quantity-unreadable"),
    ],
)
def test_what_cannot_be_meant_is_told(folder: Path, words: tuple[str, ...], code: str) -> None:
    assert code_of(run(folder, *words)) == code


def test_options_settle_what_the_log_leaves_open(folder: Path) -> None:
    flight = flown()
    counts = (flight.pressure - 50_000.0) / 2.0
    (folder / "flight.csv").write_text(written([counts], ("adc",), digits=(0,)))
    words = ("--every", "20ms", "--pressure", "adc", "--scale", "adc=2,50000", "--unit", "adc=Pa")
    result = run(folder, *words, "--line-opens", "10 s")
    assert result.exit_code == 0, result.exception
    assert "counts times 2 plus 50000, as told" in result.output
