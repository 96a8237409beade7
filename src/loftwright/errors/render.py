"""Problems as text for people and as dictionaries for programs.

What came from a file is shown with every unprintable character escaped, so that no file can
drive the terminal.
"""

from __future__ import annotations

from typing import Any

from loftwright.errors.problem import Problem, Where

__all__ = ["as_dict", "as_line", "as_text", "printable"]

WIDEST = 100  # characters of a source line that are shown
LONGEST = 600  # characters of a message or a mend


def printable(text: str, longest: int = 60) -> str:
    """Return ``text`` on one line, unprintable characters escaped, cut to ``longest``."""
    shown = "".join(char if char.isprintable() else _escaped(char) for char in text[:longest])
    return shown + "…" if len(text) > longest else shown


def _escaped(char: str) -> str:
    return " " if char == "\t" else char.encode("unicode_escape", "backslashreplace").decode()


def _place(where: Where) -> str:
    parts = [where.file or "", *(str(each) for each in (where.line, where.column) if each)]
    return printable(":".join(part for part in parts if part), LONGEST)


def _subject(where: Where) -> str:
    if where.field is None:
        return ""
    value = "" if where.value is None else f" = {printable(where.value)}"
    return printable(where.field, 120) + value


def as_line(problem: Problem) -> str:
    """Return the problem on one line: place, field and value, what is wrong, how to mend it."""
    parts = [part for part in (_place(problem.where), _subject(problem.where)) if part]
    doubt = "warning: " if problem.severity == "warning" else ""
    line = f"{' '.join(parts)}{': ' if parts else ''}{doubt}{printable(problem.message, LONGEST)}."
    return f"{line} Mend: {_sentence(printable(problem.mend, LONGEST))}" if problem.mend else line


def _sentence(text: str) -> str:
    return text if text.endswith(("?", ".", "!")) else f"{text}."


def as_text(problem: Problem) -> str:
    """Return the problem on several lines, with the line of the file and a caret under it."""
    lines = [f"{problem.severity} {problem.code}: {printable(problem.message, LONGEST)}"]
    head = "  ".join(part for part in (_place(problem.where), _subject(problem.where)) if part)
    if head:
        lines.append(f"  {head}")
    lines += _excerpt(problem.where)
    if problem.mend:
        lines.append(f"  mend: {printable(problem.mend, LONGEST)}")
    return "\n".join(lines)


def _excerpt(where: Where) -> list[str]:
    if where.source is None or where.line is None or not where.source.strip():
        return []
    column = max(1, where.column or 1) - 1
    start = max(0, column - WIDEST // 2) if len(where.source) > WIDEST else 0
    before = printable(where.source[start:column], WIDEST)
    blamed = printable(where.source[column : column + where.width], WIDEST)
    after = printable(where.source[column + where.width :], max(0, WIDEST - len(before + blamed)))
    gutter = str(where.line)
    caret = " " * len(before) + "^" * max(1, len(blamed))
    return [f"  {gutter} | {before}{blamed}{after}", f"  {' ' * len(gutter)} | {caret}"]


def as_dict(problem: Problem) -> dict[str, Any]:
    """Return the problem as plain data for JSON; what is not known is None."""
    where = problem.where
    return {
        "code": problem.code,
        "severity": problem.severity,
        "message": problem.message,
        "where": {
            "file": where.file,
            "line": where.line,
            "column": where.column,
            "field": where.field,
            "value": where.value,
        },
        "mend": problem.mend,
    }
