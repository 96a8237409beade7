"""Campaigns with several payloads and stages, on the command line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from flight.staged import STAGED

from loftwright.cli.overrides import read_with
from loftwright.errors import ProblemError
from loftwright.flight.check import check

FILES = sorted(path.name for path in STAGED.iterdir())


@pytest.fixture
def staged(tmp_path):
    """A copy of the campaign with several payloads, boosters and an upper stage."""
    return Path(shutil.copytree(STAGED, tmp_path / "staged"))


def test_every_document_is_hashed(loftwright, staged):
    answer = loftwright("check", staged, "--json").answer
    assert sorted(answer["provenance"]["documents_sha256"]) == FILES
    assert list(answer["payloads"]) == ["payload", "payload2", "payload3"]
    assert list(answer["stages"]) == ["boosters", "upper"]


def test_values_of_every_root_can_be_set(staged):
    plain = check(read_with(staged, ()))
    settings = ("payload2.mass=44 g", "boosters.mass.dry=102 g", "upper.mass.dry=98 g")
    changed = check(read_with(staged, settings))
    gained = changed.liftoff_mass_kg - plain.liftoff_mass_kg
    assert gained == pytest.approx(0.022 + 2 * 0.010 + 0.010)
    assert changed.payloads["payload2"].mass_kg == 0.044


def test_a_setting_of_a_root_that_is_not_there_is_told(demo):
    with pytest.raises(ProblemError) as caught:
        read_with(demo, ("payload2.mass=44 g",))
    assert caught.value.problems[0].message == "this campaign has no payload2"


def test_a_setting_that_brings_an_overlap_is_blamed(staged):
    with pytest.raises(ProblemError) as caught:
        read_with(staged, ("payload2.carried.around=85 deg",))
    (problem,) = caught.value.problems
    assert problem.code == "payload-on-payload"
    assert problem.where.field == "--set"


def test_the_same_file_serves_one_payload_only(loftwright, staged):
    head = staged / "campaign.toml"
    text = head.read_text(encoding="utf-8").replace('"camera.toml"', '"payload.toml"')
    head.write_text(text, encoding="utf-8")
    ended = loftwright("check", staged)
    assert ended.code == 2
    assert "file-twice" in ended.err
