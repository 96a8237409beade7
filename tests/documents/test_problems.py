"""Problems as text and as data, and the catalogue that explains their codes."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import loftwright
from loftwright.cli.answers import VERSIONS
from loftwright.errors import Problem, ProblemError, Where, as_dict, as_line, as_text
from loftwright.errors.catalogue import Entry, entries, find, nearest, page

SOURCE = Path(loftwright.__file__).parent

PROBLEM = Problem(
    "quantity-wrong-dimension",
    "an absolute pressure stands where a gauge pressure is needed",
    Where(
        file="vehicle.toml",
        line=14,
        column=21,
        field="fill.gauge_pressure",
        value='"8 bara"',
        source='gauge_pressure = "8 bara"',
        width=4,
    ),
    'write it as gauge, e.g. "60 psi"',
)


def test_one_line() -> None:
    assert as_line(PROBLEM) == (
        'vehicle.toml:14:21 fill.gauge_pressure = "8 bara": an absolute pressure stands where a '
        'gauge pressure is needed. Mend: write it as gauge, e.g. "60 psi".'
    )


def test_several_lines_with_a_caret() -> None:
    assert as_text(PROBLEM).split("\n") == [
        f"error quantity-wrong-dimension: {PROBLEM.message}",
        '  vehicle.toml:14:21  fill.gauge_pressure = "8 bara"',
        '  14 | gauge_pressure = "8 bara"',
        "     |                     ^^^^",
        '  mend: write it as gauge, e.g. "60 psi"',
    ]


def test_a_problem_without_a_place() -> None:
    bare = Problem("file-missing", "there is no such file")
    assert as_line(bare) == "there is no such file."
    assert as_text(bare) == "error file-missing: there is no such file"


def test_a_warning_says_so() -> None:
    doubt = Problem("doc-not-used", "not used", Where("a.toml", 2, 1), "take it out", "warning")
    assert as_line(doubt) == "a.toml:2:1: warning: not used. Mend: take it out."
    assert as_text(doubt).startswith("warning doc-not-used")


def test_data_for_programs() -> None:
    data = as_dict(PROBLEM)
    assert json.loads(json.dumps(data)) == data
    assert data["where"] == {
        "file": "vehicle.toml",
        "line": 14,
        "column": 21,
        "field": "fill.gauge_pressure",
        "value": '"8 bara"',
    }
    assert data["severity"] == "error"


def test_an_exception_reads_as_its_problems() -> None:
    error = ProblemError([PROBLEM, PROBLEM])
    assert str(error) == f"{as_line(PROBLEM)}\n{as_line(PROBLEM)}"


def test_a_file_cannot_drive_the_terminal() -> None:
    nasty = "\x1b[2Jvalue\x07\u202e"
    where = Where("a.toml", 1, 1, nasty, nasty, nasty)
    shown = as_text(Problem("doc-syntax", "bad", where))
    assert all(line.isprintable() for line in shown.split("\n"))
    assert "\\x1b" in shown


@given(st.text(max_size=300), st.integers(1, 320), st.integers(1, 50))
def test_the_caret_stays_under_the_line(source: str, column: int, width: int) -> None:
    where = Where("a.toml", 3, column, source=source.replace("\n", " "), width=width)
    lines = as_text(Problem("doc-syntax", "bad", where)).split("\n")
    assert all(line.isprintable() for line in lines)
    assert all(len(line) < 1400 for line in lines)


# The catalogue.


def codes_in_the_source() -> set[str]:
    families = "|".join(sorted({code.split("-")[0] for code in entries()}))
    pattern = re.compile(rf"(?:{families})-[a-z]+(?:-[a-z]+)*")
    found = set()
    for file in SOURCE.rglob("*.py"):
        if "catalogue" in file.parts:
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= {node.value} if pattern.fullmatch(node.value) else set()
    return found


def test_every_code_in_the_source_has_a_page() -> None:
    assert codes_in_the_source() - set(VERSIONS) - set(entries()) == set()


def test_no_answer_is_named_like_a_code() -> None:
    assert set(VERSIONS) & set(entries()) == set()


def test_every_page_is_of_a_code_in_the_source() -> None:
    ours = {"quantity", "doc", "file", "vehicle", "payload", "site"}
    pages = {code for code in entries() if code.split("-")[0] in ours}
    assert pages - codes_in_the_source() == set()


@pytest.mark.parametrize("entry", entries().values(), ids=lambda entry: entry.code)
def test_a_page_is_complete(entry: Entry) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)+", entry.code)
    assert entry.title
    for sentence in (entry.meaning, entry.why, entry.mend):
        assert sentence.endswith((".", "?", "!"))
    assert entry.example
    assert entry.code in page(entry)


def test_a_code_is_found_however_it_is_written() -> None:
    assert find(" DOC-Syntax ") is entries()["doc-syntax"]
    assert find("doc-sintax") is None
    assert nearest("doc-sintax")[0] == "doc-syntax"
