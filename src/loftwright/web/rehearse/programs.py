"""The release programs of a campaign as pages show them, also those that do not read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException

from loftwright.web.said import units_of

if TYPE_CHECKING:
    from loftwright.documents import Campaign
    from loftwright.program.checks import Facts
    from loftwright.program.reading import ReadProgram
    from loftwright.report.program_parts import ProgramPart
    from loftwright.web.bench import Bench

__all__ = ["ProgramFile", "program_of", "read_or_refuse"]

PLAIN = re.compile(r"[\w][\w .-]*(/[\w][\w .-]*)*")


@dataclass(frozen=True, slots=True)
class ProgramFile:
    """A program's file: its name within the campaign, and where it lies."""

    name: str
    path: Path

    @property
    def stem(self) -> str:
        """The name as addresses have it."""
        return self.name.removesuffix(".toml")

    def part(self, bench: Bench) -> ProgramPart:
        """Return what is said of it: the check, or what keeps it from being read."""
        from loftwright.errors import ProblemError
        from loftwright.program.checks import check_program
        from loftwright.program.reading import read_program
        from loftwright.report.program_parts import part_of, part_that_does_not_read

        text = self.path.read_bytes().decode("utf-8", errors="replace")
        try:
            read = read_program(self.path, self.name)
        except ProblemError as error:
            return part_that_does_not_read(self.name, text, error.problems)
        facts = _facts_of(bench).get(self.name)
        return part_of(read, check_program(read, facts), facts, text, units_of(bench))


def program_of(bench: Bench, stem: str) -> ProgramFile:
    """Return the program called so, which lies in the campaign's folder; raises 404 for others.

    Its name may be that of its file, or that without ``.toml``.
    """
    from loftwright.errors import ProblemError
    from loftwright.program.reading import program_files

    stem = stem.removesuffix(".toml")
    name = f"{stem}.toml"
    try:
        files = program_files(bench.home)
    except ProblemError:  # the campaign does not read: its programs are looked at all the same
        files = {path.name: path for path in bench.home.glob("program*.toml")}
    path = files.get(name)
    inside = path is not None and path.resolve().is_relative_to(bench.home.resolve())
    if path is None or not inside or not PLAIN.fullmatch(stem) or not path.is_file():
        raise HTTPException(404)
    return ProgramFile(name, path)


def read_or_refuse(program: ProgramFile) -> ReadProgram:
    """Return a program that reads. Raises ``ProblemError`` of one that does not."""
    from loftwright.program.reading import read_program

    return read_program(program.path, program.name)


def _facts_of(bench: Bench) -> dict[str, Facts]:
    """Return what the forecast says, by the file of each program; nothing where it cannot."""
    from loftwright.errors import ProblemError

    try:
        campaign = bench.read_campaign()
    except ProblemError:  # told on its own pages
        return {}
    if campaign.avionics is None:
        return {}
    return bench.memory.recall("facts", lambda: _forecast_facts(campaign), of=campaign.hashes)


def _forecast_facts(campaign: Campaign) -> dict[str, Facts]:
    from loftwright.errors import ProblemError
    from loftwright.rehearsal.forecast_facts import facts_of

    assert campaign.avionics is not None
    try:
        said = facts_of(campaign)
    except ProblemError:  # what cannot be forecast leaves the check without it
        return {}
    return {each.program: said[each.name] for each in campaign.avionics.controller}
