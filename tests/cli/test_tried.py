"""Changes that are tried beside a campaign."""

from __future__ import annotations

from pathlib import Path

import pytest

from loftwright.cli.tried import changes_of
from loftwright.documents import read_campaign
from loftwright.errors import ProblemError
from loftwright.rehearsal.rehearse import rehearse

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MENDED, REHEARSED = EXAMPLES / "sedge-lift-mended", EXAMPLES / "sedge-lift-rehearsed"


@pytest.fixture(scope="module")
def campaign():
    return read_campaign(MENDED)


def test_a_value_a_number_of_a_program_and_another_folder(campaign):
    texts = ("avionics.bay.0.vent_diameter=3 mm", "board.climbing.climb=40 ft/s", str(REHEARSED))
    vents, turned, other = changes_of(MENDED, (), campaign, texts)
    assert vents.campaign.avionics.bay[0].vent_diameter.value == 3e-3
    assert turned.words == "board.climbing.climb = 40 ft/s"
    assert "12.192" in turned.campaign.programs["board"].stage[1].way[0].when
    assert len(other.campaign.avionics.controller) == 2
    assert campaign.programs["board"].stage[1].way[0].when == "climb < 50 ft/s"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("board.climbing.clim=40 ft/s", "tune-unknown-knob"),
        ("board.climbing.climb=40", "quantity-no-unit"),
        ("nowhere", "file-no-folder"),
        ("vehicle.fill.gauge_pressure=eight bar", "quantity-"),
    ],
)
def test_what_is_no_change_is_told(campaign, text, code):
    with pytest.raises(ProblemError) as raised:
        changes_of(MENDED, (), campaign, (text,))
    assert raised.value.problems[0].code.startswith(code)


def test_a_fault_of_a_part_that_is_gone_is_left_out(campaign):
    changes = changes_of(REHEARSED, (), read_campaign(REHEARSED), (str(MENDED),))
    found = rehearse(
        read_campaign(REHEARSED),
        flights=4,
        faults="battery flat, controllers swapped",
        mends=False,
        tries=changes,
    )
    (mend,) = found.mends
    assert "controllers swapped: timer and board" not in mend.lost
    assert "no fault" in mend.lost


def test_a_change_is_held_against_what_fails(campaign):
    changes = changes_of(MENDED, (), campaign, ("board.climbing.not_before=2 s",))
    found = rehearse(campaign, flights=24, faults="sensor frozen", mends=False, tries=changes)
    (mend,) = found.mends
    shift = mend.lost["sensor frozen: baro"]
    assert shift.before.count > 8
    assert shift.after.count == 0
    assert shift.high < 0.0
