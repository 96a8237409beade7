"""What a campaign's forecast says to the check of its programs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from loftwright.documents import read_campaign
from loftwright.program.checks import check_program
from loftwright.program.reading import read_program
from loftwright.rehearsal.forecast_facts import facts_of

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift-mended"


@pytest.fixture(scope="module")
def facts():
    return facts_of(read_campaign(EXAMPLE))["board"]


def test_moments_come_in_their_order(facts):
    burnout, release, apogee = (facts.events[name] for name in ("burnout", "release", "apogee"))
    assert burnout[1] < release[0] < release[1] < apogee[0]
    assert all(early < late for early, late in facts.events.values())


def test_ranges_hold_the_whole_flight(facts):
    low, high = facts.ranges["height"]
    assert low <= 0.0
    assert 60.0 < high < 120.0
    assert facts.ranges["climb"][0] < -20.0 < 40.0 < facts.ranges["climb"][1]
    assert facts.ranges["push"][1] > 30.0 * 9.8
    assert facts.ranges["drop"] == (0.0, pytest.approx(high, rel=0.05))
    assert 90e3 < facts.ranges["pressure"][0] < facts.ranges["pressure"][1] < 95e3


def test_heights_are_told_as_finely_as_the_barometer_reads(facts):
    # 932 hPa and 17 degC: 0.0911 m for each pascal; behind a filter of 2, 1.6 Pa of noise is 0.92.
    assert facts.height_step == pytest.approx(0.2 * 0.0911, rel=0.02)
    assert facts.height_noise == pytest.approx(1.6 / 3**0.5 * 0.0911, rel=0.02)


@pytest.mark.parametrize(
    ("written", "changed", "code"),
    [
        ('when = "climb < 50 ft/s"', 'when = "climb < -200 m/s"', "program-never-in-forecast"),
        (
            'hold = "40 ms"\nnot_before = "0.8 s"',
            'hold = "40 ms"\nbackup = "0.1 s"',
            "program-backup-before-burnout",
        ),
    ],
)
def test_what_never_comes_about_in_the_forecast_is_told(tmp_path, facts, written, changed, code):
    text = (EXAMPLE / "program-board.toml").read_text(encoding="utf-8")
    assert written in text
    file = tmp_path / "program.toml"
    file.write_text(text.replace(written, changed), encoding="utf-8")
    read = read_program(file)
    alone = {problem.code for problem in check_program(read).problems}
    held = {problem.code for problem in check_program(read, facts).problems}
    assert code in held - alone


def test_without_flights_nothing_of_them_is_said(facts):
    bare = replace(facts, events={}, ranges={})
    read = read_program(EXAMPLE / "program-board.toml")
    assert len(check_program(read, bare).problems) <= len(check_program(read, facts).problems)
