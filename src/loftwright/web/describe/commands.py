"""Edits of a form as the command that makes the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from loftwright.documents.written import shown
from loftwright.report.shell import typed

if TYPE_CHECKING:
    from loftwright.documents.change import Edit
    from loftwright.documents.edit import Value
    from loftwright.documents.merging import Conflict
    from loftwright.web.describe.asked import Asked
    from loftwright.web.describe.form import Section

__all__ = ["deciding_command", "editing_command", "example_command"]


def editing_command(asked: Asked, edit: Edit) -> str | None:
    """Return the command that makes an edit; None for one that changes nothing."""
    words = _words(asked, {path: _said(value) for path, value in edit.values.items()}, edit.removed)
    return typed(words) if edit.values or edit.removed else None


def example_command(asked: Asked, made: Sequence[Section]) -> str:
    """Return the command that sets a field of the form to what it is: the first with a unit."""
    fields = [field for section in made for field in section.fields if field.was]
    wanted = [field for field in fields if field.kind == "quantity"] or fields
    if not wanted:
        return typed([*_words(asked, {}, ()), "PATH=VALUE"])
    return typed(_words(asked, {wanted[0].path: wanted[0].was}, ()))


def deciding_command(asked: Asked, conflicts: Sequence[Conflict]) -> list[str]:
    """Return the command that has yours stand, over what stands in the document now."""
    yours = {each.path: each.yours for each in conflicts if each.yours is not None}
    gone = [each.path for each in conflicts if each.yours is None]
    return [*_words(asked, yours, gone), "--based-on", asked.digest]


def _words(asked: Asked, values: Mapping[str, str], removed: Sequence[str]) -> list[str]:
    root = asked.named.root
    words = ["loftwright", "set", str(asked.bench.home)]
    words += [f"{root}.{path}={text}" for path, text in values.items()]
    return [*words, *(word for path in removed for word in ("--remove", f"{root}.{path}"))]


def _said(value: Value) -> str:
    """Return a value in one line where it is a list; line ends of a text are its own."""
    text = shown(value)
    return text.replace("\n", "; ") if isinstance(value, list) else text
