"""A log looked through for its flights, with nothing else of it kept."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.files import open_regular
from loftwright.evidence.log_choice import Chosen, ColumnRead, LogOptions
from loftwright.evidence.log_columns import Sheet, choose_columns
from loftwright.evidence.log_flights import FlightFinder, FlightSpan
from loftwright.evidence.log_head import first_lines, first_sheet, first_that_decodes
from loftwright.evidence.log_problems import log_problem
from loftwright.evidence.log_rows import MOST_ROWS, RowReader
from loftwright.evidence.stream import Source, read_blocks

__all__ = ["flights_in", "height_role", "refuse_long", "scaled", "survey"]

Floats = NDArray[np.float64]
BEYOND = 1e15  # SI; no time, pressure or height is


def flights_in(path: Path, options: LogOptions) -> tuple[FlightSpan, ...]:
    """Return the flights that a log holds, whichever of them is asked for.

    Raises ``ProblemError`` where the log's columns are not settled, or it cannot be read.
    """
    with open_regular(path, name=path.name) as stream:
        source = Source(stream, path.name)
        return first_that_decodes(source, lambda encoding: _flights(source, encoding, options))


def _flights(source: Source, encoding: str, options: LogOptions) -> tuple[FlightSpan, ...]:
    sheet, _ = first_sheet(first_lines(source, encoding), options)
    finder = survey(source, encoding, sheet, choose_columns(sheet))
    return tuple(finder.flights())


def survey(
    source: Source,
    encoding: str,
    sheet: Sheet,
    chosen: Chosen,
    progress: Callable[[int], object] | None = None,
) -> FlightFinder:
    """Look for the flights of a log, and keep nothing else of it."""
    role = height_role(chosen)
    finder = FlightFinder(is_pressure=role == "pressure")
    wanted = [chosen.roles[each].number - 1 for each in ("time", role) if each in chosen.roles]
    rows, before = RowReader(sheet.layout, wanted), 0
    for block in read_blocks(source, encoding):
        rows.read(block)
        lines = rows.take_lines()
        level = scaled(chosen.roles[role], rows)
        finder.feed(_times(sheet, chosen, rows, before), level, lines)
        before = rows.rows
        if progress is not None:
            progress(source.done)
        refuse_long(source.name, rows)
    return finder


def _times(sheet: Sheet, chosen: Chosen, rows: RowReader, before: int) -> Floats:
    """Return the times of the rows of a block, s; by count where no column is time."""
    if "time" in chosen.roles:
        return scaled(chosen.roles["time"], rows)
    return np.arange(before, rows.rows, dtype=np.float64) * (sheet.step_s or 0.0)


def height_role(chosen: Chosen) -> str:
    """Return by which role the log tells height."""
    return "pressure" if "pressure" in chosen.roles else "height"


def scaled(read: ColumnRead, rows: RowReader) -> Floats:
    """Return a column in SI; not-a-number where that is beyond all numbers."""
    values = rows.take(read.number - 1)
    with np.errstate(over="ignore"):
        values *= read.factor
        values += read.offset
        values[np.abs(values) > BEYOND] = np.nan
    return values


def refuse_long(file: str, rows: RowReader) -> None:
    """Raise ``ProblemError`` where there are more rows than are read."""
    if rows.rows > MOST_ROWS:
        raise log_problem("log-too-long", file=file, why=f"more than {MOST_ROWS} rows")
