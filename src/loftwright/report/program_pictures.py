"""Release programs as they are drawn: tables with each condition as the person wrote it."""

from __future__ import annotations

from collections.abc import Mapping

from loftwright.documents.program import Program
from loftwright.program.assemble import assemble
from loftwright.report.stage_words import StagePicture

__all__ = ["program_picture", "program_pictures"]


def program_picture(program: Program) -> StagePicture:
    """Return what is drawn of a program."""
    conditions = [[way.when or "" for way in stage.way] for stage in program.stage]
    return StagePicture(assemble(program), conditions)


def program_pictures(programs: Mapping[str, Program]) -> tuple[StagePicture, ...]:
    """Return what is drawn of each controller's program, in their order."""
    return tuple(program_picture(program) for program in programs.values())
