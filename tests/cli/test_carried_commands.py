"""Campaigns with several payloads and stages, on the command line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from flight.staged import STAGED

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


def test_values_of_every_root_can_be_set(loftwright, staged):
    plain = loftwright("check", staged, "--json").answer
    settings = ("payload2.mass=44 g", "boosters.mass.dry=102 g", "upper.mass.dry=98 g")
    words = [word for setting in settings for word in ("--set", setting)]
    changed = loftwright("check", staged, "--json", *words).answer
    gained = changed["liftoff_mass_kg"] - plain["liftoff_mass_kg"]
    assert gained == pytest.approx(0.022 + 2 * 0.010 + 0.010)
    assert changed["payloads"]["payload2"]["mass_kg"] == 0.044


def test_a_setting_of_a_root_that_is_not_there_is_told(loftwright, demo):
    ended = loftwright("check", demo, "--set", "payload2.mass=44 g")
    assert ended.code == 2
    assert "this campaign has no payload2" in ended.err


def test_a_setting_that_brings_an_overlap_is_blamed(loftwright, staged):
    ended = loftwright("check", staged, "--set", "payload2.carried.around=85 deg")
    assert ended.code == 2
    assert "payload-on-payload" in ended.err
    assert "--set" in ended.err


def test_the_same_file_serves_one_payload_only(loftwright, staged):
    head = staged / "campaign.toml"
    text = head.read_text(encoding="utf-8").replace('"camera.toml"', '"payload.toml"')
    head.write_text(text, encoding="utf-8")
    ended = loftwright("check", staged)
    assert ended.code == 2
    assert "file-twice" in ended.err
