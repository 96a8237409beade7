"""A comparison in a terminal: the same sentences and rows as on its page."""

from __future__ import annotations

import sys
from textwrap import wrap
from typing import TextIO

from loftwright.report.compare import Compared
from loftwright.report.compare_words import (
    change_rows,
    compare_answer,
    compare_note,
    moved_rows,
    warned_only,
)
from loftwright.report.terminal import print_answer, print_caution, print_lines, print_table

__all__ = ["print_compared"]

HEAD = 11  # characters of a head's line, so that a table has room on 80


def print_compared(compared: Compared, stream: TextIO | None = None) -> None:
    """Print what was changed and what that does; little where nothing differs."""
    out = stream if stream is not None else sys.stdout
    heads = ["\n".join(wrap(side.label, HEAD)) for side in (compared.one, compared.other)]
    print_answer(compare_answer(compared), out)
    for side, warned in warned_only(compared):
        print_lines([f"! only {side.label}: {warned.what}"], out)
    if compared.documents:
        print_table(("what differs", *heads), change_rows(compared), out)
    rows = moved_rows(compared)
    if rows:
        paired = compared.flights is not None
        cells = [
            (_with_unit(row.words, row.unit), row.one, row.other, row.difference,
             *((row.interval,) if paired else ()))
            for row in rows
        ]  # fmt: skip
        more = ("95 %",) if paired else ()
        print_table(("figure", *heads, "change", *more), cells, out)
    print_lines(compare_note(compared), out)
    print_caution(out)


def _with_unit(words: str, unit: str) -> str:
    return f"{words}, {unit}" if unit else words
