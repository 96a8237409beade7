"""What differs between two campaigns, as it stands in their documents."""

from __future__ import annotations

import shutil
from pathlib import Path

from loftwright.documents.differences import differences, texts
from loftwright.documents.reading import read_campaign

EXAMPLES = Path(__file__).parents[2] / "examples"
DEMO, MENDED = EXAMPLES / "sedge-lift", EXAMPLES / "sedge-lift-mended"


def between(one: Path, other: Path) -> dict[str, tuple[str | None, str | None]]:
    mine, theirs = read_campaign(one), read_campaign(other)
    found = differences(mine, theirs, texts(mine), texts(theirs))
    return {each.path: (each.one, each.other) for each in found}


def edited(tmp_path: Path, file: str, old: str, new: str) -> Path:
    copy = Path(shutil.copytree(DEMO, tmp_path / "copy"))
    text = (copy / file).read_text(encoding="utf-8")
    assert old in text
    (copy / file).write_text(text.replace(old, new), encoding="utf-8")
    return copy


def test_the_mend_is_three_fields_and_a_counterweight():
    assert between(DEMO, MENDED) == {
        "payload.carried.edges": ("sharp", "rounded"),
        "payload.carried.drag_coefficient": ("0.8 ± 0.2", "0.45 ± 0.15"),
        "payload.hold.strength": ("11 N ± 1 N", "22 N ± 1.4 N"),
        "payload2": (None, "Clay"),
    }


def test_what_the_mend_leaves_alone_is_the_same_file():
    for name in ("vehicle.toml", "site.toml"):
        assert (DEMO / name).read_bytes() == (MENDED / name).read_bytes()


def test_a_campaign_does_not_differ_from_itself():
    assert between(DEMO, DEMO) == {}


def test_the_same_in_another_unit_is_the_same(tmp_path):
    assert between(DEMO, edited(tmp_path, "site.toml", '"0.9 m"', '"90 cm"')) == {}


def test_a_spread_alone_is_a_difference(tmp_path):
    found = between(DEMO, edited(tmp_path, "site.toml", "7 mph ± 2 mph", "7 mph ± 1 mph"))
    assert found == {"site.wind.speed": ("7 mph ± 2 mph", "7 mph ± 1 mph")}


def test_corners_are_looked_at(tmp_path):
    found = between(DEMO, edited(tmp_path, "site.toml", '"-20 m, -150 m"', '"-30 m, -150 m"'))
    assert found == {"site.shape.6.corners": ("2 corners", "2 corners, other places")}


def test_a_table_that_only_one_has_is_one_line():
    found = between(DEMO, EXAMPLES / "stand-bottle")
    assert found["vehicle.part.0"] == ("nose cone", None)
    assert found["vehicle.canopy"] == ("there", None)
    assert found["payload"] == ("Reedling", None)
    assert not any(path.startswith("vehicle.canopy.") for path in found)
