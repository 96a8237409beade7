"""A command that is shown is taken back by the shell that it is typed into, word for word."""

from __future__ import annotations

import re
import shlex

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.report import shell

NAMES = (
    "my lift",
    "Größe",
    "it's",
    "-dash",
    'a "b"',
    "C:\\my lift\\",
    "a,b",
    "a&b",
    "plain",
    "~",
    "",
)


@pytest.fixture
def windows(monkeypatch):
    monkeypatch.setattr(shell, "is_windows", lambda: True)


def read_by_windows(line: str) -> list[str]:
    """Split a line as programs do there.

    The rules of Microsoft, *Parsing C command-line arguments* (from memory): 2n backslashes before
    a quote are n and the quote begins or ends a string, 2n+1 are n and a quote of the word.
    """
    words, word, inside, there, place = [], "", False, False, 0
    while place < len(line):
        slashes = len(re.match(r"\\*", line[place:])[0])
        place += slashes
        here = line[place : place + 1]
        if here == '"':
            word += "\\" * (slashes // 2)
            if slashes % 2:
                word += '"'
            else:
                inside, there = not inside, True
        else:
            word += "\\" * slashes
            if here in (" ", "\t") and not inside:
                words, word, there = [*words, word] if word or there else words, "", False
            else:
                word += here
        place += 1
    return [*words, word] if word or there else words


@given(st.lists(st.text(st.characters(exclude_categories=["Cs", "Cc"]))))
def test_a_posix_shell_takes_it_back(words: list[str]) -> None:
    assert shlex.split(shell.typed(words)) == words


@pytest.mark.usefixtures("windows")
@pytest.mark.parametrize("name", NAMES)
def test_windows_takes_it_back(name: str) -> None:
    assert read_by_windows(shell.typed(["loftwright", "set", name, "x=1"])) == [
        "loftwright", "set", name, "x=1",
    ]  # fmt: skip


@pytest.mark.usefixtures("windows")
def test_no_single_quote_stands_where_cmd_would_take_it_for_a_letter() -> None:
    line = shell.typed(["loftwright", "check", "C:\\Users\\Jo Bell\\lift"])
    assert line == 'loftwright check "C:\\Users\\Jo Bell\\lift"'
    assert shell.typed(["C:\\lift", "a=0.8"]) == "C:\\lift a=0.8"
