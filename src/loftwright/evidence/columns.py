"""Which column is time, which is force; several cells summed, a given sum verified."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import ProblemError
from loftwright.evidence.header import Header
from loftwright.evidence.labels import FORCE_UNITS, TIME_UNITS, Label, read_label
from loftwright.evidence.layout import Table
from loftwright.evidence.problems import problem

__all__ = ["Columns", "Options", "read_columns"]

Floats = NDArray[np.float64]
EVEN_STEPS = 0.5  # largest departure of a step from the median for an unnamed column to be time


@dataclass(frozen=True, slots=True)
class Options:
    """What a person says where the record does not: see ``read_firing_record``."""

    column: str | int | None = None
    unit: str | None = None
    time_unit: str | None = None


@dataclass(frozen=True, slots=True)
class Columns:
    """Force in N and, if the record has one, time in s."""

    force: Floats
    time: Floats | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The table with its labels, and the file's name for messages."""

    file: str
    table: Table
    labels: tuple[Label, ...]
    named: bool
    line: int  # where the names stand, else the first row

    def of_kind(self, kind: str) -> list[int]:
        return [index for index, label in enumerate(self.labels) if label.kind == kind]

    def column(self, index: int) -> Floats:
        return np.ascontiguousarray(self.table.values[:, index])

    def unclear(self, why: str) -> ProblemError:
        facts = {"columns": len(self.labels), "why": why}
        return problem("evidence-column-unclear", file=self.file, line=self.line, facts=facts)


def _looks_like_time(values: Floats) -> bool:
    steps = np.diff(values)
    middle = float(np.median(steps)) if len(steps) else 0.0
    return middle > 0 and bool(np.all(np.abs(steps - middle) <= EVEN_STEPS * middle))


def _unnamed_kinds(table: Table) -> tuple[list[str], list[str]]:
    """Kinds of columns without names, as far as the numbers themselves prove them."""
    count = table.values.shape[1]
    kinds = ["force"] * count
    notes = []
    if count > 1 and _looks_like_time(table.values[:, 0]):
        kinds[0] = "time"
        notes.append("column 1 rises in even steps and is taken as time")
    cells = [index for index in range(count - 1) if kinds[index] == "force"]
    if len(cells) > 1:
        gap = np.abs(table.values[:, cells].sum(axis=1) - table.values[:, -1])
        if bool(np.all(gap <= _rounding(table, len(cells)))):
            kinds[-1] = "sum"
            notes.append(f"column {count} is the sum of the other {len(cells)} in every row")
    return kinds, notes


def _sheet(file: str, table: Table, header: Header) -> tuple[_Sheet, list[str]]:
    if header.names:
        labels = tuple(read_label(name) for name in header.names)
        return _Sheet(file, table, labels, True, header.names_line or 1), []
    kinds, notes = _unnamed_kinds(table)
    labels = tuple(Label(f"column {i}", kind, None) for i, kind in enumerate(kinds, start=1))
    return _Sheet(file, table, labels, False, int(table.numbers[0])), notes


def _rounding(table: Table, cells: int) -> float:
    """Return the most that a printed sum may differ from its printed cells, half a digit each."""
    return (cells + 1.01) * 0.5 * 10.0**-table.decimals + 1e-9 * float(np.abs(table.values).max())


def _stem(label: Label) -> str:
    """Return a cell's name without what tells it from others: ``Load Cell 2`` -> ``load cell``."""
    return re.sub(r"[\s_]*(\d+|\b[a-d])$", "", label.name.lower()).strip()


def _check_sum(sheet: _Sheet, total: int, cells: Sequence[int]) -> str:
    """Verify that the sum column is the sum of the cells."""
    added = sheet.table.values[:, cells].sum(axis=1)
    given = sheet.table.values[:, total]
    wrong = np.nonzero(np.abs(added - given) > _rounding(sheet.table, len(cells)))[0]
    if wrong.size:
        row = int(wrong[0])
        raise problem(
            "evidence-sum-wrong",
            file=sheet.file,
            line=int(sheet.table.numbers[row]),
            cell=total + 1,
            value=f"{given[row]:g}",
            facts={"count": int(wrong.size), "expected": f"{added[row]:g}"},
        )
    return f"the sum column is the sum of the {len(cells)} cells in every row, to its last digit"


def _chosen(sheet: _Sheet, column: str | int) -> list[int]:
    """Find the column that the person names."""
    names = [label.name for label in sheet.labels]
    if isinstance(column, int) or (column.isascii() and column.isdigit()):
        if 1 <= int(column) <= len(names):
            return [int(column) - 1]
    else:
        wanted = read_label(column).name.lower()
        found = [index for index, name in enumerate(names) if name.lower() == wanted]
        if len(found) == 1:
            return found
    raise problem(
        "evidence-no-column",
        file=sheet.file,
        line=sheet.line,
        value=column,
        facts={"columns": ", ".join(names)},
    )


