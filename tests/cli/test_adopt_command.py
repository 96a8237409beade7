"""``loftwright adopt``: what was tried goes into the documents."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from cli.conftest import EXAMPLES

PLUG = "connector opens at liftoff: bay plug"
FEW = ("--flights", 6, "--faults", PLUG)


@pytest.fixture
def home(tmp_path) -> Path:
    return Path(shutil.copytree(EXAMPLES / "sedge-lift-mended", tmp_path / "lift"))


def kept(folder: Path, answer) -> Path:
    path = folder / "answer.json"
    path.write_text(json.dumps(answer), encoding="utf-8")
    return path


def test_a_mend_that_was_tried_is_written_once(loftwright, home, tmp_path):
    before = loftwright("rehearse", home, *FEW, "--json").answer
    answer = kept(tmp_path, before)
    ended = loftwright("adopt", home, answer, 1, "--json")
    assert ended.answer["documents"] == ["program-timer.toml", "avionics.toml"]
    after = loftwright("rehearse", home, *FEW, "--json").answer
    (was,), (now,) = before["faults"], after["faults"]
    tried = before["mends"][0]["lost"][PLUG]
    assert (was["lost"]["count"], now["lost"]["count"]) == (
        tried["before"]["count"], tried["after"]["count"],
    )  # fmt: skip
    again = loftwright("adopt", home, answer, 1, "--json")
    assert again.code == 2
    assert {each["code"] for each in again.answer["problems"]} == {"adopt-changed-since"}


def test_a_setting_that_was_tried_is_written(loftwright, home, tmp_path):
    knob = "board.climbing.climb"
    asked = ("tune", home, "--vary", f"{knob}=40 ft/s..60 ft/s", "--flights", 4, "--points", 3)
    found = loftwright(*asked, "--json").answer
    number = next(k for k, each in enumerate(found["settings"], 1) if not each["as_written"])
    ended = loftwright("adopt", home, kept(tmp_path, found), number)
    assert ended.code == 0, ended.err
    said = found["settings"][number - 1]["says"][knob]
    assert said in (home / "program-board.toml").read_text(encoding="utf-8")
    assert said in ended.out


def test_what_tuning_chose_is_written_when_asked(loftwright, home):
    text = (home / "program-board.toml").read_text(encoding="utf-8")
    asked = (
        "tune", home, "--vary", "board.climbing.climb=20 ft/s..30 ft/s", "--flights", 4,
        "--points", 2, "--write", "--json",
    )  # fmt: skip
    found = loftwright(*asked).answer
    now = (home / "program-board.toml").read_text(encoding="utf-8")
    if found["chosen"]["as_written"]:
        assert now == text
    else:
        assert found["chosen"]["says"]["board.climbing.climb"] in now


@pytest.mark.parametrize(
    "text",
    ["", "nonsense", "[]", "{}", '{"mends": [{"words": "x"}]}', '{"mends": 3}',
     '{"mends": [], "provenance": {"documents_sha256": {}}}',
     '{"mends": [{"words": "x", "writes": [{}]}], "provenance": {"documents_sha256": {}}}'],
)  # fmt: skip
def test_what_is_no_answer_is_refused(loftwright, home, tmp_path, text):
    path = tmp_path / "answer.json"
    path.write_text(text, encoding="utf-8")
    ended = loftwright("adopt", home, path, 1, "--json")
    assert ended.code == 2
    assert ended.answer["problems"][0]["code"] == "adopt-answer"
