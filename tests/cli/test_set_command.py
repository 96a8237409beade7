"""``loftwright set``, ``undo`` and ``changes``."""

from __future__ import annotations

import hashlib
import shutil
import tomllib
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def vehicle(home: Path) -> dict:
    return tomllib.loads((home / "vehicle.toml").read_text(encoding="utf-8"))


def sha256(home: Path, file: str = "vehicle.toml") -> str:
    return hashlib.sha256((home / file).read_bytes()).hexdigest()


def test_a_field_is_set_and_what_the_check_finds_is_told(loftwright, demo):
    answer = loftwright("set", demo, "vehicle.fill.water_volume=0.8 L", "--json").answer
    assert answer["schema"] == "loftwright/set/1"
    assert answer["written"] == ["vehicle.toml"]
    assert answer["documents_sha256"] == {"vehicle.toml": sha256(demo)}
    checked = loftwright("check", demo, "--json").answer["warnings"]
    assert answer["findings"] == checked
    assert vehicle(demo)["fill"]["water_volume"] == "0.8 L"


def test_words_for_people(loftwright, demo):
    ended = loftwright("set", demo, "vehicle.fill.water_volume=0.8 L")
    assert ended.code == 0
    assert ended.out.startswith("Written: vehicle.toml")
    again = loftwright("set", demo, "vehicle.fill.water_volume=0.8 L")
    assert again.out.startswith("It says so already.")


