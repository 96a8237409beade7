"""Changing documents against what was read: no edit is ever lost in silence.

Edits of different fields are put together by themselves; of the same field, both come back, with
what stood before, for a person to decide. Each change is one step of the history.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from loftwright.documents.alone import writing_alone
from loftwright.documents.edit import Value, path_of, with_values, without
from loftwright.documents.flights import home_of
from loftwright.documents.history import content_of, digest_of, write_documents
from loftwright.documents.journal import kept_text
from loftwright.documents.merging import Conflict, Hunk, changed_fields, conflicts, hunks
from loftwright.documents.reading import CAMPAIGN_FILE, check_source
from loftwright.documents.source import Source, read_content
from loftwright.errors import Problem, ProblemError, Where

__all__ = [
    "Changed",
    "Edit",
    "change",
    "change_text",
    "edited",
    "merged_lines",
    "new_errors",
    "problems_of",
]

_MARK = b"\xef\xbb\xbf"
_NUMBERS = re.compile(r"\.[0-9]+(?=\.|$)")


@dataclass(frozen=True, slots=True)
class Edit:
    """What is to change in one document: fields by their paths in it, and what is to go.

    Numbers of list elements are those of the document that was read. ``based_on`` is its SHA-256;
    None where the edit holds whatever stands there by now.
    """

    values: Mapping[str, Value] = field(default_factory=dict)
    removed: tuple[str, ...] = ()
    based_on: str | None = None


@dataclass(frozen=True, slots=True)
class Changed:
    """What came of a change. With ``conflicts`` or a clash in ``lines``, nothing was written.

    ``hashes`` are the SHA-256 of the documents as they are now, ``written`` the files that were
    changed, ``meanwhile`` the fields that others had changed by then and that were kept, by file.
    """

    hashes: dict[str, str]
    written: tuple[str, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    meanwhile: dict[str, tuple[str, ...]] = field(default_factory=dict)
    lines: tuple[Hunk, ...] = ()


def change(
    folder: Path, edits: Mapping[str, Edit], models: Mapping[str, type], what: str = ""
) -> Changed:
    """Change documents of the campaign in ``folder``, all or none, as one step of its history.

    Parameters
    ----------
    folder : of the campaign
    edits : by file
    models : the kind of each of these files
    what : the step in words; made from the fields when left out

    Raises
    ------
    ProblemError
        A document cannot be read or written, the edit would change anything else, or a document
        would have an error that it has not got now. Nothing is written then.
    """
    home = home_of(folder)
    with writing_alone(home / CAMPAIGN_FILE):
        now = {file: _standing(home, file) for file in edits}
        clashes, meanwhile = _against(home, edits, now)
        hashes = {file: digest_of(content) or "" for file, content in now.items()}
        if clashes:
            return Changed(hashes, (), tuple(clashes), meanwhile)
        made = {file: edited(now[file], each, file) for file, each in edits.items()}
        if found := [
            problem
            for file, content in made.items()
            for problem in new_errors(now[file], content, file, models[file])
        ]:
            raise ProblemError(found)
        write_documents(home, made, what or _what(edits))
        written = tuple(file for file in made if made[file] != now[file])
        return Changed(
            {file: digest_of(content) or "" for file, content in made.items()},
            written,
            meanwhile=meanwhile,
        )


def edited(content: bytes, edit: Edit, file: str) -> bytes:
    """Return a document with an edit made; every other byte as it was. Raises as `change` does."""
    mark = _MARK if content.startswith(_MARK) else b""
    text = _text(content, file)
    text = with_values(text, edit.values, file) if edit.values else text
    data = tomllib.loads(text)
    gone = [path for path in edit.removed if edit.based_on is None or _stands(data, path)]
    try:
        return mark + without(text, gone, file).encode("utf-8")
    except UnicodeEncodeError as error:
        message, mend = "what was given is not UTF-8 text", "give it as UTF-8"
        raise ProblemError([Problem("doc-encoding", message, Where(file=file), mend)]) from error


def change_text(
    folder: Path,
    file: str,
    text: str,
    model: type,
    *,
    based_on: str | None = None,
    with_errors: bool = False,
) -> Changed:
    """Put ``text`` in place of the document ``file``, whose line ends stay what they were.

    Where the document is not the one of ``based_on`` any more and says other things now, both
    texts come back line by line, and nothing is written. Raises ``ProblemError`` with what is
    wrong with the text, unless it is to be kept ``with_errors``, and where it cannot be written.
    """
    home = home_of(folder)
    with writing_alone(home / CAMPAIGN_FILE):
        now = _standing(home, file)
        digest = digest_of(now) or ""
        content = _like(now, text)
        if based_on not in (None, digest) and content != now:
            before = kept_text(home, based_on or "")
            sides = [None if each is None else _lines(each) for each in (before, now, content)]
            found = hunks(sides[0], sides[1] or [], sides[2] or [])
            return Changed({file: digest}, lines=tuple(found))
        found_wrong = [each for each in problems_of(content, file, model) if _is_error(each)]
        if found_wrong and not with_errors:
            raise ProblemError(found_wrong)
        write_documents(home, {file: content}, f"the text of {file}")
        return Changed({file: digest_of(content) or ""}, (file,) if content != now else ())


def problems_of(content: bytes, file: str, model: type) -> list[Problem]:
    """Return what is wrong or doubtful with a document by itself, in the order of its lines."""
    source = Source(file)
    read_content(content, source)
    check_source(source, model)
    return sorted(source.problems, key=lambda problem: problem.where.line or 0)


def new_errors(before: bytes, after: bytes, file: str, model: type) -> list[Problem]:
    """Return the errors of ``after`` that ``before`` had not."""
    known = {_key(problem) for problem in problems_of(before, file, model)}
    return [
        problem
        for problem in problems_of(after, file, model)
        if _is_error(problem) and _key(problem) not in known
    ]


def _is_error(problem: Problem) -> bool:
    return problem.severity == "error"


def _key(problem: Problem) -> tuple[str, str, str]:
    """Return what a problem is known by when others of its list have come or gone."""
    field_path = _NUMBERS.sub("", problem.where.field or "")
    return problem.code, field_path, problem.where.value or ""


def _standing(home: Path, file: str) -> bytes:
    """Return the bytes of a document that must be there."""
    content = content_of(home / file)
    if content is None:
        mend = "write it, or correct its name in campaign.toml"
        where = Where(file=file)
        raise ProblemError([Problem("file-missing", "there is no such file", where, mend)])
    return content


def _text(content: bytes, file: str) -> str:
    """Return the text of a document that can be edited by field."""
    source = Source(file)
    read_content(content, source)
    if source.broken or source.data is None:
        raise ProblemError(each for each in source.problems if _is_error(each))
    return content.decode("utf-8-sig")


def _against(
    home: Path, edits: Mapping[str, Edit], now: Mapping[str, bytes]
) -> tuple[list[Conflict], dict[str, tuple[str, ...]]]:
    """Hold edits against what the documents say by now."""
    clashes: list[Conflict] = []
    meanwhile: dict[str, tuple[str, ...]] = {}
    for file, edit in edits.items():
        if edit.based_on in (None, digest_of(now[file])):
            continue
        theirs = tomllib.loads(_text(now[file], file))
        kept = kept_text(home, edit.based_on or "")
        base = None if kept is None else _data(kept)
        clashes += conflicts(file, base, theirs, edit.values, edit.removed)
        if base is not None and (fields := changed_fields(base, theirs)):
            meanwhile[file] = fields
    return clashes, meanwhile


def _data(content: bytes) -> dict[str, object] | None:
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except ValueError:
        return None


def _stands(data: object, dotted: str) -> bool:
    for part in path_of(dotted):
        if isinstance(part, int):
            if not isinstance(data, list) or part >= len(data):
                return False
            data = data[part]
        elif isinstance(data, dict) and part in data:
            data = data[part]
        else:
            return False
    return True


def _what(edits: Mapping[str, Edit]) -> str:
    """Return a change in words: what was set and what taken out."""
    said: list[str] = []
    for file, edit in edits.items():
        root = file.removesuffix(".toml")
        said += [f"{root}.{path} = {_short(value)}" for path, value in edit.values.items()]
        said += [f"{root}.{path} taken out" for path in edit.removed]
    more = f" and {len(said) - 3} more" if len(said) > 3 else ""
    return "; ".join(said[:3]) + more


def _short(value: Value) -> str:
    words = ", ".join(value) if isinstance(value, list) else str(value)
    return words if len(words) <= 40 else words[:39] + "…"


def _like(now: bytes, text: str) -> bytes:
    """Return a text with the line ends and the mark of the document that it replaces."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = plain.replace("\n", "\r\n") if b"\r\n" in now else plain
    return (_MARK if now.startswith(_MARK) else b"") + lines.encode("utf-8", "replace")


def _lines(content: bytes) -> list[str]:
    return content.decode("utf-8-sig", "replace").replace("\r\n", "\n").split("\n")


def merged_lines(found: Iterable[Hunk], choices: Mapping[int, str]) -> str:
    """Return the text of ``found`` with one side chosen for each hunk by its number.

    Without a choice, what one side alone changed is taken, and of a clash both: theirs first.
    """
    lines: list[str] = []
    for number, hunk in enumerate(found):
        side = choices.get(number, "both" if hunk.kind == "conflict" else hunk.kind)
        if side == "both":
            lines += [*hunk.theirs, *hunk.yours]
        else:
            lines += hunk.theirs if side in ("theirs", "same") else hunk.yours
    return "\n".join(lines)
