"""The head of a log: its layout, its names and its first rows; and reading it as it is encoded."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from loftwright.evidence.header import header_remarks, rates_agree, stated_rates
from loftwright.evidence.layout import DELIMITERS
from loftwright.evidence.log_choice import LogOptions
from loftwright.evidence.log_columns import Sheet
from loftwright.evidence.log_layout import LogLayout, find_log_layout
from loftwright.evidence.log_problems import log_problem
from loftwright.evidence.log_rows import head_table
from loftwright.evidence.stream import Source, encodings, read_blocks
from loftwright.evidence.text import Lines

__all__ = ["first_lines", "first_sheet", "first_that_decodes"]

HEAD_LINES = 4000  # lines that layout and units are read from
T = TypeVar("T")


def first_that_decodes(source: Source, read: Callable[[str], T]) -> T:
    """Return what ``read`` makes of the file in the first encoding that fits it.

    Raises ``ProblemError`` where none does, and what ``read`` raises.
    """
    tried = encodings(source)
    for encoding in tried:
        try:
            return read(encoding)
        except UnicodeDecodeError as error:
            if encoding == tried[-1]:
                raise log_problem("log-encoding", file=source.name, value=encoding) from error
    raise AssertionError("there is always an encoding to try")


def first_lines(source: Source, encoding: str) -> Lines:
    """Return the lines that a file begins with. Raises ``ProblemError`` where there are none."""
    block = next(read_blocks(source, encoding), None)
    if block is None:
        raise log_problem("log-empty", file=source.name)
    return Lines(source.name, tuple(block.texts[:HEAD_LINES]), cut=False, notes=())


def first_sheet(lines: Lines, options: LogOptions) -> tuple[Sheet, list[str]]:
    """Find layout and names, and read the first rows."""
    between = None if options.delimiter is None else DELIMITERS[options.delimiter]
    alone = options.every_s is not None
    layout = find_log_layout(lines, delimiter=between, decimal=options.decimal, alone=alone)
    notes = []
    if layout.names_line is not None:
        notes.append(f"columns named in line {layout.names_line}")
    step, how = options.every_s, "as told"
    if step is None:
        step, how = _stated_step(lines, layout)
    sheet = Sheet(lines.name, layout, head_table(layout, lines.texts), options, step)
    if step is not None:
        notes.append(f"rows are {step * 1e3:g} ms apart where no column is time, {how}")
    return sheet, notes


def _stated_step(lines: Lines, layout: LogLayout) -> tuple[float | None, str]:
    """Return the time between rows [s] that the header states, where it states one alone."""
    found = stated_rates(header_remarks(lines, layout.layout))
    rates = [rate for rate, _ in found]
    if not rates or not rates_agree(rates):
        return None, ""
    return 1.0 / rates[0], f"by the header's line {found[0][1].line}"
