"""The tables of a document as blocks of lines, and cutting lines out without touching others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from loftwright.documents.spans import Path, Spans

__all__ = ["Block", "blocks", "line_end", "line_start", "newline_of", "with_lines", "without_lines"]


@dataclass(frozen=True, slots=True)
class Block:
    """A header with what stands below it, as whole lines: ``text[start:end]``."""

    path: Path
    start: int
    end: int


def blocks(spans: Spans) -> list[Block]:
    """Return the blocks of a text in their order; what stands above every header is in none.

    A block ends with its last field. Comments on the lines right after that are its own as well,
    unless they lead straight into the next header, which they may be about.
    """
    text = spans.text
    paths: dict[int, Path] = {}
    for path, span in spans.keys.items():
        if text[span.start : span.start + 1] == "[":
            paths[span.start] = max(paths.get(span.start, ()), path, key=len)
    starts = sorted(paths)
    ends = sorted(
        [span.end for span in spans.values.values()] + [spans.keys[paths[at]].end for at in starts]
    )
    found = []
    for start, following in zip(starts, [*starts, len(text) + 1][1:], strict=True):
        last = max(end for end in ends if start < end <= following)
        end = _with_comments(text, line_end(text, last))
        found.append(Block(paths[start], line_start(text, start), end))
    return found


def line_start(text: str, at: int) -> int:
    """Return where the line of offset ``at`` begins."""
    return text.rfind("\n", 0, at) + 1


def line_end(text: str, at: int) -> int:
    """Return the offset behind the line of offset ``at`` and its end."""
    return text.find("\n", at) + 1 or len(text)


def newline_of(text: str) -> str:
    """Return the line end that a text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def _with_comments(text: str, at: int) -> int:
    """Return the offset behind the comments at ``at``, if they are followed by a gap or nothing."""
    end = at
    while text[end : line_end(text, end)].lstrip(" \t").startswith("#"):
        end = line_end(text, end)
    is_gap = not text[end : line_end(text, end)].strip()
    return end if is_gap else at


def with_lines(text: str, at: int, lines: Iterable[str]) -> str:
    """Return ``text`` with ``lines``, without line ends, put in at ``at``, where a line begins.

    A text whose last line is not ended keeps it so.
    """
    newline = newline_of(text)
    if text and at == len(text) and not text.endswith("\n"):
        return text + "".join(newline + line for line in lines)
    return text[:at] + "".join(line + newline for line in lines) + text[at:]


def without_lines(text: str, ranges: Iterable[tuple[int, int]], *, gaps: bool = False) -> str:
    """Return ``text`` without ranges of whole lines, with ``gaps`` without a blank line above each.

    What `with_lines` put in is taken out to the byte.
    """
    for start, end in sorted(ranges, reverse=True):
        first = start
        above = line_start(text, start - 1) if start else 0
        if gaps and start and not text[above:start].strip():
            first = above
        if end == len(text) and first and not text.endswith("\n"):
            first -= 2 if text[first - 2 : first] == "\r\n" else 1
        text = text[:first] + text[end:]
    return text