def _force_columns(sheet: _Sheet, column: str | int | None) -> tuple[list[int], str]:
    """Choose the columns whose sum is the force, and say why."""
    if column is not None:
        chosen = _chosen(sheet, column)
        return (
            chosen,
            f"force from column {chosen[0] + 1} ({sheet.labels[chosen[0]].name}), as told",
        )
    sums, cells = sheet.of_kind("sum"), sheet.of_kind("force")
    if len(sums) > 1:
        raise sheet.unclear("more than one is called a sum")
    if sums and len(cells) > 1:
        note = _check_sum(sheet, sums[0], cells)
        return sums, f"force from column {sums[0] + 1} ({sheet.labels[sums[0]].name}); {note}"
    if sums or len(cells) == 1:
        only = (sums or cells)[0]
        return [only], f"force from column {only + 1} ({sheet.labels[only].name})"
    if not cells:
        raise sheet.unclear("none is called force, thrust or load")
    if not sheet.named or len({_stem(sheet.labels[cell]) for cell in cells}) > 1:
        raise sheet.unclear("several could be, and they are not numbered cells of one stand")
    return cells, "force is the sum of columns " + ", ".join(str(cell + 1) for cell in cells)


def _force_unit(sheet: _Sheet, used: Sequence[int], unit: str | None) -> str:
    """Return the unit of the force columns: as told, else as their names say."""
    if unit is not None:
        return unit
    units = {sheet.labels[index].unit for index in used}
    if len(units) > 1:
        raise problem(
            "evidence-unit-mixed",
            file=sheet.file,
            line=sheet.line,
            value=", ".join(sorted(map(str, units))),
        )
    found = units.pop()
    name = sheet.labels[used[0]].name
    if found is None:
        raise problem("evidence-unit-missing", file=sheet.file, line=sheet.line, value=name)
    return found


def _newtons(sheet: _Sheet, used: Sequence[int], unit: str | None) -> tuple[Floats, str]:
    name = _force_unit(sheet, used, unit)
    if name not in FORCE_UNITS:
        raise problem(
            "evidence-unit-unknown",
            file=sheet.file,
            line=sheet.line,
            value=name,
            facts={"allowed": ", ".join(FORCE_UNITS)},
        )
    factor = FORCE_UNITS[name]
    note = f"unit {name}: 1 {name} = {factor:.10g} N"
    if name in {"kg", "g", "lb", "lbs", "oz", "grams", "pounds"}:
        note += " (a weight, at standard gravity)"
    with np.errstate(over="ignore", invalid="ignore"):
        values: Floats = sheet.table.values[:, list(used)].sum(axis=1) * factor
    if not np.isfinite(values).all():
        cell, value = used[0] + 1, "a force beyond all numbers"
        raise problem(
            "evidence-not-a-number", file=sheet.file, line=sheet.line, cell=cell, value=value
        )
    return values, note


def _check_order(sheet: _Sheet, time: Floats) -> None:
    wrong = np.nonzero(np.diff(time) <= 0)[0]
    if wrong.size:
        row = int(wrong[0]) + 1
        raise problem(
            "evidence-time-order",
            file=sheet.file,
            line=int(sheet.table.numbers[row]),
            value=f"{time[row]:g} s",
            facts={"expected": f"{time[row - 1]:g} s"},
        )


def _time(
    sheet: _Sheet, used: Sequence[int], time_unit: str | None
) -> tuple[Floats | None, list[str]]:
    """Time in s, if there is a column of it."""
    found = [index for index in sheet.of_kind("time") if index not in used]
    if not found:
        return None, []
    label = sheet.labels[found[0]]
    unit = time_unit or label.unit
    if unit not in TIME_UNITS:
        raise problem("evidence-time-unit", file=sheet.file, line=sheet.line, value=label.name)
    time = sheet.column(found[0]) * TIME_UNITS[unit]
    _check_order(sheet, time)
    return time, [f"time from column {found[0] + 1} ({label.name}) in {unit}"]


def _unused(sheet: _Sheet, used: Sequence[int]) -> list[str]:
    left = [
        label.name
        for index, label in enumerate(sheet.labels)
        if index not in used and label.kind in {"other", "index"}
    ]
    return [f"not used: {', '.join(left)}"] if left else []


def read_columns(
    file: str, table: Table, header: Header, options: Options, *, with_time: bool
) -> Columns:
    """Take force (N) and time (s) out of the table.

    ``with_time`` is False when the person gave the sampling rate: a time column is then left aside.

    Raises
    ------
    ProblemError
        The force column, its unit or the unit of time cannot be decided; a sum column that is not
        the sum; time that does not increase.
    """
    sheet, notes = _sheet(file, table, header)
    used, why = _force_columns(sheet, options.column)
    force, unit_note = _newtons(sheet, used, options.unit)
    time, time_notes = _time(sheet, used, options.time_unit) if with_time else (None, [])
    return Columns(force, time, (*notes, why, unit_note, *time_notes, *_unused(sheet, used)))
