"""One file as it was found: its bytes, its text, its data, its places and its problems."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import Any

from loftwright.documents import syntax
from loftwright.documents.files import read_regular
from loftwright.documents.spans import Path, Span, Spans, scan
from loftwright.errors import Problem, ProblemError, Where
from loftwright.errors.problem import Severity

__all__ = ["LARGEST", "Source", "UnreadError", "load", "read_bytes", "read_content"]

LARGEST = 64 * 1024  # bytes; a document is a page or two of text
LONGEST_LINE = 2000  # characters; keeps every reader's time bounded

_OLD_SIGNS = {0xB1: "±", 0xB0: "°", 0xB5: "µ", 0xB2: "²", 0xB3: "³"}  # in Windows-1252


class UnreadError(Exception):
    """A field was asked for that could not be read; its problem is noted already."""


@dataclass(slots=True)
class Source:
    """A file that is being read. ``data`` is None where nothing could be made of it.

    What is found in it is said in the units of ``system``, "metric" or "us".
    """

    file: str
    sha256: str = ""
    spans: Spans = field(default_factory=lambda: Spans(""))
    data: dict[str, Any] | None = None
    problems: list[Problem] = field(default_factory=list)
    system: str = "metric"

    def raw(self, path: Path) -> str | None:
        """Return the value at ``path`` as it is written, or None where none stands."""
        span = self.spans.values.get(path)
        return None if span is None else self.spans.text[span.start : span.end]

    def where(self, path: Path, *, key: bool = False, at: int = 0, width: int = 0) -> Where:
        """Return the place of the value at ``path``, or of its ``key``, or the nearest above it.

        ``at`` and ``width`` point inside a text without escapes.
        """
        span = None if key else self.spans.values.get(path)
        raw = self.raw(path)
        if span is None:
            span = self.spans.near(path)
        elif width and raw is not None and raw[:1] in "\"'" and "\\" not in raw[: at + 2]:
            start = min(span.start + 1 + at, span.end - 1)
            span = Span(start, min(start + width, span.end))
        line, column = self.spans.place(span.start)
        return Where(
            file=self.file,
            line=line,
            column=column,
            field=".".join(str(part) for part in path) or None,
            value=raw,
            source=self.spans.line(line),
            width=max(1, span.end - span.start),
        )

    def report(
        self,
        code: str,
        path: Path,
        message: str,
        mend: str,
        *,
        key: bool = False,
        severity: Severity = "error",
    ) -> None:
        """Note a problem at the value (or the ``key``) of ``path``."""
        where = self.where(path, key=key)
        self.problems.append(Problem(code, message, where, mend, severity))

    @property
    def broken(self) -> bool:
        """Tell whether any error was found."""
        return any(problem.severity == "error" for problem in self.problems)


def load(file: FilePath, name: str, system: str = "metric") -> Source:
    """Read and parse ``file``, shown as ``name``. Problems are noted, never raised."""
    source = Source(name, system=system)
    content = read_bytes(file, source)
    if content is not None:
        read_content(content, source)
    return source


def read_content(content: bytes, source: Source) -> None:
    """Parse the ``content`` of a file into ``source``."""
    source.sha256 = hashlib.sha256(content).hexdigest()
    text = _decode(content, source)
    if text is not None and _bounded(text, source):
        source.data, mended, problems = syntax.parse(text, source.file)
        source.spans = scan(mended)
        source.problems += problems


def read_bytes(file: FilePath, source: Source) -> bytes | None:
    """Return the content of ``file``, or note in ``source`` why it cannot be had."""
    try:
        return read_regular(file, LARGEST, name=source.file)
    except ProblemError as error:
        source.problems += map(_of_a_document, error.problems)
        return None


def _of_a_document(problem: Problem) -> Problem:
    if problem.code != "file-too-large":
        return problem
    mend = "keep records and pictures in files of their own"
    return replace(problem, code="doc-too-large", mend=mend)


def _decode(content: bytes, source: Source) -> str | None:
    """Return the text with line feeds as line ends, or note why it is not UTF-8."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        source.problems.append(_encoding_problem(content, error.start, source.file))
        return None
    return text.replace("\r\n", "\n")


def _encoding_problem(content: bytes, at: int, file: str) -> Problem:
    line_start = content.rfind(b"\n", 0, at) + 1
    line_end = content.find(b"\n", at)
    shown = content[line_start : line_end if line_end >= 0 else None]
    where = Where(
        file=file,
        line=content.count(b"\n", 0, at) + 1,
        column=len(content[line_start:at].decode("utf-8", "replace")) + 1,
        source=shown.decode("utf-8", "replace").rstrip("\r"),
    )
    mend = "save the file as UTF-8"
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Problem("doc-encoding", "the file is saved as UTF-16, not UTF-8", where, mend)
    message = f"the byte 0x{content[at]:02X} is not UTF-8"
    if sign := _OLD_SIGNS.get(content[at]):
        mend += f'; it is "{sign}" in an older encoding, and +/- works in place of ±'
    return Problem("doc-encoding", message, where, mend)


def _bounded(text: str, source: Source) -> bool:
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            where = Where(file=source.file, line=number, column=1)
            message = f"the line is longer than {LONGEST_LINE} characters"
            mend = "break it into shorter lines"
            source.problems.append(Problem("doc-too-large", message, where, mend))
            return False
    return True
