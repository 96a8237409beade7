"""Edits on a form that are not saved: what was typed, what was added, what is to go."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from loftwright.documents.change import Edit
from loftwright.documents.edit import Value, path_of
from loftwright.documents.spans import Path
from loftwright.documents.written import as_written, shown
from loftwright.web.posting import Form

__all__ = ["FIELD", "Draft", "completed", "dotted", "draft_of", "edit_of", "value_at"]

FIELD = "f:"  # before the path in the name of an input


@dataclass(frozen=True, slots=True)
class Draft:
    """Edits on a reading of a document, which ``based_on`` names by its SHA-256.

    ``values`` are the texts of fields by their paths, also of those that nobody changed; ``added``
    are tables and elements of lists that are new, ``gone`` what is to be taken out. Numbers of
    elements are those of the reading; new ones follow them without a gap.
    """

    based_on: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    added: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()

    def with_table(self, path: str) -> Draft:
        """Return the draft with a table or element that is to be filled in."""
        gone = tuple(each for each in self.gone if each != path)
        if gone != self.gone:
            return replace(self, gone=gone)
        return replace(self, added=(*(each for each in self.added if each != path), path))

    def without(self, path: str) -> Draft:
        """Return the draft without a table or element; a new one leaves no trace."""
        values = {each: text for each, text in self.values.items() if not _is_in(each, path)}
        if path not in self.added:
            return replace(self, values=values, gone=(*self.gone, path))
        added = tuple(each for each in self.added if not _is_in(each, path))
        return _closed_up(replace(self, values=values, added=added), path_of(path))


def draft_of(form: Form) -> Draft:
    """Read a draft from what a page sent."""
    added, gone = (tuple(dict.fromkeys(form.all(word))) for word in ("added", "gone"))
    return Draft(form.get("based_on"), form.below(FIELD), added, gone)


def edit_of(draft: Draft, content: bytes, model: type) -> Edit:
    """Return what a draft changes in the text that it is based on, and nothing else.

    Raises ``UnicodeDecodeError`` or ``TOMLDecodeError`` for a text that is no TOML.
    """
    base = tomllib.loads(content.decode("utf-8-sig"))
    values: dict[str, Value] = {}
    removed = [path for path in draft.gone if value_at(base, path_of(path)) is not None]
    for path, text in draft.values.items():
        if any(_is_in(path, each) for each in draft.gone):
            continue
        before = value_at(base, path_of(path))
        if isinstance(before, dict) or text.strip() == _plain(before):
            continue
        if text.strip():
            values[path] = as_written(model, path, text)
        elif before is not None:
            removed.append(path)
    return Edit(values, tuple(removed), draft.based_on or None)


def completed(draft: Draft, content: bytes) -> Draft:
    """Return the draft with every table added that its values stand in and the text has not."""
    base = tomllib.loads(content.decode("utf-8-sig"))
    added = list(draft.added)
    for path, text in draft.values.items():
        steps = path_of(path)
        for size in range(1, len(steps)):
            table = dotted(steps[:size])
            is_list = isinstance(steps[size], int)
            if text.strip() and not is_list and value_at(base, steps[:size]) is None:
                added.append(table)
    return replace(draft, added=tuple(dict.fromkeys(added)))


def value_at(data: Any, path: Path) -> Any:
    """Return what stands at a path of parsed data; None where nothing does."""
    for part in path:
        if isinstance(part, int):
            if not isinstance(data, list) or part >= len(data):
                return None
            data = data[part]
        elif isinstance(data, dict):
            data = data.get(part)
        else:
            return None
    return data


def dotted(path: Path) -> str:
    """Return a path in the words of the files."""
    return ".".join(map(str, path))


def _plain(value: Any) -> str:
    return "" if value is None else shown(value).strip()


def _is_in(path: str, table: str) -> bool:
    return path == table or path.startswith(f"{table}.")


def _closed_up(draft: Draft, gap: Path) -> Draft:
    """Move the new elements behind one that went to where it was."""
    number = gap[-1] if gap else None
    if not isinstance(number, int):
        return draft
    size = len(gap) - 1

    def moved(path: str) -> str:
        steps = path_of(path)
        here = steps[size] if len(steps) > size and steps[:size] == gap[:size] else None
        if isinstance(here, int) and here > number:
            return dotted((*steps[:size], here - 1, *steps[size + 1 :]))
        return path

    values = {moved(path): text for path, text in draft.values.items()}
    return replace(draft, values=values, added=tuple(map(moved, draft.added)))
