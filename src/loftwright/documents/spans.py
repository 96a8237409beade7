"""Where each key and each value of a TOML text stands.

``tomllib`` gives data without places. This scanner walks a text and notes the place of every key,
header and value under its path; it never judges: what it does not understand it steps over, one
character at least, so it ends on any input.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field

__all__ = ["Path", "Span", "Spans", "scan"]

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)+")
_INLINE_BLANK = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_REST_OF_LINE = re.compile(r"[^\n]*")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}#\n]+")
DEEPEST = 40  # nested arrays and inline tables; below that, places are no longer noted


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of text, as offsets."""

    start: int
    end: int


@dataclass(slots=True)
class Spans:
    """The places of a text: of keys and headers (``keys``) and of values, by path.

    ``repeats`` lists keys and headers that stand a second time, with the path each.
    """

    text: str
    keys: dict[Path, Span] = field(default_factory=dict)
    values: dict[Path, Span] = field(default_factory=dict)
    repeats: list[tuple[Path, Span]] = field(default_factory=list)
    _lines: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._lines = [0] + [at + 1 for at, char in enumerate(self.text) if char == "\n"]

    def place(self, offset: int) -> tuple[int, int]:
        """Return line and column of ``offset``, both counted from 1."""
        line = bisect_right(self._lines, offset)
        return line, offset - self._lines[line - 1] + 1

    def line(self, number: int) -> str:
        """Return the text of a line, counted from 1, without its end."""
        start = self._lines[number - 1]
        return _REST_OF_LINE.match(self.text, start).group().rstrip("\r")  # type: ignore[union-attr]

    def near(self, path: Path) -> Span:
        """Return the key of ``path``, or of the nearest path above it that stands in the text."""
        while path:
            if path in self.keys:
                return self.keys[path]
            path = path[:-1]
        return Span(0, 0)


def scan(text: str) -> Spans:
    """Note the places of ``text`` (lines ended by a line feed). Never raises."""
    return _Scanner(text).run()


class _Scanner:
    """One walk over one text."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.spans = text, 0, Spans(text)
        self.table: Path = ()
        self.counts: dict[Path, int] = {}  # how many [[elements]] stand under a path so far

    def run(self) -> Spans:
        while True:
            self._skip(_BLANK)
            before = self.at
            if before >= len(self.text):
                return self.spans
            if self.text[before] == "[":
                self._header()
            else:
                self._statement(self.table, 0)
            self._skip(_REST_OF_LINE)
            self.at = max(self.at, before + 1)

    def _skip(self, pattern: re.Pattern[str]) -> None:
        if found := pattern.match(self.text, self.at):
            self.at = found.end()

    def _take(self, sign: str) -> bool:
        if self.text.startswith(sign, self.at):
            self.at += len(sign)
            return True
        return False

    def _key(self) -> tuple[list[str], Span]:
        """Read a dotted key; an empty list where none stands."""
        parts: list[str] = []
        start = end = self.at
        while True:
            self._skip(_INLINE_BLANK)
            bare = _BARE_KEY.match(self.text, self.at)
            found = bare or _STRING.match(self.text, self.at)
            if found is None:
                break
            self.at = end = found.end()
            parts.append(found.group() if bare else _unquoted(found.group()))
            self._skip(_INLINE_BLANK)
            if not self._take("."):
                break
        return parts, Span(start, end)

    def _header(self) -> None:
        start = self.at
        many = self._take("[[")
        if not many:
            self._take("[")
        parts, span = self._key()
        if not parts:
            return
        path = self._resolve(parts)
        if many:
            index = self.counts.get(path, 0)
            self.counts[path] = index + 1
            self.spans.keys.setdefault(path, Span(start, span.end))
            path = (*path, index)
        self._note(path, Span(start, min(span.end + (2 if many else 1), len(self.text))))
        self.table = path

    def _resolve(self, parts: list[str]) -> Path:
        """Return the path of a header, with the index of the last element of each list in it."""
        path: Path = ()
        for position, part in enumerate(parts):
            path = (*path, part)
            if path in self.counts and position < len(parts) - 1:
                path = (*path, self.counts[path] - 1)
        return path

    def _note(self, path: Path, span: Span) -> None:
        if path in self.spans.keys:
            self.spans.repeats.append((path, span))
        else:
            self.spans.keys[path] = span

    def _statement(self, table: Path, depth: int) -> None:
        parts, span = self._key()
        if not parts:
            return
        path = (*table, *parts)
        self._note(path, span)
        for length in range(len(table) + 1, len(path)):
            self.spans.keys.setdefault(path[:length], span)
        self._skip(_INLINE_BLANK)
        if self._take("="):
            self._skip(_INLINE_BLANK)
            self._value(path, depth)

    def _value(self, path: Path, depth: int) -> None:
        start = self.at
        if depth < DEEPEST and self._take("["):
            self._array(path, depth + 1)
        elif depth < DEEPEST and self._take("{"):
            self._inline_table(path, depth + 1)
        elif found := _STRING.match(self.text, start) or _SCALAR.match(self.text, start):
            self.at = start + len(found.group().rstrip())
        self.spans.values.setdefault(path, Span(start, self.at))

    def _array(self, path: Path, depth: int) -> None:
        index = 0
        while self.at < len(self.text):
            self._skip(_BLANK)
            if self._take("]"):
                return
            before = self.at
            self._value((*path, index), depth)
            self._skip(_BLANK)
            index += 1
            if not self._take(",") and self.at == before:
                return

    def _inline_table(self, path: Path, depth: int) -> None:
        while self.at < len(self.text):
            self._skip(_BLANK)
            if self._take("}"):
                return
            before = self.at
            self._statement(path, depth)
            self._skip(_BLANK)
            if not self._take(",") and self.at == before:
                return


def _unquoted(raw: str) -> str:
    try:
        word = tomllib.loads(f"key = {raw}")["key"]
    except tomllib.TOMLDecodeError:
        return raw
    return str(word)
