"""``loftwright program check`` and ``explain``, as people and scripts see them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

WHOLE = Path(__file__).resolve().parents[1] / "program" / "whole" / "program-main.toml"


@pytest.fixture
def program(tmp_path):
    """A copy of a good program, to be changed at will."""
    return Path(shutil.copy(WHOLE, tmp_path / "program-main.toml"))


def changed(program: Path, old: str, new: str) -> Path:
    text = program.read_text(encoding="utf-8")
    assert old in text
    program.write_text(text.replace(old, new), encoding="utf-8")
    return program


def test_a_good_program_is_checked_in_a_few_lines(loftwright, program):
    ended = loftwright("program", "check", program)
    assert (ended.code, ended.err) == (0, "")
    assert "latch   opens 0.84 s to 3.6 s after launch is sensed" in ended.out
    assert "promise 2 is kept: canopy opens no later than 8.8 s after launch is sensed" in ended.out


def test_the_answer_carries_bounds_promises_and_lag(loftwright, program):
    answer = loftwright("program", "check", program, "--json").answer
    assert answer["schema"] == "loftwright/program-check/1"
    (one,) = answer["programs"]
    assert one["outputs"][0]["opens_earliest_s"] == 0.84
    assert one["outputs"][0]["opens_latest_from_power_up_s"] is None
    assert [each["kept"] for each in one["promises"]] == [True, True]
    assert one["warnings"] == []
    assert one["climb_lag_s"] == pytest.approx(0.3366, abs=1e-3)
    assert list(answer["provenance"]["documents_sha256"]) == ["program-main.toml"]


def test_a_broken_promise_fails_the_check_with_its_path(loftwright, program):
    ended = loftwright("program", "check", changed(program, 'backup = "5.2 s"', 'backup = "7 s"'))
    assert ended.code == 2
    assert ended.out == ""
    assert "program-promise-broken" in ended.err
    assert "under canopy at 10.6 s, by the backup" in ended.err
    assert "31 | " in ended.err


def test_warnings_do_not_fail_it(loftwright, program):
    ended = loftwright("program", "check", changed(program, 'hold = "60 ms"', 'hold = "50 ms"'))
    assert ended.code == 0
    assert "warning program-time-rounded" in ended.err


@pytest.mark.parametrize("words", [(), ("--no-flights",)])
def test_a_campaign_without_avionics_has_no_program_to_check(loftwright, tmp_path, words):
    loftwright("new", tmp_path / "begun")
    ended = loftwright("program", "check", tmp_path / "begun", *words)
    assert ended.code == 2
    assert "program-none-named" in ended.err


def test_times_are_told_as_the_controller_counts_them(loftwright, program):
    """Whole milliseconds: 40.4 of them are two samples of 20 ms."""
    near = changed(program, 'hold = "60 ms"', 'hold = "40.4 ms"')
    assert "program-time-rounded" not in loftwright("program", "check", near).err


def test_what_is_finer_than_its_steps_keeps_its_sign(loftwright, program):
    fine = changed(program, "climb < 50 ft/s", "climb < -0.1 mm/s")
    told = loftwright("program", "check", fine).err
    assert "further from zero, e.g. climb < -" in told


def test_a_mistake_in_a_condition_is_underlined(loftwright, program):
    ended = loftwright("program", "check", changed(program, "climb < 50 ft/s", "climb < 50 ft"))
    assert ended.code == 2
    line = next(each for each in ended.err.splitlines() if each.lstrip().startswith("48 |"))
    caret = ended.err.splitlines()[ended.err.splitlines().index(line) + 1]
    assert line[caret.index("^") :].startswith("ft")


def test_a_program_is_read_out(loftwright, program):
    ended = loftwright("program", "explain", program)
    assert ended.code == 0
    assert "2. climbing" in ended.out
    assert "[let go]" in ended.out
    answer = loftwright("program", "explain", program, "--json").answer
    assert answer["schema"] == "loftwright/program-explain/1"
    assert answer["programs"][0]["words"][1]["heading"] == "1. pad"


def test_a_campaign_stands_for_all_its_programs(loftwright, demo):
    avionics = "avionics.toml"
    assert f'avionics = "{avionics}"\n' in (demo / "campaign.toml").read_text(encoding="utf-8")
    controllers = "".join(
        f'[[controller]]\nname = "{n}"\nprogram = "{n}.toml"\n' for n in ("main", "spare")
    )
    (demo / avionics).write_text(f'name = "e"\n{controllers}', encoding="utf-8")
    for name in ("main", "spare"):
        shutil.copy(WHOLE, demo / f"{name}.toml")
    answer = loftwright("program", "check", demo, "--json").answer
    assert [each["file"] for each in answer["programs"]] == ["main.toml", "spare.toml"]
    changed(demo / "spare.toml", "climb < 50 ft/s", "climb < 50")
    changed(demo / "main.toml", "drop > 3 m", "drop > 3")
    ended = loftwright("program", "check", demo, "--json")
    assert [each["where"]["file"] for each in ended.answer["problems"]] == [
        "main.toml",
        "spare.toml",
    ]


def test_the_group_lists_its_commands(loftwright):
    ended = loftwright("program")
    assert ended.code == 0
    assert "check" in ended.out
    assert "Did you mean check?" in loftwright("program", "chek", "x").err


def test_the_report_has_what_is_said_beside_its_line(loftwright, program, tmp_path):
    page = tmp_path / "page.html"
    changed(program, 'backup = "5.2 s"', 'backup = "7 s"')
    ended = loftwright("program", "check", program, "--report", page)
    assert ended.code == 2
    text = page.read_text(encoding="utf-8")
    line = text.split('id="line-31"')[1].split("</li>")[0]
    assert "program-promise-broken" in line
    assert "Mend: give a way on this path a backup" in line
    assert "1 of 2 promises can be broken" in text
    assert "In plain words" in text


def test_the_report_of_a_program_that_does_not_read_shows_where(loftwright, program, tmp_path):
    page = tmp_path / "page.html"
    changed(program, "climb < 50 ft/s", "climb << 50 ft/s <b>")
    ended = loftwright("program", "check", program, "--report", page)
    assert ended.code == 2
    text = page.read_text(encoding="utf-8")
    assert "It cannot be read: one thing is wrong in it." in text
    assert text.count('class="wrong"') == 1
    assert "<b>" not in text.split('class="wrong"')[1].split("</li>")[0]


def test_the_report_never_takes_the_place_of_a_program(loftwright, program):
    before = program.read_bytes()
    ended = loftwright("program", "check", program, "--report", program)
    assert ended.code == 2
    assert program.read_bytes() == before


def test_all_programs_of_a_campaign_are_in_one_report(loftwright, tmp_path):
    page = tmp_path / "page.html"
    home = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift-rehearsed"
    answer = loftwright("program", "check", home, "--report", page, "--json").answer
    assert answer["files"] == [str(page)]
    text = page.read_text(encoding="utf-8")
    for each in answer["programs"]:
        assert f"Its stages of {each['name']}" in text
    assert "The barometer&#39;s noise" in text
