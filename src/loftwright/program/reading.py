"""Reading release programs: the document, its conditions, and which programs a campaign has."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from loftwright.documents.campaign import CampaignFile
from loftwright.documents.named import units_beside
from loftwright.documents.program import Program
from loftwright.documents.reading import CAMPAIGN_FILE, check_source, stays_inside
from loftwright.documents.source import Source, load
from loftwright.documents.spans import Path
from loftwright.documents.syntax import UNREAD
from loftwright.errors import Problem, ProblemError, Where
from loftwright.program.assemble import assemble, conditions
from loftwright.program.phrases import Node, PhraseError, parse
from loftwright.program.table import Table

__all__ = ["ReadProgram", "check_phrases", "program_files", "read_program"]


@dataclass(frozen=True, slots=True)
class ReadProgram:
    """A program that reads without an error: its file, document, conditions and table form.

    ``conditions`` are trees by the path of their ``when``; ``source`` knows the places of all.
    """

    source: Source
    program: Program
    conditions: dict[Path, Node]
    table: Table


def read_program(path: FilePath, name: str | None = None) -> ReadProgram:
    """Read the program in the file ``path``, shown as ``name`` in messages.

    Raises ``ProblemError`` with every problem in it, those of its conditions at their column.
    Warnings of reading stay in ``source.problems``.
    """
    source = load(path, path.name if name is None else name, units_beside(path) or "metric")
    program = check_source(source, Program)
    check_phrases(source)
    if source.broken:
        raise ProblemError(sorted(source.problems, key=lambda each: each.where.line or 0))
    assert isinstance(program, Program)
    found = conditions(program)
    trees = {path: each for path, each in found.items() if not isinstance(each, PhraseError)}
    return ReadProgram(source, program, trees, assemble(program))


def check_phrases(source: Source) -> None:
    """Note in ``source`` what is wrong with the conditions of its program."""
    for s, stage in enumerate(_tables(source.data, "stage")):
        for w, way in enumerate(_tables(stage, "way")):
            phrase = way.get("when")
            if not isinstance(phrase, str) or not phrase.strip() or not phrase.isprintable():
                continue  # reported already, or left out
            if phrase == UNREAD:
                continue
            try:
                parse(phrase)
            except PhraseError as slip:
                place = source.where(("stage", s, "way", w, "when"), at=slip.at, width=slip.width)
                source.problems.append(Problem(slip.code, slip.message, place, slip.mend))


def _tables(holder: Any, word: str) -> list[dict[str, Any]]:
    found = holder.get(word) if isinstance(holder, dict) else None
    return [each for each in found if isinstance(each, dict)] if isinstance(found, list) else []


# ---------------------------------------------------------------- of a campaign


def program_files(path: FilePath) -> dict[str, FilePath]:
    """Return the program files that ``path`` stands for, by the name to show.

    ``path`` is a program, or a campaign's folder (or its ``campaign.toml``): then the avionics
    tell which programs its controllers have. Raises ``ProblemError`` where there are none.
    """
    folder = path.parent if path.name == CAMPAIGN_FILE else path
    if not folder.is_dir():
        return {path.name: path}
    head = load(folder / CAMPAIGN_FILE, CAMPAIGN_FILE)
    document = check_source(head, CampaignFile)
    if head.broken or document is None:
        raise ProblemError(head.problems)
    if document.avionics is None:
        message = "this campaign has no avionics, so that no controller has a program"
        mend = 'add avionics = "avionics.toml", or name the program\'s own file'
        raise ProblemError([Problem("program-none-named", message, head.where(()), mend)])
    if not stays_inside(folder, head, ("avionics",), document.avionics):
        raise ProblemError(head.problems)
    return _named_in(folder, document.avionics)


def _named_in(folder: FilePath, avionics: str) -> dict[str, FilePath]:
    """Return the programs that the controllers of an avionics file name."""
    source = load(folder / avionics, avionics)
    if source.data is None:
        raise ProblemError(source.problems)
    found: dict[str, FilePath] = {}
    for number, controller in enumerate(_tables(source.data, "controller")):
        name = controller.get("program")
        if not isinstance(name, str) or name == UNREAD:
            continue
        if not stays_inside(folder, source, ("controller", number, "program"), name):
            raise ProblemError(source.problems)
        found[name] = folder / name
    if not found:
        message = "no controller names a program"
        mend = 'add program = "program-main.toml" to a [[controller]]'
        raise ProblemError([Problem("program-none-named", message, Where(file=avionics), mend)])
    return found
