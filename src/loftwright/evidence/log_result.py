"""A recorded flight as it was read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem
from loftwright.evidence.log_choice import ColumnRead
from loftwright.evidence.log_layout import LogLayout

__all__ = ["FlightLog", "Mark", "States"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Mark:
    """A state of the recorder's own, from ``line`` on; ``time_s`` by the log's clock."""

    time_s: float
    line: int
    words: str


@dataclass(frozen=True, slots=True)
class States:
    """A column of states or levels: its changes, the first reading among them.

    ``lost`` counts rows whose changes were too many to keep.
    """

    name: str
    number: int  # of the column, from 1
    changes: tuple[Mark, ...]
    lost: int


@dataclass(frozen=True, slots=True)
class FlightLog:
    """A recorded flight: ``(n,)`` arrays, one element a row, in the order of the file.

    ``time_s`` (s) is the log's own clock and never falls; times of day count from the first row.
    ``pressure_pa`` (Pa, absolute), ``height_m`` (m, from wherever the recorder counts),
    ``push_m_s2`` (m/s2, specific force along the axis), ``battery_v`` (V) and ``temperature_k`` (K)
    are None where the log has no such column, and not-a-number in rows whose cell is empty.
    ``line`` numbers the rows' lines from 1. ``states`` are the columns of states, ``marks`` the
    changes of the first of them. ``columns`` and ``notes`` say what was read how, and why.
    ``flights`` counts the flights that were found in the file; of several one alone is here.
    """

    name: str
    time_s: Floats
    pressure_pa: Floats | None
    height_m: Floats | None
    push_m_s2: Floats | None
    battery_v: Floats | None
    line: NDArray[np.int32]
    marks: tuple[Mark, ...]
    columns: tuple[ColumnRead, ...]
    notes: tuple[str, ...]
    warnings: tuple[Problem, ...]
    sha256: str
    temperature_k: Floats | None = None
    states: tuple[States, ...] = ()
    flights: int = 0
    layout: LogLayout | None = None
