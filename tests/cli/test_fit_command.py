"""``loftwright fit``."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import numpy as np
import pytest
from debrief.flown_flights import flown_flights, mended

from loftwright.documents import read_campaign
from loftwright.evidence.keeping import keep_file, note_entry, open_flight
from loftwright.report.strip_file import read_strip

PORT = "avionics.bay.0.port_coefficient"
EXAMPLE = Path(__file__).parents[2] / "examples" / "sedge-lift-mended"


@pytest.fixture(scope="module")
def log(tmp_path_factory) -> Path:
    """The board's log of a flight of the demo campaign."""
    (flight,) = list(flown_flights(mended(), 5, 0, 1))
    kept = flight.given.log
    assert kept is not None
    assert kept.pressure_pa is not None
    rows = zip(kept.time_s.tolist(), kept.pressure_pa.tolist(), strict=True)
    path = tmp_path_factory.mktemp("logs") / "board.csv"
    lines = ["time_s,pressure_pa", *(f"{time:.3f},{pressure:.1f}" for time, pressure in rows)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def home(tmp_path) -> Path:
    return Path(shutil.copytree(EXAMPLE, tmp_path / "campaign"))


def test_a_log_by_itself_is_learnt_from_and_written_once(loftwright, home, log, tmp_path):
    page, kept = tmp_path / "fit.html", tmp_path / "kept"
    words = ("--report", page, "--strips", kept, "--write", "--json")
    ended = loftwright("fit", home, "--log", log, *words)
    answer = ended.answer
    assert ended.code == 0
    assert str(kept / "1.npz") in answer["files"]
    before_fit, after_fit = (read_strip(kept / f"{n}.npz").strip for n in (0, 1))
    assert (before_fit.title, after_fit.title) == (
        "board.csv, before the fit", "board.csv, after the fit"
    )  # fmt: skip
    assert (before_fit.start, before_fit.end) == (after_fit.start, after_fit.end)
    for lane in (0, 1):
        wide, narrow = (each.lanes[lane].spreads[0].percentiles for each in (before_fit, after_fit))
        assert np.ptp(narrow[-1]) < np.ptp(wide[-1])
    assert answer["schema"] == "loftwright/fit/1"
    assert answer["provenance"]["seed"] == answer["seed"]
    assert "avionics.toml" in answer["provenance"]["documents_sha256"]
    fields = {each["path"]: each for each in answer["fields"]}
    assert fields[PORT]["informed"]
    assert 0.0 < fields[PORT]["posterior"]["sd"] < fields[PORT]["prior"]["sd"]
    assert {each["path"] for each in answer["written"]} >= {PORT}
    assert read_campaign(home).avionics.bay[0].port_coefficient.sd < 0.03
    text = page.read_text("utf-8")
    assert re.findall(r'data-strip="(\d)"', text) == ["0", "1"]
    assert "Before and after" in text
    assert "ascent to" in text
    before = (home / "avionics.toml").read_bytes()
    again = loftwright("fit", home, "--log", log, "--write")
    assert again.code == 2
    assert "fit-learnt-already" in again.err
    assert (home / "avionics.toml").read_bytes() == before


def test_a_flight_that_the_campaign_keeps(loftwright, home, log):
    campaign = read_campaign(home)
    folder, _ = open_flight(campaign, "first-lift")
    note_entry(folder, keep_file(folder, log), {"kind": "log", "source": "board"})
    ended = loftwright("fit", home, "--field", PORT)
    assert ended.code == 0, ended.err
    assert ended.out.startswith("Most is learnt of")
    assert "first-lift" in ended.out
    assert "barometer of board" in ended.out
    assert "known together" in ended.out.lower()


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ((), "fit-no-flight"),
        (("nobody",), "record-no-flight"),
        (("--log", "LOG", "--field", "vehicle.body.diameter"), "fit-field"),
        (("--log", "LOG", "--controller", "nobody"), "command-usage"),
        (("--log", "LOG", "first"), "command-usage"),
        (("--liftoff", "2 s"), "command-usage"),
        (("--log", "LOG", "--write", "--set", "payload.mass=30 g"), "command-usage"),
    ],
)
def test_what_cannot_be_is_told(loftwright, home, log, words, code):
    ended = loftwright("fit", home, *(log if word == "LOG" else word for word in words))
    assert ended.code == 2
    assert code in ended.err
