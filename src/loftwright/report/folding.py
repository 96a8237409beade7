"""Words in a drawing, folded into lines that fit."""

from __future__ import annotations

from loftwright.report import svg

__all__ = ["folded"]


def folded(words: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Return words as lines of no more than ``width`` px at ``size`` px.

    Lines break at spaces (not at no-break spaces). A word that alone is too long is broken after a
    hyphen, and shortened where that does not help.
    """
    lines: list[str] = []
    # The width of bold type is that of its letters, a tenth more.
    room = width / 1.1 if bold else width
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and svg.text_width(longer, size) <= room:
            lines[-1] = longer
        else:
            lines += _broken(word, room, size)
    return [line for line in lines if line]


def _broken(word: str, room: float, size: float) -> list[str]:
    if svg.text_width(word, size) <= room or "-" not in word.strip("-"):
        return [svg.shortened(word, room, size)]
    head, _, tail = word.partition("-")
    return [svg.shortened(f"{head}-", room, size), *_broken(tail, room, size)]
