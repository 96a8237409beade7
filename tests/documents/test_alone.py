"""Documents that several commands change at once: no change is lost."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from loftwright.documents import alone
from loftwright.documents.alone import writing_alone
from loftwright.errors import ProblemError


def test_no_change_of_many_at_once_is_lost(tmp_path):
    document = tmp_path / "flight.toml"
    document.write_text("")

    def add(line: int) -> None:
        with writing_alone(document):
            before = document.read_text()
            document.write_text(f"{before}{line}\n")

    with ThreadPoolExecutor(8) as several:
        list(several.map(add, range(40)))
    assert sorted(map(int, document.read_text().split())) == list(range(40))
    assert [each.name for each in tmp_path.iterdir()] == ["flight.toml"]


def test_it_is_let_go_of_after_an_error(tmp_path):
    document = tmp_path / "flight.toml"
    with pytest.raises(KeyboardInterrupt), writing_alone(document):
        raise KeyboardInterrupt
    assert not list(tmp_path.iterdir())


def test_a_killed_command_holds_nobody_up(tmp_path):
    document = tmp_path / "flight.toml"
    code = (
        "import os, sys, pathlib; from loftwright.documents.alone import writing_alone\n"
        "with writing_alone(pathlib.Path(sys.argv[1])): os._exit(9)"
    )
    assert subprocess.run([sys.executable, "-c", code, str(document)], check=False).returncode == 9
    with writing_alone(document):
        document.write_text("")


def test_one_that_is_never_let_go_of_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(alone, "PATIENCE", 0.0)
    document = tmp_path / "flight.toml"
    with writing_alone(document), pytest.raises(ProblemError) as caught, writing_alone(document):
        pass
    (problem,) = caught.value.problems
    assert problem.code == "file-busy"
    assert problem.where.file == str(document)
