"""Every malformed log is told with its code and place, and every code has its page."""

from __future__ import annotations

from pathlib import Path

import pytest
from evidence.bad_logs import BAD_LOGS, BadLog

from loftwright.errors import ProblemError
from loftwright.errors.catalogue import entries
from loftwright.errors.render import as_line
from loftwright.evidence.flight_log import read_flight_log
from loftwright.evidence.log_problems import LOG_PROBLEMS


@pytest.mark.parametrize("bad", BAD_LOGS, ids=lambda bad: bad.title)
def test_the_message_of_a_bad_log(bad: BadLog, tmp_path: Path) -> None:
    (problem,) = bad.problems(tmp_path)
    assert problem.code == bad.code
    assert problem.where.line == bad.line
    assert as_line(problem).startswith("flight.csv")
    assert problem.mend


def test_what_is_no_file_is_told(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path, Path("/dev/zero"), Path("a\0b")):
        with pytest.raises(ProblemError) as caught:
            read_flight_log(path)
        assert caught.value.problems[0].code == "log-unreadable"


def test_every_code_has_a_page_and_is_shown_by_an_example() -> None:
    assert set(LOG_PROBLEMS) <= set(entries())
    unshown = set(LOG_PROBLEMS) - {bad.code for bad in BAD_LOGS}
    assert unshown == {"log-unreadable", "log-too-long", "log-no-liftoff", "log-long-cut"}
