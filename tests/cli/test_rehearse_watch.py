"""``loftwright rehearse --watch``: one flight of a rehearsal, flown again and told."""

from __future__ import annotations

import re

import pytest
from cli.conftest import EXAMPLES

MENDED = EXAMPLES / "sedge-lift-mended"
FROZEN = "sensor frozen: baro"


def test_flights_behind_a_count_are_flown_again(loftwright):
    asked = ("rehearse", MENDED, "--flights", 6, "--seed", 2, "--faults", FROZEN, "--no-mends")
    (case,) = loftwright(*asked, "--json").answer["faults"]
    for word, noted in case["flights_behind"]["payload"].items():
        assert len(noted["first"]) == case["payload"][word]["count"]
        numbers = ",".join(str(number) for number in noted["first"])
        told = loftwright(
            "rehearse", MENDED, "--seed", 2, "--watch", f"{FROZEN}:{numbers}", "--json"
        ).answer
        assert told["schema"] == "loftwright/rehearse-watch/1"
        assert [each["flight"] for each in told["flights"]] == noted["first"]
        assert {each["payload"] for each in told["flights"]} == {word}


def test_one_flight_is_told_beside_itself_without_the_fault(loftwright, tmp_path):
    page = tmp_path / "flight.html"
    asked = ("rehearse", MENDED, "--watch", f"{FROZEN}:4")
    told = loftwright(*asked, "--json", "--report", page).answer
    assert told["case"] == FROZEN
    assert told["without_fault"]["good"] is True
    assert told["watched"]["stays"]["board"][0]["stage"] == "pad"
    assert told["watched"]["commands_s"]["board: latch"] > 0.0
    text = page.read_text(encoding="utf-8")
    assert "The same flight without the fault" in text
    assert not re.search(r'(src|href)="https?:', text)
    said = loftwright(*asked).out
    assert "Flight 4, sensor frozen: baro" in said
    assert "without" in said
    several = loftwright("rehearse", MENDED, "--watch", "no fault:3, 8")
    assert several.code == 0
    assert re.search(r"^ *3 .*under", several.out, re.MULTILINE)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ("17", "rehearse-no-flight"),
        (f"{FROZEN}:", "rehearse-no-flight"),
        (f"{FROZEN}:-1", "rehearse-no-flight"),
        (f"{FROZEN}:1;2", "rehearse-no-flight"),
        ("no fault:" + ",".join(map(str, range(101))), "rehearse-no-flight"),
        ("sensor frozn: baro:1", "rehearse-unknown-fault"),
    ],
)
def test_what_names_no_flight_is_told(loftwright, wrong, code):
    ended = loftwright("rehearse", MENDED, "--watch", wrong, "--json")
    assert ended.code != 0
    assert ended.answer["problems"][0]["code"] == code


def test_single_flights_have_no_table(loftwright, tmp_path):
    ended = loftwright("rehearse", MENDED, "--watch", "no fault:1", "--csv", tmp_path / "a.csv")
    assert ended.code == 2
    assert not (tmp_path / "a.csv").exists()
