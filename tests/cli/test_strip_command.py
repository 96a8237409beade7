"""Strips kept beside a report, and the command that draws them again."""

from __future__ import annotations

import csv
import json
import re
import struct
from pathlib import Path

import pytest
from cli.commands import every_command
from report.stripped import long_strip

from loftwright.report.strip_file import read_strip, write_strip


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    path = tmp_path / "kept" / "0.npz"
    path.parent.mkdir()
    write_strip(path, long_strip(9000))
    return path


def test_every_command_with_a_report_can_keep_its_strips():
    for name, command in every_command():
        options = {each.opts[0] for each in command.params}
        assert ("--report" in options) == ("--strips" in options), name


def test_strips_are_kept_as_the_page_numbers_them(loftwright, stand, tmp_path):
    folder, page = tmp_path / "kept", tmp_path / "page.html"
    for _ in range(2):  # a folder that the option filled before is filled again
        ended = loftwright("firing", stand, "--report", page, "--strips", folder, "--json")
        assert ended.code == 0
        assert ended.answer["files"] == [
            str(page),
            str(folder / "0.npz"),
            str(folder / "index.json"),
        ]
    index = json.loads((folder / "index.json").read_text(encoding="utf-8"))
    assert index["schema"] == "loftwright/strips/1"
    text = page.read_text(encoding="utf-8")
    titles = re.findall(r'data-strip="(\d+)"><svg[^>]*><title>([^<]*)</title>', text)
    assert [(each["file"], each["title"]) for each in index["strips"]] == [
        (f"{number}.npz", title) for number, title in titles
    ]
    strip = read_strip(folder / "0.npz").strip
    assert (strip.start, strip.end) == (index["strips"][0]["start_s"], index["strips"][0]["end_s"])


def test_fewer_strips_leave_none_of_the_earlier_ones(loftwright, stand, tmp_path, kept):
    loftwright("firing", stand, "--strips", tmp_path / "again")
    (tmp_path / "again" / "7.npz").write_bytes(b"of an earlier page")
    assert loftwright("firing", stand, "--strips", tmp_path / "again").code == 0
    assert sorted(each.name for each in (tmp_path / "again").iterdir()) == ["0.npz", "index.json"]


def test_a_folder_that_holds_other_things_is_left_alone(loftwright, stand, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "0.npz").write_bytes(b"mine")
    (stand / "flights" / "one").mkdir(parents=True)
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    for folder in (tmp_path / "mine", stand, stand / "flights" / "one", tmp_path / "file"):
        ended = loftwright("firing", stand, "--strips", folder, "--json")
        assert ended.code == 2
        assert {each["code"] for each in ended.answer["problems"]} <= {
            "command-output",
            "command-usage",
        }
    assert (tmp_path / "mine" / "0.npz").read_bytes() == b"mine"
    assert list((stand / "flights" / "one").iterdir()) == []


def test_a_report_may_lie_among_its_strips_but_not_in_place_of_one(loftwright, stand, tmp_path):
    for _ in range(2):
        page = tmp_path / "both" / "page.html"
        page.parent.mkdir(exist_ok=True)
        assert loftwright("firing", stand, "--report", page, "--strips", page.parent).code == 0
    ended = loftwright(
        "firing",
        stand,
        "--report",
        tmp_path / "both" / "0.npz",
        "--strips",
        tmp_path / "both",
        "--json",
    )
    assert [each["where"]["field"] for each in ended.answer["problems"]] == ["--strips"]


def test_a_part_is_drawn_and_told(loftwright, kept, tmp_path):
    drawn, table = tmp_path / "part.svg", tmp_path / "part.csv"
    part = ("--from", "1s", "--to", "2500 ms", "--without", "Climb")
    ended = loftwright("strip", kept, *part, "--svg", drawn, "--csv", table, "--json")
    answer = ended.answer
    assert answer["schema"] == "loftwright/strip/1"
    assert (answer["from_s"], answer["to_s"], answer["without"]) == (1.0, 2.5, ["climb"])
    assert set(answer["files"]) == {str(drawn), str(table)}
    log = next(each for each in answer["lines"] if each["line"] == "log")
    with table.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    values = [float(row["height, log (m)"]) for row in rows if row["height, log (m)"]]
    assert (len(values), max(values)) == (log["samples"], log["greatest"]["value"])
    assert drawn.read_text(encoding="utf-8").startswith("<svg")


def test_a_picture_is_written_as_well(loftwright, kept, tmp_path):
    sizes = {}
    for name, words in {
        "wide": (), "narrow": ("--width", "narrow"), "dark": ("--width", "narrow", "--dark"),
    }.items():  # fmt: skip
        path = tmp_path / f"{name}.png"
        ended = loftwright("strip", kept, *words, "--png", path, "--json")
        assert (ended.code, ended.answer["files"]) == (0, [str(path)])
        png = path.read_bytes()
        assert png[:8] == b"\x89PNG\r\n\x1a\n"
        sizes[name] = struct.unpack(">II", png[16:24])
    assert sizes["wide"][0] == 2 * (1120 + 32)
    assert sizes["narrow"] == sizes["dark"]
    assert sizes["narrow"][0] == 2 * (340 + 32)
    assert (tmp_path / "narrow.png").read_bytes() != (tmp_path / "dark.png").read_bytes()
    drawn = tmp_path / "narrow.svg"
    assert loftwright("strip", kept, "--width", "narrow", "--svg", drawn).code == 0
    assert 'class="strip narrow"' in drawn.read_text(encoding="utf-8")


def test_people_read_a_table(loftwright, kept):
    ended = loftwright("strip", kept, "--to", "9s")
    assert ended.code == 0
    assert "The <flight>" in ended.out
    assert "apogee" in ended.out
    assert re.search(r"height +log +m +\d+", ended.out)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--from", "3s", "--to", "1s"), "strip-window"),
        (("--from", "99s", "--to", "100s"), "strip-window"),
        (("--without", "drag"), "strip-no-lane"),
        (("--from", "3 m"), "quantity-wrong-dimension"),
    ],
)
def test_what_is_not_possible_is_said(loftwright, kept, words, code):
    ended = loftwright("strip", kept, *words, "--json")
    assert ended.code == 2
    assert [each["code"] for each in ended.answer["problems"]] == [code]


def test_nothing_of_any_campaign_is_written_over(loftwright, demo, kept):
    before = (demo / "vehicle.toml").read_bytes()
    (demo / "flights" / "one").mkdir(parents=True)
    for path in (demo / "vehicle.toml", demo / "flights" / "one" / "track.csv", kept):
        ended = loftwright("strip", kept, "--csv", path, "--json")
        assert [each["code"] for each in ended.answer["problems"]] == ["command-output"]
    assert (demo / "vehicle.toml").read_bytes() == before
    assert read_strip(kept).strip.title
