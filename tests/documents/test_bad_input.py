"""Every declared bad input gets its message, and the page in the docs shows them as they are."""

from __future__ import annotations

from pathlib import Path

import pytest
from documents.bad_documents import STAGED, WHOLE, reported
from documents.bad_input import PAGE, Case, page, sections
from documents.bad_wired import WIRED

from loftwright.errors import as_text
from loftwright.errors.catalogue import find

CASES = [case for section in sections() for case in section.cases]


@pytest.mark.parametrize("campaign", [WHOLE, STAGED, WIRED])
def test_the_whole_campaign_reads_without_a_word(campaign: Path) -> None:
    assert reported(campaign) == ()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_bad_input_is_reported_where_it_stands(case: Case, tmp_path: Path) -> None:
    problems = case.problems(tmp_path)
    text = "\n".join(as_text(problem) for problem in problems)
    assert tuple(problem.code for problem in problems) == case.codes, text
    assert problems[0].where.line == case.line, text


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_bad_input_is_told_how_to_mend(case: Case, tmp_path: Path) -> None:
    for problem in case.problems(tmp_path):
        assert problem.mend
        assert not problem.message.endswith(".")
        assert find(problem.code) is not None, f"{problem.code} has no page"


def test_cases_have_names_of_their_own() -> None:
    assert len(CASES) >= 45
    for section in sections():
        assert len({case.name for case in section.cases}) == len(section.cases)


def test_the_page_in_the_docs_is_fresh() -> None:
    written = PAGE.read_text(encoding="utf-8")
    assert written == page(), "run: python tests/documents/bad_input.py"
