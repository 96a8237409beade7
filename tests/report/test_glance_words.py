"""Where a campaign stands, and the list on the pad, in the person's units."""

from __future__ import annotations

import io
import shutil
from datetime import date
from pathlib import Path

import pytest

from loftwright.documents import read_campaign
from loftwright.flight.check import check
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.next_step import Step, against
from loftwright.ledger.standing import standing
from loftwright.ledger.taking_in import take_in
from loftwright.report.glance_terminal import print_glance
from loftwright.report.glance_words import command_words, glance_words
from loftwright.report.pad_list import pad_list

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DAY = date(2026, 5, 30)


@pytest.fixture
def flown(tmp_path):
    home = Path(shutil.copytree(EXAMPLES / "sedge-lift-flown", tmp_path / "flown"))
    with open_ledger(home) as ledger:
        take_in(ledger)
        ledger.keep_figures("2026-05-16-a", {"apogee_m": (61.0, 0.8)}, made_by="debrief")
        ledger.add_action("Hold the battery", who="Pell", due="2026-05-20")
    return home


def printed(home: Path) -> str:
    out = io.StringIO()
    print_glance(glance_words(standing(home, DAY)), home, out)
    return out.getvalue()


def test_it_says_how_high_the_last_flight_went_in_the_persons_units(flown) -> None:
    said = printed(flown)
    # 1 ft = 0.3048 m exactly (NIST SP 811, B.8): 61.0 m is 200.1 ft, 0.8 m is 2.6 ft.
    assert "It went 200 ± 3 ft high." in said.replace("\n", " ").replace("\u00a0", " ")
    assert "the release failed" in said
    head = flown / "campaign.toml"
    head.write_text(head.read_text("utf-8").replace('units = "us"', 'units = "metric"'), "utf-8")
    assert "It went 61.0 ± 0.8 m high." in printed(flown).replace("\n", " ").replace("\u00a0", " ")


def test_what_is_overdue_is_said_to_be(flown) -> None:
    told = glance_words(standing(flown, DAY))
    says = [each.says for each in against(standing(flown, DAY))]
    assert len(says) == len(told.against) + told.left_out
    assert "action A1 is open, was due 2026-05-20: Hold the battery" in says
    assert told.actions == ("A1  Hold the battery (Pell, due 2026-05-20)",)


def test_a_command_is_quoted_as_a_shell_wants_it() -> None:
    step = Step(kind="debrief", says="", why="", command=("debrief", "DIR", "First lift", "--keep"))
    assert command_words(step, "my lifts") == "loftwright debrief 'my lifts' 'First lift' --keep"
    assert command_words(Step(kind="pad", says="", why="")) == ""


def test_the_list_on_the_pad_names_every_stage_payload_and_part() -> None:
    campaign = read_campaign(EXAMPLES / "terrace-stages")
    parts = {part.head: " ".join(part.lines) for part in pad_list(campaign, check(campaign))}
    for stage in (campaign.boosters, campaign.upper):
        assert stage.name in parts["Fill and pressure"]
    assert "Electronics" not in parts
    campaign = read_campaign(EXAMPLES / "sedge-lift-flown")
    parts = {part.head: " ".join(part.lines) for part in pad_list(campaign, check(campaign))}
    assert all(payload.name in parts["Vehicle"] for payload in campaign.payloads.values())
    for controller in campaign.avionics.controller:
        assert controller.program in parts["Electronics"]
    assert "eye protection" in parts["People"]


def test_a_vessel_that_was_never_proof_tested_is_told_first(flown) -> None:
    import re

    path = flown / "vehicle.toml"
    text = re.sub(r"(?m)^proof_gauge_pressure.*\n", "", path.read_text("utf-8"))
    path.write_text(text, "utf-8")
    campaign = read_campaign(flown)
    lines = [line for part in pad_list(campaign, check(campaign)) for line in part.lines]
    assert any(line.startswith("! Not every vessel was proof-tested") for line in lines)


def test_a_distance_to_keep_is_rounded_up_as_it_is_paced() -> None:
    from loftwright.report.pad_list import _away

    # 1 ft = 0.3048 m exactly (NIST SP 811, B.8): 30 m are 98.4 ft, 95.7 m are 314 ft.
    assert [_away(30.0, "us"), _away(95.7, "us")] == ["99\u00a0ft", "320\u00a0ft"]
    assert [_away(30.0, "metric"), _away(100.2, "metric")] == ["30\u00a0m", "110\u00a0m"]
