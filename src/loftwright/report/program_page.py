"""The pages of a release program: its stages, what was proved of it, and what it does replayed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from loftwright.flight.results import Provenance
from loftwright.rehearsal.results import Watched
from loftwright.report.answer import Answer
from loftwright.report.cautions import CAUTIONS, DEFERENCE
from loftwright.report.drawn import strips_of_page
from loftwright.report.facts import warnings_of
from loftwright.report.program_parts import CheckRow, ProgramPart
from loftwright.report.rehearse_page import drawn_flights, drawn_programs
from loftwright.report.rehearse_words import number_words
from loftwright.report.sources import law_sources
from loftwright.report.stage_words import StagePicture
from loftwright.report.strip_model import Strip
from loftwright.report.templating import environment
from loftwright.report.theme import DARK, LIGHT, css_variables

__all__ = ["CheckRow", "program_page", "programs_page", "replay_page"]


def program_page(
    picture: StagePicture,
    reading: Sequence[str],
    checks: Sequence[CheckRow],
    provenance: Provenance,
) -> str:
    """Return the report of a program as one self-contained HTML document.

    ``reading`` is the program in plain sentences; ``checks`` what was proved, or what breaks it.
    """
    said = (("", tuple(reading)),) if reading else ()
    return programs_page(
        [ProgramPart(picture.table.name, picture, said, tuple(checks))], provenance
    )


def programs_page(parts: Sequence[ProgramPart], provenance: Provenance) -> str:
    """Return the report of some programs, one after the other, as one self-contained document.

    Each one's text has what the check says beside the line that it is about.
    """
    name = parts[0].name if len(parts) == 1 else f"{len(parts)} release programs"
    context = _shared(name, provenance, []) | {
        "kind": "A release program" if len(parts) == 1 else "Release programs",
        "answer": _answer(parts),
        "parts": [_part(part) for part in parts],
        "flights": [],
    }
    return environment().get_template("program.html.j2").render(context)


def _part(part: ProgramPart) -> dict[str, Any]:
    drawn = drawn_programs([part.picture])[0]["svg"] if part.picture is not None else None
    return {"said": part, "svg": drawn}


def replay_page(
    watched: Watched,
    system: str,
    picture: StagePicture,
    provenance: Provenance,
    source: str = "",
    warnings: Sequence[Mapping[str, Any]] = (),
) -> str:
    """Return what a program does on one record or flight, as one self-contained HTML document.

    ``watched`` may have no ``truth``, as where a record is replayed; ``source`` names it, and
    ``warnings`` (``loftwright.errors.as_dict`` data) say what is doubtful about it.
    """
    strips, flights = drawn_flights([watched], system)
    context = _shared(picture.table.name, provenance, strips) | {
        "kind": f"A release program, run on {source}" if source else "A release program, run",
        "answer": Answer(watched.outcome, (), (), ()),
        "parts": [_part(ProgramPart(picture.table.name, picture))],
        "flights": flights,
        "warnings": warnings_of({"warnings": warnings}),
    }
    return environment().get_template("program.html.j2").render(context)


def _shared(name: str, provenance: Provenance, strips: list[Strip]) -> dict[str, Any]:
    return {
        "light": Markup(css_variables(LIGHT)),
        "dark": Markup(css_variables(DARK)),
        "name": name,
        "question": None,
        "warnings": [],
        "cautions": CAUTIONS,
        "deference": DEFERENCE,
        "provenance": provenance,
        "documents": provenance.documents,
        "sources": law_sources(provenance.laws),
        "readout": strips_of_page(strips),
    }


def _answer(parts: Sequence[ProgramPart]) -> Answer:
    """Say of each program whether it reads and which promises hold, then each that does not."""
    several = len(parts) > 1
    leads, said = [], []
    for part in parts:
        lead, broken = _checked(part)
        leads.append(f"{part.name}: {lead[:1].lower()}{lead[1:]}" if several else lead)
        said += broken
    return Answer(" ".join(leads), (), tuple(said), ())


def _checked(part: ProgramPart) -> tuple[str, list[str]]:
    """Say how many promises hold, and each that does not."""
    if part.picture is None:
        wrong = "one thing is" if part.errors == 1 else f"{part.errors} things are"
        return f"It cannot be read: {wrong} wrong in it.", []
    broken = [check for check in part.checks if not check.holds]
    stages = len(part.picture.table.stages)
    count = f"{number_words(stages)} stage{'' if stages == 1 else 's'}"
    if part.errors > len(broken):
        lead = f"{count}; {part.errors} things are wrong in it."
    elif not part.checks:
        lead = f"{count}; nothing is promised of it."
    elif not broken:
        several = f"all {len(part.checks)} promises hold"
        promises = "the promise holds" if len(part.checks) == 1 else several
        lead = f"{count}; {promises}, on every way through them."
    else:
        lead = f"{count}; {len(broken)} of {len(part.checks)} promises can be broken."
    return lead, [f"Broken: {check.says}." for check in broken]
