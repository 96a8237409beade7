"""Telling which setting of the command line a problem comes from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.errors import Problem

__all__ = ["Blame"]

SET = "--set"


class Blame:
    """Finds the place of problems that came up in a campaign changed by ``settings``.

    ``home`` is the campaign as it is; ``names`` are its documents' file names by role.
    """

    def __init__(self, home: Path, settings: Sequence[str], names: Mapping[str, str]) -> None:
        self.home = home
        self.names = names
        self.settings = settings
        self._told_without: set[tuple[str, str | None, str | None]] | None = None

    def placed(self, problems: Iterable[Problem]) -> tuple[Problem, ...]:
        """Return ``problems`` with the setting as the place of those that a setting brought."""
        return tuple(map(self._placed, problems))

    def _placed(self, problem: Problem) -> Problem:
        from loftwright.errors import Where

        where = problem.where
        if where.field == SET:
            return problem
        named = [each for each in self.settings if self._names_place(each, problem)]
        if not named and _key(problem) in self._without():
            return problem
        subject = "" if len(named) == 1 else f"{where.file or ''} {where.field or ''}".strip()
        message = f"{subject}: {problem.message}" if subject else problem.message
        mend = problem.mend
        if problem.code == "file-edit-refused":
            mend = "give the path of one field, as the reference of the documents has it"
        at = Where(field=SET, value=" ".join(named or self.settings))
        return replace(problem, message=message, where=at, mend=mend)

    def _without(self) -> set[tuple[str, str | None, str | None]]:
        """Return what is told about the campaign as it is: no setting is to blame for that."""
        from loftwright.documents import read_campaign
        from loftwright.errors import ProblemError

        if self._told_without is None:
            try:
                told = read_campaign(self.home).warnings
            except ProblemError as error:
                told = error.problems
            self._told_without = set(map(_key, told))
        return self._told_without

    def _names_place(self, setting: str, problem: Problem) -> bool:
        """Tell whether a setting sets the field of a problem, one below or one above it."""
        role, _, field = setting.partition("=")[0].strip().partition(".")
        found = problem.where.field or ""
        if self.names.get(role) != problem.where.file or not found:
            return False
        return any(
            f"{one}.".startswith(f"{other}.") for one, other in ((found, field), (field, found))
        )


def _key(problem: Problem) -> tuple[str, str | None, str | None]:
    return problem.code, problem.where.file, problem.where.field
