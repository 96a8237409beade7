"""Words as a person gives them, as a document has them: quoted, bare or as a list.

The declaration decides: ``"4"`` is the number 4 in a field of whole numbers, and a text in a name.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

from loftwright.documents.edit import Value, path_of
from loftwright.documents.fields import Declared, rules
from loftwright.documents.spans import Path

__all__ = ["as_written", "declared_at", "shown"]

_WHOLE = re.compile(r"[+-]?[0-9]{1,9}")
_QUOTED = ("quantity", "choice", "whole", "flag")
_BETWEEN = re.compile(r"[;\n]")  # corners


def declared_at(model: type, path: Path) -> Declared | None:
    """Return the declaration of what stands at ``path``; None where nothing is declared there."""
    found: Declared | None = None
    for part in path:
        if isinstance(part, int):
            if found is None or found.rule.kind != "tables":
                return None
            continue
        declared = rules(model).get(part)
        if declared is None:
            return None
        found, model = declared, declared.rule.model or object
        if model is object and part is not path[-1]:
            return None
    return found


def as_written(model: type, dotted: str, text: str) -> Value:
    """Return ``text`` as the field at ``dotted`` takes it.

    What does not fit its kind stays a text, for the reader of the document to say so.
    """
    declared = declared_at(model, path_of(dotted))
    kind = "text" if declared is None else declared.rule.kind
    plain = text.strip()
    if kind in _QUOTED and plain[:1] == plain[-1:] == '"' and len(plain) > 1:
        plain = plain[1:-1].strip()  # as a document has it, and as messages show it
    if kind == "whole" and _WHOLE.fullmatch(plain):
        return int(plain)
    if kind == "flag" and plain in ("true", "false"):
        return plain == "true"
    if kind == "corners":
        return _corners(plain)
    return plain


def _corners(text: str) -> list[str]:
    """Return corners given one a line or with ; between, or as a document has them."""
    if text.startswith("["):
        try:
            given = tomllib.loads(f"corners = {text}")["corners"]
        except tomllib.TOMLDecodeError:
            given = None
        if isinstance(given, list) and all(isinstance(each, str) for each in given):
            return given
    return [each.strip() for each in _BETWEEN.split(text) if each.strip()]


def shown(value: Any) -> str:
    """Return a value of a document as a person would give it to `as_written`."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "\n".join(map(shown, value))
    return str(value)
