"""What is wrong with the release programs of a campaign, without flying it."""

from __future__ import annotations

from pathlib import Path

from loftwright.errors import Problem, ProblemError
from loftwright.program.checks import check_program
from loftwright.program.reading import program_files, read_program

__all__ = ["problems_of_programs"]


def problems_of_programs(folder: Path) -> tuple[tuple[Problem, ...], tuple[Problem, ...]]:
    """Return why programs of a campaign do not read, and what the check finds in the others.

    Reading the documents alone does not read the conditions of programs. Nothing is found where
    the campaign has no programs, or where it does not read itself.
    """
    unread: list[Problem] = []
    found: list[Problem] = []
    try:
        files = program_files(folder)
    except ProblemError:  # it has none, or says so when its documents are read
        return (), ()
    for name, path in files.items():
        try:
            found += check_program(read_program(path, name)).problems
        except ProblemError as error:
            unread += error.problems
    return tuple(unread), tuple(found)
