"""``loftwright program emit-c``: what it writes, and what it leaves alone."""

from __future__ import annotations

import pytest


@pytest.fixture
def program(demo):
    return demo / "program-board.toml"


def test_a_program_is_written_as_c(loftwright, program, tmp_path):
    ended = loftwright("program", "emit-c", program, tmp_path / "made" / "c")
    assert ended.code == 0, ended.err
    written = {path.name for path in (tmp_path / "made" / "c").iterdir()}
    assert len(written) == 4
    assert {"README.md", "harness.c"} <= written
    assert "how to test it" in ended.out


def test_its_answer_names_the_files(loftwright, program, tmp_path):
    ended = loftwright("program", "emit-c", program, tmp_path / "c", "--name", "Board 2", "--json")
    assert ended.code == 0
    assert ended.answer["schema"] == "loftwright/program-emit-c/1"
    assert ended.answer["files"] == ["board_2.h", "board_2.c", "harness.c", "README.md"]


def test_conditions_stand_there_as_they_were_written(loftwright, program, tmp_path):
    loftwright("program", "emit-c", program, tmp_path / "c", "--name", "board")
    phrase = program.read_text().partition('when = "')[2].partition('"')[0]
    text = (tmp_path / "c" / "board.c").read_text()
    assert phrase in " ".join(text.replace("\n *", "").split())


def test_what_was_emitted_is_replaced(loftwright, program, tmp_path):
    loftwright("program", "emit-c", program, tmp_path, "--name", "board")
    before = (tmp_path / "board.c").read_text()
    program.write_text(program.read_text().replace('noise = "', 'noise = "1', 1))
    assert loftwright("program", "emit-c", program, tmp_path, "--name", "board").code == 0
    assert (tmp_path / "board.c").read_text() != before


@pytest.mark.parametrize("name", ["README.md", "harness.c", "board.h"])
def test_what_somebody_wrote_is_never_replaced(loftwright, program, tmp_path, name):
    (tmp_path / name).write_text("mine\n")
    ended = loftwright("program", "emit-c", program, tmp_path, "--name", "board")
    assert ended.code == 2
    assert "file-exists" in ended.err
    assert [path.name for path in tmp_path.glob("*.*")] == [name]
    assert (tmp_path / name).read_text() == "mine\n"


def test_a_folder_in_the_way_is_named(loftwright, program, tmp_path):
    (tmp_path / "board.c").mkdir()
    ended = loftwright("program", "emit-c", program, tmp_path, "--name", "board", "--json")
    assert ended.code == 2
    assert [each["code"] for each in ended.answer["problems"]] == ["file-not-a-file"]


def test_a_program_that_cannot_be_read_is_not_emitted(loftwright, program, tmp_path):
    program.write_text(program.read_text().replace('when = "', 'when = "gravity > 3 and ', 1))
    ended = loftwright("program", "emit-c", program, tmp_path / "c")
    assert ended.code == 2
    assert not (tmp_path / "c").exists()
