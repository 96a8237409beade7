"""What is wrong with a campaign, without flying it: its documents, its vehicle, its programs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from loftwright.documents import read_campaign
from loftwright.errors import Problem, ProblemError
from loftwright.flight.check import check

if TYPE_CHECKING:
    from loftwright.documents.campaign import Campaign
    from loftwright.flight.check import CheckResult

__all__ = ["CampaignCheck", "check_campaign"]


@dataclass(frozen=True, slots=True)
class CampaignCheck:
    """What the check of a campaign's folder says.

    ``unread`` is why documents, or the conditions of programs, do not read; ``programs`` what is
    found in the programs that do: warnings, and as errors the promises that they do not keep.
    ``campaign`` and ``vehicle`` are there where the documents read, whatever its programs are.
    """

    unread: tuple[Problem, ...]
    programs: tuple[Problem, ...]
    campaign: Campaign | None = None
    vehicle: CheckResult | None = None

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Everything that was found, each once, errors first."""
        warnings = () if self.vehicle is None else self.vehicle.warnings
        return _errors_first(_once((*self.unread, *warnings, *self.programs)))

    @property
    def refuted(self) -> tuple[Problem, ...]:
        """Errors of programs that read: clocks that never run, promises that can be broken."""
        return tuple(each for each in self.programs if each.severity == "error")

    def result(self) -> CheckResult:
        """Return figures and warnings, those of the programs among them.

        Raises ``ProblemError`` with every problem where one of them is an error.
        """
        problems = self.problems
        if self.vehicle is None or any(each.severity == "error" for each in problems):
            raise ProblemError(problems)
        return replace(self.vehicle, warnings=problems)


def check_campaign(folder: Path) -> CampaignCheck:
    """Read the documents and the programs of the campaign in ``folder``, and check all of it."""
    try:
        campaign = read_campaign(folder)
    except ProblemError as error:
        unread, programs = _of_programs(folder)
        return CampaignCheck(_errors_first(_once((*error.problems, *unread))), programs)
    # The grammar of conditions is loaded only for a campaign that has some.
    unread, programs = _of_programs(folder) if campaign.programs else ((), ())
    return CampaignCheck(_errors_first(_once(unread)), programs, campaign, check(campaign))


def _of_programs(folder: Path) -> tuple[tuple[Problem, ...], tuple[Problem, ...]]:
    from loftwright.program.campaigns import problems_of_programs

    return problems_of_programs(folder)


def _once(problems: Iterable[Problem]) -> Iterable[Problem]:
    """Leave out what two readers of the same file say in the same words."""
    found = {(each.code, each.where.file, each.where.line, each.message): each for each in problems}
    return found.values()


def _errors_first(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(problems, key=lambda each: each.severity != "error"))
