"""Release programs as they are drawn: tables with each condition in the person's units."""

from __future__ import annotations

from collections.abc import Mapping

from loftwright.documents.program import Program
from loftwright.program.assemble import assemble
from loftwright.program.phrases import phrase_in_units
from loftwright.report.stage_words import StagePicture

__all__ = ["program_picture", "program_pictures"]


def program_picture(program: Program, system: str) -> StagePicture:
    """Return what is drawn of a program."""
    conditions = [
        [phrase_in_units(way.when or "", system) for way in stage.way] for stage in program.stage
    ]
    return StagePicture(assemble(program), conditions)


def program_pictures(programs: Mapping[str, Program], system: str) -> tuple[StagePicture, ...]:
    """Return what is drawn of each controller's program, in their order."""
    return tuple(program_picture(program, system) for program in programs.values())
