"""Writing values back into a document, touching nothing else.

The text is changed at the places that ``spans`` notes: comments, order, spacing and line ends
stay as they are, byte for byte. What came out is parsed again and must equal the old data with
the asked values set; if it does not, nothing is written.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from loftwright.documents.files import write_atomically
from loftwright.documents.reading import check_source
from loftwright.documents.source import Source, read_bytes, read_content
from loftwright.documents.spans import Path, scan
from loftwright.errors import Problem, ProblemError, Where

__all__ = ["changed_text", "set_values", "with_values"]

Value = str | int | float | bool | list[str]

_ESCAPES = {chr(code): f"\\u{code:04X}" for code in (*range(0x20), 0x7F)}
_ESCAPES |= {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def set_values(path: FilePath, values: Mapping[str, Value], model: type | None = None) -> None:
    """Set fields of the document at ``path``, e.g. ``{"nozzle.flow_coefficient": "0.93 ± 0.02"}``.

    Keys are paths in the words of the file, with indices for lists (``"vessel.0.volume"``). A list
    of texts, such as corners, is set as a whole.
    Missing fields and tables are added. With ``model`` the new text must read as that document.
    The file is replaced in one step. Raises ``ProblemError``, and then leaves the file as it was,
    when it cannot be read, when the edit would change anything else, or when it cannot be written.
    """
    write_atomically(path, changed_text(path, values, model))


def changed_text(
    path: FilePath,
    values: Mapping[str, Value],
    model: type | None = None,
    comments: Mapping[str, str] | None = None,
) -> str:
    """Return what `set_values` would write; the document stays as it is.

    ``comments`` are lines to put above fields that are there then, each with its own indent.
    """
    source = Source(path.name)
    content = read_bytes(path, source)
    if content is not None:
        read_content(content, source)
    if content is None or source.broken or source.data is None:
        raise ProblemError(source.problems)
    mark = "\ufeff" if content.startswith(b"\xef\xbb\xbf") else ""
    text = with_values(content.decode("utf-8-sig"), values, path.name)
    for field, comment in (comments or {}).items():
        commented = _with_comment(text, field, comment)
        if tomllib.loads(commented) != tomllib.loads(text):
            raise _refused(path.name, field, "no comment can stand above this field")
        text = commented
    if model is not None:
        _refuse_unreadable(text, path.name, model)
    return mark + text


def _with_comment(text: str, field: str, comment: str) -> str:
    """Return ``text`` with a comment on a line of its own above ``field``."""
    path = tuple(int(part) if part.isdigit() else part for part in field.split("."))
    start = text.rfind("\n", 0, scan(text).values[path].start) + 1
    indent = text[start : len(text) - len(text[start:].lstrip(" \t"))]
    newline = "\r\n" if "\r\n" in text else "\n"
    return f"{text[:start]}{indent}# {comment}{newline}{text[start:]}"


def with_values(text: str, values: Mapping[str, Value], name: str = "") -> str:
    """Return ``text``, which must be valid TOML, with ``values`` set like ``set_values`` does."""
    wanted = tomllib.loads(text)
    changed = text
    for dotted, value in values.items():
        path = tuple(int(part) if part.isdigit() else part for part in dotted.split("."))
        if not _set(wanted, path, value):
            raise _refused(name, dotted, "there is no place for this field in the document")
        changed = _edited(changed, path, _written(value))
    try:
        intact = tomllib.loads(changed) == wanted
    except tomllib.TOMLDecodeError:
        intact = False
    if not intact:
        dotted = ", ".join(values)
        raise _refused(name, dotted, "setting this would change other fields as well")
    return changed


def _refused(name: str, field: str, message: str) -> ProblemError:
    mend = "change the file by hand; nothing was written"
    return ProblemError(
        [Problem("file-edit-refused", message, Where(file=name, field=field), mend)]
    )


def _refuse_unreadable(text: str, name: str, model: type) -> None:
    source = Source(name)
    read_content(text.encode("utf-8"), source)
    check_source(source, model)
    if source.broken:
        raise ProblemError(source.problems)


def _set(data: Any, path: Path, value: Value) -> bool:
    """Set ``path`` in parsed data, adding tables on the way; False where that cannot be."""
    for part, following in zip(path, (*path[1:], None), strict=True):
        last = following is None
        if isinstance(part, int):
            if not isinstance(data, list) or part > len(data) or last:
                return False
            if part == len(data):
                data.append({})
        elif not isinstance(data, dict):
            return False
        elif last:
            data[part] = copy.copy(value)
            return True
        else:
            data.setdefault(part, [] if isinstance(following, int) else {})
        data = data[part]
    return False


def _written(value: Value) -> str:
    """Return a value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + "".join(_ESCAPES.get(char, char) for char in value) + '"'
    if isinstance(value, list):
        return f"[{', '.join(map(_written, value))}]"
    return repr(value)


def _edited(text: str, path: Path, written: str) -> str:
    """Return ``text`` with the value at ``path`` replaced or added."""
    spans = scan(text)
    value = spans.values.get(path)
    if value is not None:
        return text[: value.start] + written + text[value.end :]
    newline = "\r\n" if "\r\n" in text else "\n"
    table, line = path[:-1], f"{path[-1]} = {written}{newline}"
    header = spans.keys.get(table)
    if table and (header is None or text[header.start] != "["):
        return _with_table(text, table, line, newline)
    own = [span.end for each, span in spans.values.items() if each[:-1] == table]
    if not table:
        own = [end for end in own if end < _first_header(text)]
    last = max(own, default=header.end if header is not None else 0)
    at = text.find("\n", last) + 1 if last else 0
    if last and not at:
        return f"{text}{newline}{line}"
    return text[:at] + line + text[at:]


def _first_header(text: str) -> int:
    spans = scan(text)
    starts = (span.start for span in spans.keys.values() if text[span.start] == "[")
    return min(starts, default=len(text) + 1)


def _with_table(text: str, table: Path, line: str, newline: str) -> str:
    """Return ``text`` with a new table at its end."""
    many = isinstance(table[-1], int)
    name = ".".join(str(part) for part in table if isinstance(part, str))
    header = f"[[{name}]]" if many else f"[{name}]"
    gap = "" if not text.strip() else newline if text.endswith("\n") else newline * 2
    return f"{text}{gap}{header}{newline}{line}"
