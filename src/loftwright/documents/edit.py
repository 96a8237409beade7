"""Writing values back into a document and taking fields out, touching nothing else.

The text is changed at the places that ``spans`` notes: comments, order, spacing and line ends
stay as they are, byte for byte. What came out is parsed again and must equal the old data with
the asked values set, or the asked fields taken out; if it does not, nothing is written.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path as FilePath
from typing import Any

from loftwright.documents.blocks import (
    blocks,
    line_end,
    line_start,
    newline_of,
    with_lines,
    without_lines,
)
from loftwright.documents.files import write_atomically
from loftwright.documents.reading import check_source
from loftwright.documents.source import Source, read_bytes, read_content
from loftwright.documents.spans import Path, Spans, scan
from loftwright.errors import Problem, ProblemError, Where

__all__ = ["Value", "changed_text", "path_of", "set_values", "with_values", "without"]

Value = str | int | float | bool | list[str]

_NUMBER = re.compile(r"[0-9]{1,9}")  # of an element of a list; no list is longer
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
    start = line_start(text, scan(text).values[path_of(field)].start)
    indent = text[start : len(text) - len(text[start:].lstrip(" \t"))]
    return f"{text[:start]}{indent}# {comment}{newline_of(text)}{text[start:]}"


def path_of(dotted: str) -> Path:
    """Return the steps of a field's path: ``"vessel.0.wall"`` is ``("vessel", 0, "wall")``."""
    return tuple(int(part) if _NUMBER.fullmatch(part) else part for part in dotted.split("."))


def with_values(text: str, values: Mapping[str, Value], name: str = "") -> str:
    """Return ``text``, which must be valid TOML, with ``values`` set like ``set_values`` does."""
    wanted = tomllib.loads(text)
    changed = text
    for dotted, value in values.items():
        path = path_of(dotted)
        if not _set(wanted, path, value):
            raise _refused(name, dotted, "there is no place for this field in the document")
        changed = _edited(changed, path, _written(value))
    if not _says(changed, wanted):
        dotted = ", ".join(values)
        raise _refused(name, dotted, "setting this would change other fields as well")
    return changed


def without(text: str, paths: Iterable[str], name: str = "") -> str:
    """Return ``text``, which must be valid TOML, without the fields and tables at ``paths``.

    What goes are whole lines: a field with the comment behind it, a table with all that stands in
    it and below it (``"canopy"``), one of a list (``"fins.1"``; those behind it move up) or the
    whole list (``"fins"``). Comments on lines above stay. Taking out what ``with_values`` has just
    put in gives the old text. Raises ``ProblemError`` with ``file-edit-refused`` where there is
    nothing at a path, and where other fields would go with it.
    """
    changed = text
    # From the back, so that the places of what is still to go stay as they were.
    for path in sorted(map(path_of, paths), key=_from_front, reverse=True):
        dotted = ".".join(map(str, path))
        wanted = tomllib.loads(changed)
        if not _took_out(wanted, path):
            raise _refused(name, dotted, "there is no such field in the document")
        changed = _cut(changed, path)
        _prune(wanted, path[:-1], scan(changed))
        if not _says(changed, wanted):
            raise _refused(name, dotted, "taking this out would change other fields as well")
    return changed


def _from_front(path: Path) -> list[tuple[bool, int, str]]:
    """Return a key by which paths sort, elements of a list by their number."""
    return [(isinstance(part, int), part if isinstance(part, int) else 0, str(part))
            for part in path]  # fmt: skip


def _says(text: str, wanted: Any) -> bool:
    """Tell whether a text is whole and says what is wanted."""
    try:
        return bool(tomllib.loads(text) == wanted)
    except tomllib.TOMLDecodeError:
        return False


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
    table, line = path[:-1], f"{path[-1]} = {written}"
    header = spans.keys.get(table)
    if table and (header is None or text[header.start] != "["):
        return _with_table(text, table, line)
    own = [span.end for each, span in spans.values.items() if each[:-1] == table]
    if not table:
        own = [end for end in own if end < _first_header(text)]
    last = max(own, default=header.end if header is not None else 0)
    return with_lines(text, line_end(text, last) if last else 0, [line])


def _first_header(text: str) -> int:
    spans = scan(text)
    starts = (span.start for span in spans.keys.values() if text[span.start] == "[")
    return min(starts, default=len(text) + 1)


def _with_table(text: str, table: Path, line: str) -> str:
    """Return ``text`` with a new table: behind those it belongs to, else at the end."""
    many = isinstance(table[-1], int)
    name = ".".join(str(part) for part in table if isinstance(part, str))
    header = f"[[{name}]]" if many else f"[{name}]"
    if not text.strip():
        return with_lines(text, len(text) if text.endswith("\n") else 0, [header, line])
    return with_lines(text, _home(text, table), ["", header, line])


def _home(text: str, table: Path) -> int:
    """Return where a new table is to stand: behind its like, or within what it is part of."""
    kin = table[:-1]
    standing = blocks(scan(text))
    while kin:
        if ends := [each.end for each in standing if each.path[: len(kin)] == kin]:
            return ends[-1]
        kin = kin[:-1]
    return len(text)


def _took_out(data: Any, path: Path) -> bool:
    """Take ``path`` out of parsed data; False where nothing is there."""
    *above, last = path
    for part in above:
        if not _has(data, part):
            return False
        data = data[part]
    if not _has(data, last):
        return False
    del data[last]
    return True


def _has(data: Any, part: str | int) -> bool:
    if isinstance(part, int):
        return isinstance(data, list) and part < len(data)
    return isinstance(data, dict) and part in data


def _cut(text: str, path: Path) -> str:
    """Return ``text`` without the lines of what stands at ``path`` or below it."""
    spans, size = scan(text), len(path)
    tables = [each for each in blocks(spans) if each.path[:size] == path]
    if tables:
        return without_lines(text, [(each.start, each.end) for each in tables], gaps=True)
    lines = [
        (line_start(text, key.start), line_end(text, spans.values[each].end))
        for each, key in spans.keys.items()
        if each[:size] == path and each in spans.values and _begins_line(text, key.start)
    ]
    return without_lines(text, lines)


def _begins_line(text: str, at: int) -> bool:
    return not text[line_start(text, at) : at].strip()


def _prune(data: Any, path: Path, spans: Spans) -> None:
    """Take out tables that have become empty and no longer stand in the text."""
    while path and path not in spans.keys:
        inside: Any = data
        for part in path:
            if not _has(inside, part):
                return
            inside = inside[part]
        if inside:
            return
        _took_out(data, path)
        path = path[:-1]
