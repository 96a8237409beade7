"""What is found in a document, told at the fields of its form."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from loftwright.documents.edit import path_of
from loftwright.documents.spans import Path
from loftwright.errors import Problem
from loftwright.web.describe.draft import Draft, dotted
from loftwright.web.describe.form import Section

__all__ = ["Told", "in_form", "told_at"]


@dataclass(frozen=True, slots=True)
class Told:
    """Problems by the field that they stand at, and those that stand at none."""

    fields: dict[str, list[Problem]]
    rest: list[Problem]


def told_at(
    problems: Iterable[Problem], file: str, sections: Iterable[Section], draft: Draft
) -> Told:
    """Return problems by the fields of a form; those of other documents are in the rest."""
    known = {field.path for section in sections for field in section.fields}
    fields: dict[str, list[Problem]] = {}
    rest = []
    for problem in problems:
        path = _as_drafted(problem.where.field or "", draft)
        home = _nearest(path, known) if problem.where.file == file else None
        if home is None:
            rest.append(problem)
        else:
            fields.setdefault(home, []).append(replace(problem, mend=in_form(problem)))
    return Told(fields, rest)


def in_form(problem: Problem) -> str:
    """Return how a problem is mended in the input of its field: without TOML around the value."""
    word = re.escape(str(path_of(problem.where.field)[-1])) if problem.where.field else ""
    mend = problem.mend or ""
    if not word:
        return mend
    value = r'(?:"(?P<text>[^"]*)"|(?P<bare>[-\d.]+|true|false)(?=$|[\s,;]))'
    mend = re.sub(rf"^add {word} = (?=[\"\d-])", f"write it here, e.g. {word} = ", mend)
    mend = re.sub(rf"\b{word} = {value}", lambda found: found["text"] or found["bare"] or "", mend)
    return mend.replace("without quotes and point", "in digits").replace("put it in quotes, ", "")


def _nearest(path: str, known: set[str]) -> str | None:
    """Return the field of a problem: a corner's is its list."""
    steps = path_of(path) if path else ()
    while steps:
        if dotted(steps) in known:
            return dotted(steps)
        if not isinstance(steps[-1], int):
            return None
        steps = steps[:-1]
    return None


def _as_drafted(path: str, draft: Draft) -> str:
    """Return a path in the numbers of the form, where what is to go still has its own."""
    if not path:
        return path
    steps: Path = path_of(path)
    for gone in sorted(map(path_of, draft.gone), key=lambda each: str(each[-1])):
        size = len(gone) - 1
        last = gone[-1]
        if len(steps) <= size or steps[:size] != gone[:size] or not isinstance(last, int):
            continue
        here = steps[size]
        if isinstance(here, int) and here >= last:
            steps = (*steps[:size], here + 1, *steps[size + 1 :])
    return dotted(steps)
