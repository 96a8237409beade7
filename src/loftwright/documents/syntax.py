"""TOML text into data, going on after a slip so that one run shows every problem.

``tomllib`` stops at the first slip. Here the line of the slip is reported and replaced by one
that parses (its value becomes ``UNREAD``, which the reader passes over), then parsing goes on.
Line numbers stay what they are.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

from loftwright.documents.spans import Path, Span, Spans, scan
from loftwright.errors import Problem, Where
from loftwright.errors.render import printable

__all__ = ["UNREAD", "parse"]

UNREAD = "\ue000"  # stands for a value, or in the name of a table, that was reported already
MOST_SLIPS = 20

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEY_LINE = re.compile(r"""(\s*)([A-Za-z0-9_.-]+|"[^"\\]*"|'[^']*')\s*=""")
_COLON_LINE = re.compile(r"(\s*)([A-Za-z0-9_-]+)\s*:")
_HEADER_LINE = re.compile(r"\s*(\[{1,2})\s*([A-Za-z0-9_.-]+)")
_VALUE = re.compile(r"=\s*")
_NUMBER_AND_UNIT = re.compile(r"[+-]?[0-9][^\"'#]*")
_WORDS = re.compile(r"[A-Za-z][^\"'#=]*")
_CURLY = re.compile(r"[\u2018-\u201e\u00ab\u00bb]")


def parse(text: str, file: str) -> tuple[dict[str, Any] | None, str, list[Problem]]:
    """Return ``(data, mended text, problems)``; data is None when nothing can be made of it."""
    problems: list[Problem] = []
    lines = text.split("\n")
    touched: set[int] = set()
    for _ in range(MOST_SLIPS):
        now = "\n".join(lines)
        try:
            return tomllib.loads(now), now, problems
        except tomllib.TOMLDecodeError as error:
            slip = _Slip(now, lines, str(error), file)
        except RecursionError:
            problems.append(_whole_file(file, "the brackets are nested too deeply"))
            return None, now, problems
        except ValueError:  # a number of more digits than Python converts
            problems.append(_whole_file(file, "a number has too many digits"))
            return None, now, problems
        if slip.number not in touched:
            problems.append(slip.problem())
        mended = slip.mended(again=slip.number in touched)
        touched.add(slip.number)
        if mended is None or '"""' in now or "'''" in now:
            return None, now, problems
        lines[slip.number - 1] = mended
    return None, "\n".join(lines), problems


def _whole_file(file: str, message: str) -> Problem:
    mend = "see the document reference for what may stand here"
    return Problem("doc-too-large", message, Where(file=file), mend)


class _Slip:
    """One place where a text stops being TOML."""

    def __init__(self, text: str, lines: list[str], message: str, file: str) -> None:
        self.file, self.text = file, text
        found = _PLACE.search(message)
        self.reason = message[: found.start()] if found else message
        if found and found.group(1):
            self.number, self.column = int(found.group(1)), int(found.group(2))
        else:
            self.number = next((n for n in range(len(lines), 0, -1) if lines[n - 1].strip()), 1)
            self.column = 1
        self.line = lines[self.number - 1]
        self.column = max(1, min(self.column, len(self.line)))

    def problem(self) -> Problem:
        """Return what is wrong in words, as exactly as the line allows."""
        if self.reason.startswith(("Cannot overwrite", "Cannot declare", "Cannot mutate")):
            return self._repeat()
        key, value, at = self._split()
        if _CURLY.search(self.line):
            column = self.line.index(_CURLY.search(self.line).group()) + 1  # type: ignore[union-attr]
            mend = 'use straight quotes: "'
            return self._say(
                "doc-syntax", "curly quotes stand where straight ones are needed", mend, column
            )
        if key and (_NUMBER_AND_UNIT.fullmatch(value) or _WORDS.fullmatch(value)):
            mend = f'write {key} = "{value}"'
            return self._say(
                "doc-unquoted", "the value needs quotes around it", mend, at, len(value)
            )
        return self._other(key, value, at)

    def _split(self) -> tuple[str, str, int]:
        """Return key, value without its comment, and the column of the value, where they show."""
        found = _KEY_LINE.match(self.line)
        if found is None:
            return "", "", self.column
        at = _VALUE.match(self.line, found.end() - 1).end()  # type: ignore[union-attr]
        value = self.line[at:]
        if value[:1] not in "\"'":
            value = value.split("#")[0]
        return found.group(2), value.rstrip(), at + 1

    def _other(self, key: str, value: str, at: int) -> Problem:
        line = self.line.strip()
        if key and not value:
            return self._say(
                "doc-syntax",
                "there is no value behind the =",
                "write a value, or take the line out",
                at,
            )
        if key and value[0] in "\"'" and value.count(value[0]) % 2:
            mend = f"end the text with {value[0]}"
            return self._say("doc-syntax", "the text has no closing quote", mend, at, len(value))
        if line.startswith("[") and "]" not in line:
            return self._say(
                "doc-syntax", "the name of the table has no closing bracket", f"write {line}]", 1
            )
        if _COLON_LINE.match(self.line) and "=" not in line:
            word, rest = (part.strip() for part in line.split(":", 1))
            return self._say(
                "doc-syntax",
                "a colon stands where = is needed",
                f"write {word} = {rest}",
                self.column,
            )
        if not key and "=" not in line:
            return self._say(
                "doc-syntax",
                "this line has no =",
                'write key = "value", or put # in front',
                self.column,
            )
        reason = printable(self.reason[:1].lower() + self.reason[1:], 120)
        return self._say(
            "doc-syntax",
            f"this is not TOML: {reason}",
            "see the example of this field",
            self.column,
        )

    def _repeat(self) -> Problem:
        spans = scan(self.text)
        for path, span in spans.repeats:
            if spans.place(span.start)[0] == self.number:
                return self._repeat_of(path, span, spans)
        message = "this stands a second time, in another form"
        return self._say("doc-duplicate", message, "keep one of the two", self.column)

    def _repeat_of(self, path: Path, span: Span, spans: Spans) -> Problem:
        first = spans.place(spans.keys[path].start)[0]
        message = f"this stands a second time; it stands on line {first} already"
        name = ".".join(str(part) for part in path)
        mend = "keep one of the two"
        if spans.text[span.start] == "[":
            mend += f"; for a second element write [[{name}]] both times"
        column = spans.place(span.start)[1]
        return self._say("doc-duplicate", message, mend, column, span.end - span.start)

    def _say(self, code: str, message: str, mend: str, column: int, width: int = 1) -> Problem:
        key, value, _ = self._split()
        where = Where(
            self.file, self.number, column, key or None, value or None, self.line, max(1, width)
        )
        return Problem(code, message, where, mend)

    def mended(self, *, again: bool) -> str | None:
        """Return a line that parses in place of this one, or None when there is no telling."""
        repeated = self.reason.startswith("Cannot")
        header = _HEADER_LINE.match(self.line)
        if header and not again:
            opening, name = header.groups()
            name = f'"{UNREAD}{self.number}"' if repeated else name.strip(".")
            return f"{opening}{name}{']' * len(opening)}"
        found = _KEY_LINE.match(self.line) or _COLON_LINE.match(self.line)
        if found and not again and not repeated:
            return f'{found.group(1)}{found.group(2)} = "{UNREAD}"'
        return "" if self.line.strip() and not header else None
