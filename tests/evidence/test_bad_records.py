"""Every malformed record is refused with its code and place, and every code has its page."""

from __future__ import annotations

from pathlib import Path

import pytest
from evidence.bad_records import BAD_RECORDS, BadRecord

from loftwright.errors import ProblemError
from loftwright.errors.catalogue import entries
from loftwright.errors.render import as_line
from loftwright.evidence.problems import PROBLEMS
from loftwright.evidence.record import parse_firing_record, read_firing_record


@pytest.mark.parametrize("bad", BAD_RECORDS, ids=lambda bad: bad.title)
def test_the_message_of_a_bad_record(bad: BadRecord, tmp_path: Path) -> None:
    (problem,) = bad.problems(tmp_path)
    assert problem.code == bad.code
    assert problem.where.line == bad.line
    assert as_line(problem).startswith("run.txt")
    assert problem.mend


@pytest.mark.parametrize(
    "bad", [bad for bad in BAD_RECORDS if bad.measured], ids=lambda bad: bad.title
)
def test_what_measuring_refuses_can_be_read(bad: BadRecord) -> None:
    assert len(parse_firing_record(bad.raw, "run.txt", **bad.options).force) == 400


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    for path in (tmp_path / "none.txt", tmp_path):
        with pytest.raises(ProblemError) as caught:
            read_firing_record(path)
        assert caught.value.problems[0].code == "evidence-unreadable"


def test_every_code_has_a_page_and_is_shown_by_an_example() -> None:
    assert set(PROBLEMS) <= set(entries())
    unshown = set(PROBLEMS) - {bad.code for bad in BAD_RECORDS}
    assert unshown == {"evidence-unreadable", "evidence-too-long", "evidence-fit-fill"}
