"""``loftwright glance``: where a campaign stands, for people and for programs."""

from __future__ import annotations

import shutil
from pathlib import Path

from loftwright.documents.worked import worked_out

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def test_it_names_the_step_and_the_command_that_does_it(loftwright, demo) -> None:
    said = loftwright("glance", demo)
    assert said.code == 0
    assert "Next: Forecast the flight." in said.out
    assert f"$ loftwright forecast {demo} --flights 400" in said.out
    assert said.out.splitlines()[0].startswith("Sedge lift: Does the glider")


def test_a_forecast_and_a_rehearsal_are_known_afterwards(loftwright, demo) -> None:
    assert loftwright("forecast", demo, "--set", "vehicle.fill.water_volume=0.8 L").code == 0
    assert loftwright("glance", demo, "--json").answer["forecast"] is None
    assert loftwright("forecast", demo).code == 0
    answer = loftwright("glance", demo, "--json").answer
    assert answer["schema"] == "loftwright/glance/1"
    assert answer["next"]["kind"] == "rehearse"
    assert answer["forecast"]["says"]
    told = loftwright("rehearse", demo, "--flights", "4", "--no-mends", "--faults", "none")
    assert told.code == 0
    assert loftwright("glance", demo, "--json").answer["next"]["kind"] == "rehearse"


def test_a_document_that_does_not_read_is_said_to_be_so(loftwright, demo) -> None:
    (demo / "vehicle.toml").write_text("nonsense", encoding="utf-8")
    said = loftwright("glance", demo)
    assert said.code == 0
    assert "The documents do not read" in said.out
    assert "Next: Mend vehicle.toml" in said.out
    answer = loftwright("glance", demo, "--json").answer
    assert answer["problems"][0]["where"]["file"] == "vehicle.toml"
    assert not answer["nothing_against"]


def test_what_cannot_be_noted_takes_nothing_from_the_answer(loftwright, stand) -> None:
    (stand / ".loftwright").write_text("a file in the way")
    told = loftwright("firing", stand)
    assert told.code == 0
    assert "On the pad" in told.out or "thrust" in told.out
    assert "Not noted that this was done" in told.err
    assert worked_out(stand) == ()


def test_examples_that_come_with_the_program_stay_as_they_are(loftwright) -> None:
    assert loftwright("firing", EXAMPLES / "stand-bottle").code == 0
    assert not (EXAMPLES / "stand-bottle" / ".loftwright").exists()


def test_a_debrief_that_is_kept_moves_the_next_step_on(loftwright, tmp_path) -> None:
    home = shutil.copytree(EXAMPLES / "sedge-lift-flown", tmp_path / "flown")
    before = loftwright("glance", home, "--json").answer["next"]
    assert (before["kind"], before["flight"]) == ("debrief", "2026-05-16-a")
    assert loftwright("debrief", home, "2026-05-16-a").code == 0
    answer = loftwright("glance", home, "--json").answer
    assert answer["next"]["flight"] == "2026-05-09-b"
    assert loftwright("debrief", home, "2026-05-16-a", "--keep").code == 0
    assert loftwright("glance", home, "--json").answer["last_flight"]["apogee_m"] > 20


def test_the_list_for_the_pad_is_that_of_the_page(loftwright, demo) -> None:
    said = loftwright("glance", demo, "--pad")
    assert said.code == 0
    answer = loftwright("glance", demo, "--pad", "--json").answer
    assert answer["schema"] == "loftwright/glance-pad/1"
    plain = " ".join(said.out.split())
    for part in answer["parts"]:
        assert part["head"] in said.out
        for line in part["lines"]:
            assert f"[ ] {' '.join(line.split())}" in plain
    assert said.out.index("People") < said.out.index("Before the release")
    (demo / "vehicle.toml").write_text("nonsense", encoding="utf-8")
    broken = loftwright("glance", demo, "--pad", "--json")
    assert broken.code == 2
    assert broken.answer["problems"][0]["where"]["file"] == "vehicle.toml"
