"""Load-cell records of static firings, read as they come."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.columns import Columns, Options, read_columns
from loftwright.evidence.header import Condition, Header, Remark, read_header
from loftwright.evidence.labels import FORCE_UNITS, TIME_UNITS
from loftwright.evidence.layout import DELIMITERS, find_layout, read_table
from loftwright.evidence.problems import problem
from loftwright.evidence.regular import read_record_bytes
from loftwright.evidence.text import read_lines

__all__ = ["FiringRecord", "parse_firing_record", "read_firing_record"]

Floats = NDArray[np.float64]
LEAST_SAMPLES = 50
RATE_AGREES = 0.01  # relative; clocks of cheap recorders differ by less
GAP = 5.0  # steps; a longer one is a hole in the record


@dataclass(frozen=True, slots=True)
class FiringRecord:
    """A load-cell record: (n,) time in s and force in N, as recorded (no tare removed).

    ``conditions`` maps "water" (kg), "pressure" (Pa gauge), "absolute pressure" (Pa) and
    "temperature" (K) to what the header says. ``remarks`` are the header's lines as found.
    ``notes`` say how each thing was read and why.
    """

    name: str
    time: Floats
    force: Floats
    rate: float  # Hz
    conditions: Mapping[str, Condition]
    remarks: tuple[Remark, ...]
    sha256: str
    notes: tuple[str, ...]


def _check_choice(name: str, file: str, value: object, allowed: Mapping[str, object]) -> None:
    if value is not None and value not in allowed:
        facts = {"allowed": "use one of " + ", ".join(map(repr, allowed))}
        raise problem("evidence-option", file=file, field=name, value=value, facts=facts)


def _check_options(
    file: str, options: Options, rate: float | None, delimiter: str | None, decimal: str | None
) -> None:
    _check_choice("unit", file, options.unit, FORCE_UNITS)
    _check_choice("time_unit", file, options.time_unit, TIME_UNITS)
    _check_choice("delimiter", file, delimiter, DELIMITERS)
    _check_choice("decimal", file, decimal, {".": 0, ",": 0})
    if rate is not None and not 1.0 <= rate <= 1e7:
        facts = {"allowed": "give samples a second, 1 to 10 million"}
        raise problem("evidence-option", file=file, field="rate", value=rate, facts=facts)


def _clock(
    file: str, columns: Columns, header: Header, rate: float | None, first_line: int
) -> tuple[Floats, float, list[str]]:
    """Time of each sample in s, the sampling rate in Hz, and how both were found."""
    if columns.time is None:
        hertz = rate or header.rate
        if hertz is None:
            raise problem("evidence-rate-missing", file=file, line=first_line)
        note = [f"sampling rate {rate:g} Hz, as told"] if rate else []
        return np.arange(len(columns.force)) / hertz, hertz, note
    steps = np.diff(columns.time)
    step = float(np.median(steps))
    if header.rate and abs(header.rate * step - 1.0) > RATE_AGREES:
        raise problem(
            "evidence-rate-conflict",
            file=file,
            line=first_line,
            value=f"{1.0 / step:.6g}",
            facts={"expected": f"{header.rate:.6g}"},
        )
    notes = [f"sampling rate {1.0 / step:.6g} Hz from the time column"]
    holes = np.nonzero(steps > GAP * step)[0]
    if holes.size:
        notes.append(
            f"{holes.size} hole(s) in the time column, the first at {columns.time[holes[0]]:.4g} s"
        )
    return columns.time - columns.time[0], 1.0 / step, notes


def parse_firing_record(
    raw: bytes,
    name: str,
    *,
    rate: float | None = None,
    unit: str | None = None,
    column: str | int | None = None,
    time_unit: str | None = None,
    delimiter: str | None = None,
    decimal: str | None = None,
) -> FiringRecord:
    """Read a load-cell record from its bytes; see ``read_firing_record``."""
    options = Options(column, unit, time_unit)
    _check_options(name, options, rate, delimiter, decimal)
    lines = read_lines(raw, name)
    between = None if delimiter is None else DELIMITERS[delimiter]
    layout = find_layout(lines, delimiter=between, decimal=decimal)
    header = read_header(lines, layout)
    table = read_table(lines, layout)
    if len(table.values) < LEAST_SAMPLES:
        raise problem(
            "evidence-too-short", file=name, line=layout.first + 1, value=len(table.values)
        )
    columns = read_columns(name, table, header, options, with_time=rate is None)
    time, hertz, clock = _clock(name, columns, header, rate, layout.first + 1)
    notes = (*lines.notes, layout.describe(), *header.notes, *table.notes, *columns.notes, *clock)
    digest = hashlib.sha256(raw).hexdigest()
    return FiringRecord(
        name, time, columns.force, hertz, header.conditions, header.remarks, digest, notes
    )


def read_firing_record(
    path: Path | str,
    *,
    rate: float | None = None,
    unit: str | None = None,
    column: str | int | None = None,
    time_unit: str | None = None,
    delimiter: str | None = None,
    decimal: str | None = None,
) -> FiringRecord:
    """Read a load-cell record as the recorder left it. The file itself is never changed.

    The delimiter (tab, comma, semicolon, blanks), the decimal mark, the encoding, the header's
    length, the unit of force and the sampling frequency are found from the file. What the file does
    not settle is an error that names the option to settle it; nothing is guessed silently.

    Parameters
    ----------
    path : the record
    rate : samples a second [Hz]; a time column is then left aside
    unit : unit of force: N, lbf, kgf, g, ...
    column : name or number (1 is the first) of the force column
    time_unit : unit of the time column: s, ms, us
    delimiter, decimal : what stands between columns (the character, or tab, comma, semicolon,
        blanks), and the decimal mark

    Raises
    ------
    ProblemError
        With the file, the line and how to mend it.
    """
    path = Path(path)
    return parse_firing_record(
        read_record_bytes(path),
        path.name,
        rate=rate,
        unit=unit,
        column=column,
        time_unit=time_unit,
        delimiter=delimiter,
        decimal=decimal,
    )
