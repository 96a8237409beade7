"""The pages of a release program: its stages, what was proved of it, and what it does replayed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from loftwright.flight.results import Provenance
from loftwright.rehearsal.results import Watched
from loftwright.report.answer import Answer
from loftwright.report.cautions import CAUTIONS, DEFERENCE
from loftwright.report.drawn import strips_of_page
from loftwright.report.facts import warnings_of
from loftwright.report.page import environment
from loftwright.report.rehearse_page import drawn_flights, drawn_programs
from loftwright.report.rehearse_words import number_words
from loftwright.report.sources import law_sources
from loftwright.report.stage_words import StagePicture
from loftwright.report.strip_model import Strip
from loftwright.report.theme import DARK, LIGHT, css_variables

__all__ = ["CheckRow", "program_page", "replay_page"]


@dataclass(frozen=True, slots=True)
class CheckRow:
    """Something that was checked: what is promised, whether it holds, and what breaks it.

    ``path`` are the steps of a way through the stages that breaks it, in words.
    """

    says: str
    holds: bool
    path: tuple[str, ...] = ()


def program_page(
    picture: StagePicture,
    reading: Sequence[str],
    checks: Sequence[CheckRow],
    provenance: Provenance,
) -> str:
    """Return the report of a program as one self-contained HTML document.

    ``reading`` is the program in plain sentences; ``checks`` what was proved, or what breaks it.
    """
    context = _shared(picture.table.name, provenance, []) | {
        "kind": "A release program",
        "answer": _checked(checks, len(picture.table.stages)),
        "reading": list(reading),
        "checks": list(checks),
        "programs": drawn_programs([picture]),
        "flights": [],
    }
    return environment().get_template("program.html.j2").render(context)


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
        "reading": [],
        "checks": [],
        "programs": drawn_programs([picture]),
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


def _checked(checks: Sequence[CheckRow], stages: int) -> Answer:
    """Say how many promises hold, then each that does not."""
    broken = [check for check in checks if not check.holds]
    count = f"{number_words(stages)} stage{'' if stages == 1 else 's'}"
    if not checks:
        lead = f"{count}; nothing is promised of it."
    elif not broken:
        promises = "the promise holds" if len(checks) == 1 else f"all {len(checks)} promises hold"
        lead = f"{count}; {promises}, on every way through them."
    else:
        lead = f"{count}; {len(broken)} of {len(checks)} promises can be broken."
    said = tuple(f"Broken: {check.says}." for check in broken)
    return Answer(lead, (), said, ())
