"""The static check as a whole: quiet on a good program, bounded in time, its promises in words."""

from __future__ import annotations

import time
from math import inf
from pathlib import Path

import pytest
from program.bad_programs import FLIGHT, SECTION, WHOLE, edited, reported
from program.tables import OPEN, STEP, table_of

from loftwright.documents.program import Program
from loftwright.errors import ProblemError
from loftwright.program.checks import check_program
from loftwright.program.interpreter import Reading, power_up, step
from loftwright.program.promises import bounds_of
from loftwright.program.reading import program_files, read_program
from loftwright.program.table import Act, Action, Clock, Exit, Stage
from loftwright.program.words import diagram, program_words


def test_a_good_program_is_checked_without_a_word():
    checked = check_program(read_program(WHOLE))
    assert checked.problems == ()
    assert [verdict.kept for verdict in checked.verdicts] == [True, True]
    latch, canopy, _ = checked.bounds
    # By hand: the window begins at 0.8 s and the hold takes two samples more; the backup ends it.
    assert (latch.earliest_ms, latch.latest_ms) == (840, 3600)
    assert (canopy.earliest_ms, canopy.latest_ms) == (840 + 20 + 40, 3600 + 5200)
    assert latch.earliest_power_ms == 60 + 840
    assert latch.latest_power_ms == inf


def test_there_are_more_than_thirty_mistakes():
    assert len(SECTION.cases) >= 30


def test_every_code_of_the_check_has_a_case():
    from loftwright.errors.catalogue import entries

    told = {code for case in SECTION.cases for code in case.codes}
    elsewhere = {"program-no-stage", "program-too-many", "program-none-named"}
    assert {code for code in entries() if code.startswith("program-")} - told == elsewhere


def test_no_stage_and_too_many_are_told(tmp_path):
    text = WHOLE.read_text(encoding="utf-8")
    path = tmp_path / "program.toml"
    path.write_text(text.partition("[[stage]]")[0], encoding="utf-8")
    assert [each.code for each in reported(path)] == ["program-no-stage"]
    many = "".join(f'\n[[stage]]\nname = "s{n}"\n' for n in range(40))
    path.write_text(text + many, encoding="utf-8")
    assert "program-too-many" in [each.code for each in reported(path)]


def test_the_largest_program_is_checked_soon(tmp_path):
    """32 stages with 8 ways each, hours long, round and round."""
    lines = [WHOLE.read_text(encoding="utf-8").partition("[[stage]]")[0]]
    for n in range(32):
        lines.append(f'[[stage]]\nname = "s{n}"\n' + ("launch = true\n" if n == 3 else ""))
        if n == 30:
            lines.append('[[stage.do]]\noutput = "latch"\ndoes = "open"\n')
        for w in range(8):
            to = (n * 7 + w * 5 + 1) % 32
            clock = "launch" if w % 3 == 1 else "stage"
            lines.append(
                f'[[stage.way]]\nto = "s{to}"\nwhen = "height > {n + w + 1} m or climb < {w} m/s"\n'
                f'hold = "{20 * w} ms"\nnot_before = "{n * w * 0.1:.2f} s"\n'
                f'backup = "{3600 + n * 60} s"\nclock = "{clock}"\n'
            )
    path = tmp_path / "program.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    started = time.perf_counter()
    reported(path)
    assert time.perf_counter() - started < 60.0


# ---------------------------------------------------------------- bounds that a stream reaches


def opened_at(table, line):
    """Run ``line`` (switch by sample number) and return when the output opens after launch."""
    state = power_up(table)
    for k in range(2000):
        step(table, state, Reading(101325.0, switch=line(k), now_ms=k * STEP))
        if state.level[0]:
            return k * STEP - state.launched_ms
    return None


def flight(**way):
    """Pad, climbing (launch), let go (opens)."""
    return table_of(
        [
            Stage("pad", (Exit(1, OPEN, hold_ms=40),)),
            Stage("climbing", (Exit(2, OPEN, **way),), marks_launch=True),
            Stage("let go", acts=(Act(0, Action.OPEN),)),
        ]
    )


WAYS = [
    {"hold_ms": 60},
    {"not_before_ms": 810, "backup_ms": 3610},
    {"not_before_ms": 800, "hold_ms": 50, "backup_ms": 3600, "clock": Clock.LAUNCH},
    {"not_before_ms": 200, "not_after_ms": 400, "backup_ms": 1000},
]


