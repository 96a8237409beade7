"""What a debrief finds goes into the ledger when asked, once, and is shown from there."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

FLOWN = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift-flown"
FAILED = "2026-05-09-b"


@pytest.fixture(scope="module")
def campaign(tmp_path_factory):
    return Path(shutil.copytree(FLOWN, tmp_path_factory.mktemp("keep") / "flown"))


def asked(loftwright, *words):
    result = loftwright(*words, "--json")
    assert result.code == 0, result.err
    return json.loads(result.out)


def test_figures_are_kept_and_kept_anew(loftwright, campaign):
    told = asked(loftwright, "debrief", campaign, FAILED, "--keep")
    first = asked(loftwright, "ledger", "show", campaign, FAILED)["figures"]
    asked(loftwright, "debrief", campaign, FAILED, "--keep")
    again = asked(loftwright, "ledger", "show", campaign, FAILED)["figures"]
    assert told["kept"]
    kept = {each["name"]: each["value"] for each in first}
    assert kept["apogee_m"] == told["apogee_m"]
    assert kept["max_climb_m_s"] == told["max_climb_m_s"]
    assert kept == {each["name"]: each["value"] for each in again}
    assert len(first) == len(again)


def test_a_cause_is_one_finding_however_often_it_is_kept(loftwright, campaign):
    words = ("debrief", campaign, FAILED, "--causes", "--flights", "40", "--keep")
    told = asked(loftwright, *words)
    asked(loftwright, *words)
    findings = asked(loftwright, "ledger", "show", campaign, FAILED)["findings"]
    assert len(findings) == 1
    assert findings[0]["unsettled"]
    assert findings[0]["explains"] == "release"
    assert findings[0]["what"] in told["kept"][-1]


def test_a_log_alone_has_no_ledger(loftwright, campaign):
    log = campaign / "flights" / FAILED / "evidence" / "board.csv"
    result = loftwright("debrief", "--log", log, "--keep")
    assert result.code == 2


def test_a_finding_in_words_is_kept_once(loftwright, campaign):
    flight = "2026-05-16-a"
    finding = ("--finding", "The hold stuck.", "--sure", "possible", "--explains", "release")
    told = asked(loftwright, "debrief", campaign, flight, "--keep", *finding, "--unsettled")
    again = asked(loftwright, "debrief", campaign, flight, "--keep", *finding, "--unsettled")
    (found,) = asked(loftwright, "ledger", "show", campaign, flight)["findings"]
    assert (found["what"], found["sure"], found["explains"]) == (
        "The hold stuck.",
        "possible",
        "release",
    )
    assert told["kept"][-1].startswith("Kept in the ledger as finding F")
    assert again["kept"][-1] == f"This is finding F{found['number']} already."


@pytest.mark.parametrize(
    "words", [("--finding", "x"), ("--keep", "--unsettled"), ("--keep", "--by", "Ana")]
)
def test_a_finding_goes_with_keeping(loftwright, campaign, words):
    assert loftwright("debrief", campaign, FAILED, *words).code == 2