def test_several_documents_are_one_change(loftwright, demo):
    before = {path.name: path.read_bytes() for path in demo.glob("*.toml")}
    loftwright(
        "set",
        demo,
        "vehicle.fins.0.count=3",
        "program.board.sample_every=10 ms",
        "campaign.question=Why?",
        "--remove",
        "vehicle.canopy",
    )
    assert vehicle(demo)["fins"][0]["count"] == 3
    assert "canopy" not in vehicle(demo)
    assert len([name for name in before if (demo / name).read_bytes() != before[name]]) == 3
    loftwright("undo", demo)
    assert {path.name: path.read_bytes() for path in demo.glob("*.toml")} == before
    loftwright("undo", demo, "--redo")
    assert vehicle(demo)["fins"][0]["count"] == 3


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["vehicle.fill.water_volume=wet"], "quantity-"),
        (["nothing.at=1"], "edit-no-document"),
        (["vehicle.fins.0.count=9"], "doc-out-of-bounds"),
        (["--remove", "vehicle.none"], "file-edit-refused"),
        (["--remove", "vehicle"], "edit-needed"),
        (["--add", "payload"], "edit-needed"),
        (["--add", "wheels"], "edit-no-document"),
        (["vehicle.fill.water_volume"], "command-usage"),
        (["vehicle=1"], "command-usage"),
        ([], "command-usage"),
        (["vehicle.name=a", "site.name=b", "--based-on", "0" * 64], "command-usage"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(loftwright, demo, words, code):
    before = {path.name: path.read_bytes() for path in demo.glob("*.toml")}
    ended = loftwright("set", demo, *words, "--json")
    assert ended.code == 2
    assert ended.answer["problems"][0]["code"].startswith(code)
    assert {path.name: path.read_bytes() for path in demo.glob("*.toml")} == before


def test_documents_are_begun_and_left_out(loftwright, demo):
    assert loftwright("set", demo, "--remove", "avionics").code == 0
    assert (demo / "avionics.toml").exists()
    assert "avionics" not in tomllib.loads((demo / "campaign.toml").read_text())
    assert loftwright("set", demo, "--add", "avionics", "--add", "upper").code == 0
    head = tomllib.loads((demo / "campaign.toml").read_text())
    assert head["avionics"] == "avionics.toml"
    assert (demo / "upper.toml").exists()
    loftwright("undo", demo)
    assert not (demo / "upper.toml").exists()


def test_what_others_changed_is_kept_or_asked(loftwright, demo):
    base = sha256(demo)
    loftwright("set", demo, "vehicle.fill.water_volume=0.7 L")
    answer = loftwright(
        "set", demo, "vehicle.fill.gauge_pressure=50 psi", "--based-on", base, "--json"
    ).answer
    assert answer["kept_of_others"] == {"vehicle.toml": ["fill.water_volume"]}
    ended = loftwright("set", demo, "vehicle.fill.water_volume=0.6 L", "--based-on", base, "--json")
    (problem,) = ended.answer["problems"]
    assert problem["code"] == "edit-conflict"
    assert problem["where"]["field"] == "vehicle.fill.water_volume"
    assert sha256(demo) in problem["mend"]
    assert vehicle(demo)["fill"]["water_volume"] == "0.7 L"


def test_undo_says_what_it_would_do(loftwright, demo):
    listed = loftwright("undo", demo, "--list", "--json").answer
    assert listed["undo_next"] is None
    loftwright("set", demo, "vehicle.fill.water_volume=0.8 L")
    assert "water_volume = 0.8 L" in loftwright("undo", demo, "--list").out
    answer = loftwright("undo", demo, "--json").answer
    assert answer["did"] == "undo"
    assert answer["redo_next"]["files"] == ["vehicle.toml"]
    assert loftwright("undo", demo).code == 2


def test_changes_since_the_last_flight(loftwright, tmp_path):
    home = Path(shutil.copytree(EXAMPLES / "sedge-lift-flown", tmp_path / "flown"))
    loftwright("set", home, "vehicle.fill.water_volume=0.81 L")
    answer = loftwright("changes", home, "--json").answer
    assert answer["flight"] == "2026-05-16-a"
    (changed,) = [each for each in answer["differs"] if "water_volume" in each["path"]]
    assert changed["other"] == "0.81 L"
    assert "0.81 L" in loftwright("changes", home, "2026-05-09-a").out
    assert loftwright("changes", home, "none").code == 2


def test_changes_where_nothing_has_flown(loftwright, demo, tmp_path):
    assert loftwright("changes", demo, "--json").answer["flight"] is None
    assert "No flight" in loftwright("changes", demo).out
    assert loftwright("changes", tmp_path).code == 2


def test_changes_are_told_of_documents_that_do_not_read(loftwright, tmp_path):
    home = Path(shutil.copytree(EXAMPLES / "sedge-lift-flown", tmp_path / "flown"))
    with (home / "vehicle.toml").open("a") as stream:
        stream.write("\n[wing]\nspan = 1\n")
    answer = loftwright("changes", home, "--json").answer
    assert any("wing" in each["path"] for each in answer["differs"])


def test_bytes_that_are_no_text_are_refused(loftwright, demo):
    ended = loftwright("set", demo, "vehicle.name=caf\udce9", "--json")
    assert ended.code == 2
    assert ended.answer["problems"][0]["code"] in ("doc-encoding", "doc-wrong-kind")


def test_what_is_wrong_with_a_program_is_told_when_it_is_set(loftwright, demo):
    settings = tomllib.loads((demo / "program-board.toml").read_text(encoding="utf-8"))
    stage, way = next(
        (s, w)
        for s, each in enumerate(settings["stage"])
        for w, out in enumerate(each.get("way", []))
        if "when" in out
    )
    path = f"program.board.stage.{stage}.way.{way}.when"
    answer = loftwright("set", demo, f"{path}=perhaps", "--json").answer
    checked = loftwright("check", demo, "--json")
    assert checked.code == 2
    assert answer["findings"] == checked.answer["problems"]
    words = loftwright("set", demo, f"{path}=perhaps soon")
    assert "cannot be read as it is now" in words.out
    loftwright("undo", demo)
    loftwright("undo", demo)
    broken = loftwright("set", demo, "program.board.promise.0.not_before=9 s")
    assert "program-promise-broken" in broken.err
    assert "A release program is wrong as it is now" in broken.out