@pytest.mark.parametrize("way", WAYS)
def test_a_stream_reaches_both_bounds(way):
    table = flight(**way)
    bounds = bounds_of(table, 0)
    assert opened_at(table, lambda _: 1) == bounds.earliest_ms
    latest = opened_at(table, lambda k: k < 3)  # the line closes again at once after launch
    assert (inf if latest is None else latest) == bounds.latest_ms


# ---------------------------------------------------------------- words


def test_a_forecast_is_told_in_the_unit_of_the_condition(tmp_path):
    edited(("climb < 50 ft/s", "climb < 50 ft/s and height > 900 ft"))(tmp_path)
    (found,) = reported(tmp_path / WHOLE.name, FLIGHT)
    assert found.code == "program-never-in-forecast"
    # 92 m and 42 m/s of the forecast, by 0.3048 m a foot.
    assert "climb runs from -98.4 ft/s to 138 ft/s" in found.message
    assert "height runs from 0 ft to 302 ft" in found.message


def test_the_words_say_everything():
    read = read_program(WHOLE)
    said = " ".join(" ".join(sentences) for _, sentences in program_words(read))
    for part in ("push > 3 g or height > 12 m", "60 ms", "0.8 s after launch", "3.6 s", "10 min"):
        assert part in said
    drawn = diagram(read)
    assert all(any(f"[{stage.name}]" in line for line in drawn) for stage in read.program.stage)
    assert all(line.isascii() for line in diagram(read, plain=True))


def test_every_bad_program_that_reads_can_be_read_out(tmp_path):
    for case in SECTION.cases:
        case.problems(tmp_path)
        try:
            read = read_program(tmp_path / WHOLE.name)
        except ProblemError:
            continue
        assert program_words(read)
        assert diagram(read)


# ---------------------------------------------------------------- which programs


def test_a_folder_stands_for_the_programs_of_its_controllers(tmp_path):
    (tmp_path / "campaign.toml").write_text(
        'name = "x"\nquestion = "y?"\nvehicle = "v.toml"\nsite = "s.toml"\n'
        'avionics = "avionics.toml"\n',
        encoding="utf-8",
    )
    avionics = tmp_path / "avionics.toml"
    avionics.write_text(
        'name = "e"\n[[controller]]\nname = "a"\nprogram = "one.toml"\n'
        '[[controller]]\nname = "b"\nprogram = "two.toml"\n',
        encoding="utf-8",
    )
    assert list(program_files(tmp_path)) == ["one.toml", "two.toml"]
    assert program_files(tmp_path / "campaign.toml") == program_files(tmp_path)
    avionics.write_text('name = "e"\n', encoding="utf-8")
    with pytest.raises(ProblemError) as caught:
        program_files(tmp_path)
    assert caught.value.problems[0].code == "program-none-named"
    avionics.write_text('[[controller]]\nprogram = "../one.toml"\n', encoding="utf-8")
    with pytest.raises(ProblemError) as caught:
        program_files(tmp_path)
    assert caught.value.problems[0].code == "file-outside"


@pytest.mark.parametrize("name", ["../other/avionics.toml", "/etc/avionics.toml", "a\\b.toml"])
def test_avionics_outside_the_folder_are_not_read(tmp_path, name):
    head = "name = 'x'\nquestion = 'y'\nvehicle = 'v.toml'\nsite = 's.toml'\n"
    (tmp_path / "campaign.toml").write_text(f"{head}avionics = '{name}'\n")
    with pytest.raises(ProblemError) as caught:
        program_files(tmp_path)
    assert "file-outside" in {problem.code for problem in caught.value.problems}


def test_a_name_that_no_file_can_have_is_refused(tmp_path):
    (tmp_path / "campaign.toml").write_text("name = 'x'\navionics = 'a.toml'\n")
    (tmp_path / "a.toml").write_text('[[controller]]\nprogram = "a\\u0000b.toml"\n')
    with pytest.raises(ProblemError):
        program_files(tmp_path)


def test_all_problems_are_told_at_once(tmp_path):
    problems = edited(("climb < 50 ft/s", "climb < 50"), ('to = "climbing"', 'to = "climbin"'))
    assert [each.code for each in problems(tmp_path)] == [
        "program-no-such-stage",
        "quantity-no-unit",
    ]


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(ProblemError) as caught:
        read_program(Path(tmp_path) / "nowhere.toml")
    assert caught.value.problems[0].code == "file-missing"
    assert Program.__doc__
