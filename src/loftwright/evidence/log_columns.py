"""Which column of a log is what, in which unit, and why; what is not settled is asked for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem
from loftwright.evidence.log_choice import Chosen, ColumnRead, LogOptions
from loftwright.evidence.log_guess import Found, pressure_units, propose, push_unit, time_units
from loftwright.evidence.log_labels import (
    OFFSETS,
    ROLES,
    UNITS,
    LogLabel,
    known_unit,
    read_log_label,
)
from loftwright.evidence.log_layout import Cell, LogLayout
from loftwright.evidence.log_problems import log_problem, log_warning

__all__ = ["Chosen", "ColumnRead", "LogOptions", "Sheet", "choose_columns"]

Floats = NDArray[np.float64]
EXAMPLES = {
    "time": "ms",
    "pressure": "hPa",
    "height": "m",
    "push": "g",
    "battery": "V",
    "temperature": "degC",
}
SPARE = {"battery", "temperature"}  # a log without them is as good
MOST_LEVELS = 12  # values that a state takes in a log's first rows


class Sheet:
    """The first rows of a log, with what its columns are called."""

    def __init__(
        self,
        file: str,
        layout: LogLayout,
        head: Floats,
        options: LogOptions,
        step_s: float | None = None,
    ) -> None:
        self.file, self.layout, self.head, self.options = file, layout, head, options
        self.step_s = step_s  # from row to row, where option or header say so
        count = layout.layout.columns
        self.names = layout.names or tuple(f"column {i}" for i in range(1, count + 1))
        plain = [LogLabel(name, "other", None) for name in self.names]
        self.labels = [read_log_label(name) for name in layout.names] or plain
        self.line = layout.names_line or layout.layout.first + 1
        self.warnings: list[Problem] = []
        self.left: dict[int, str] = {}  # why a column is not used
        ignored = {self.index(told, "--ignore") for told in options.ignored}
        self.left.update(dict.fromkeys(ignored, "it is to be ignored, as told"))
        self.ignored = frozenset(ignored)

    def numeric(self) -> list[int]:
        """Return the columns that hold numbers."""
        kinds = enumerate(self.layout.kinds)
        return [i for i, kind in kinds if kind is Cell.NUMBER and i not in self.ignored]

    def expect_numbers(self, columns: Sequence[int]) -> None:
        """Have columns that begin empty read as numbers, should some come after all."""
        kinds = list(self.layout.kinds)
        for column in columns:
            kinds[column] = Cell.NUMBER if kinds[column] is Cell.EMPTY else kinds[column]
        self.layout = replace(self.layout, kinds=tuple(kinds))

    def listed(self, columns: Sequence[int] | None = None) -> str:
        """Name some columns, or all, for a message."""
        chosen = range(len(self.names)) if columns is None else columns
        return ", ".join(f"{i + 1} ({self.names[i][:30]})" for i in list(chosen)[:20])

    def index(self, told: str, option: str) -> int:
        """Find the column that the person names or counts."""
        wanted = told.strip().lower()
        if wanted.isascii() and wanted.isdigit() and 1 <= int(wanted) <= len(self.names):
            return int(wanted) - 1
        pairs = zip(self.names, self.labels, strict=True)
        found = [i for i, (n, b) in enumerate(pairs) if wanted in {n.lower(), b.name.lower()}]
        if len(found) == 1:
            return found[0]
        raise log_problem(
            "log-no-column",
            file=self.file,
            line=self.line,
            field=option,
            value=told,
            columns=self.listed(),
        )


def choose_columns(sheet: Sheet) -> Chosen:
    """Choose the columns of a log by role; what is doubtful is among the sheet's warnings.

    Raises
    ------
    ProblemError
        Neither pressure nor height, or no time, is known; several could be; a unit is not known.
    """
    told = {role: sheet.index(name, f"--{role}") for role, name in sheet.options.columns.items()}
    states = [sheet.index(name, "--state") for name in sheet.options.states]
    _see_that_they_differ(sheet, told)
    found = {role: (column, "as told") for role, column in told.items()}
    taken = {*told.values(), *states, *sheet.ignored}
    proposals = _proposals(sheet, taken)
    for role in ROLES:
        if role in found or _is_left(sheet, role, told):
            continue
        candidates = (
            _candidates(sheet, role, taken)
            or _silent(sheet, role, taken)
            or proposals.get(role, {})
        )
        if (one := _one(sheet, role, candidates, set(found))) is not None:
            found[role] = one
    _demand(sheet, found)
    guessed = {each.column: each for each in _all_proposals(sheet)} if not _named(sheet) else {}
    chosen: dict[str, ColumnRead] = {}
    for role, (column, why) in found.items():
        read = _read(sheet, role, column, why, guessed.get(column), chosen)
        if read is not None:
            chosen[role] = read
    taken |= {read.number - 1 for read in chosen.values()}
    sheet.expect_numbers([read.number - 1 for read in chosen.values()])
    return Chosen(chosen, tuple(_states(sheet, states, taken)))


def _see_that_they_differ(sheet: Sheet, told: Mapping[str, int]) -> None:
    """Refuse one column for two roles, and times of day for anything but time."""
    taken: dict[int, str] = {}
    for role, column in told.items():
        allowed = f"give another column, that one is --{taken[column]}" if column in taken else ""
        if role != "time" and sheet.layout.kinds[column] is Cell.CLOCK:
            allowed = "give a column of numbers, times of day stand in that one"
        if allowed:
            value = sheet.options.columns[role]
            raise log_problem(
                "log-option", file=sheet.file, field=f"--{role}", value=value, allowed=allowed
            )
        taken[column] = role


def _states(sheet: Sheet, told: Sequence[int], taken: set[int]) -> Iterator[ColumnRead]:
    """Yield the columns of states: those told of, or those that are named like one and take few."""
    for column in dict.fromkeys(told):
        yield ColumnRead(column + 1, sheet.names[column], "state", None, "as told")
    if told or sheet.options.only_told:
        return
    for column, label in enumerate(sheet.labels):
        if label.kind != "state" or column in taken:
            continue
        if _levels(sheet.head[:, column]) > MOST_LEVELS:
            sheet.left[column] = "it sounds like a state, but takes too many values for one"
        elif sheet.layout.kinds[column] is not Cell.EMPTY:
            why = f"by its name {sheet.names[column]!r}"
            yield ColumnRead(column + 1, sheet.names[column], "state", None, why)


def _levels(values: Floats) -> int:
    """Return how many numbers there are; words are none."""
    return len(np.unique(values[np.isfinite(values)]))


def _is_left(sheet: Sheet, role: str, told: Mapping[str, int]) -> bool:
    """Whether a role is not looked for: its place is taken by what the person says."""
    if sheet.options.only_told:
        return True
    if role == "time":
        return sheet.options.every_s is not None
    return role == "pressure" and "height" in told


def _named(sheet: Sheet) -> bool:
    """Whether any column's name says what it is."""
    return any(label.kind != "other" for label in sheet.labels)


def _all_proposals(sheet: Sheet) -> list[Found]:
    return propose(sheet.head, sheet.numeric())


def _proposals(sheet: Sheet, taken: set[int]) -> dict[str, dict[int, str]]:
    """Columns by role as the numbers propose them; where no name says anything."""
    proposals: dict[str, dict[int, str]] = {}
    if _named(sheet):
        return proposals
    names = "names say nothing" if sheet.layout.names else "no names"
    for each in _all_proposals(sheet):
        if each.column not in taken:
            proposals.setdefault(each.role, {})[each.column] = f"{names}; {each.why}"
    for column, kind in enumerate(sheet.layout.kinds):
        if kind is Cell.CLOCK and column not in taken:
            proposals.setdefault("time", {})[column] = f"{names}; it holds times of day"
    return proposals


def _candidates(sheet: Sheet, role: str, taken: set[int]) -> dict[int, str]:
    """Columns whose names say that they hold ``role``."""
    kinds = sheet.layout.kinds
    return {
        i: f"by its name {sheet.names[i]!r}"
        for i, label in enumerate(sheet.labels)
        if label.kind == role
        and i not in taken
        and (kinds[i] is Cell.NUMBER or (role, kinds[i]) == ("time", Cell.CLOCK))
    }


def _silent(sheet: Sheet, role: str, taken: set[int]) -> dict[int, str]:
    """Columns named as what a log is read for, but without a number where the log begins.

    A sensor that is dead is evidence: its column counts, by its name alone.
    """
    if role not in {"pressure", "height"}:
        return {}
    return {
        i: f"by its name {sheet.names[i]!r}, though nothing stands in it where the log begins"
        for i, label in enumerate(sheet.labels)
        if label.kind == role and i not in taken and sheet.layout.kinds[i] is Cell.EMPTY
    }


def _one(
    sheet: Sheet, role: str, candidates: Mapping[int, str], found: set[str]
) -> tuple[int, str] | None:
    """Return the only candidate; ask where there are more and the role is needed."""
    if len(candidates) <= 1:
        return next(iter(candidates.items()), None)
    columns = sheet.listed(list(candidates))
    if role in {"time", "pressure"} or (role == "height" and "pressure" not in found):
        raise log_problem(
            "log-column-unclear",
            file=sheet.file,
            line=sheet.line,
            role=role,
            columns=columns,
            option=f"--{role}",
        )
    if role == "push":
        facts = {"why": f"{columns} could be it"}
        sheet.warnings.append(
            log_warning("log-push-unclear", file=sheet.file, line=sheet.line, facts=facts)
        )
    sheet.left.update(dict.fromkeys(candidates, f"others could be {role} as well"))
    return None


def _demand(sheet: Sheet, found: Mapping[str, tuple[int, str]]) -> None:
    """Raise a problem where pressure and height, or time, are missing."""
    if "pressure" not in found and "height" not in found:
        hint = next(
            (
                f"; column {each.column + 1} could be {each.role}: {each.why}"
                for each in _all_proposals(sheet)
                if each.role in {"pressure", "height"}
            ),
            "",
        )
        raise log_problem(
            "log-no-pressure",
            file=sheet.file,
            line=sheet.line,
            columns=sheet.listed(),
            hint=hint,
        )
    if "time" not in found and sheet.step_s is None:
        why = f"; the columns are {sheet.listed()}"
        raise log_problem("log-no-time", file=sheet.file, line=sheet.line, why=why)


# ---------------------------------------------------------------- units


def _read(
    sheet: Sheet,
    role: str,
    column: int,
    why: str,
    guess: Found | None,
    chosen: Mapping[str, ColumnRead],
) -> ColumnRead | None:
    """Settle the unit of a column; None where it is not needed and not known."""
    read = ColumnRead(column + 1, sheet.names[column], role, None, why)
    if guess is not None and why != "as told":
        read = replace(read, doubt="what it is")
    if sheet.layout.kinds[column] is Cell.CLOCK:
        return replace(read, unit="time of day")
    scale = next(
        (s for name, s in sheet.options.scales.items() if sheet.index(name, "--scale") == column),
        None,
    )
    unit, reason, sure = _unit(sheet, role, column, guess, scaled=scale is not None)
    if unit is None:
        _leave_out(sheet, role, read, chosen, reason)
        return None
    if unit not in UNITS[role]:
        raise _unknown(sheet, role, column, unit)
    factor = UNITS[role][unit]
    slope, offset = scale or (1.0, 0.0)
    if scale:
        reason += f"; counts times {slope:g} plus {offset:g}, as told"
    why = "; ".join(part for part in (why, reason) if part)
    added = offset * factor + (OFFSETS[unit] if role == "temperature" else 0.0)
    doubt = " and ".join(part for part in (read.doubt, "" if sure else "its unit") if part)
    return replace(read, unit=unit, why=why, factor=slope * factor, offset=added, doubt=doubt)


def _unit(
    sheet: Sheet, role: str, column: int, guess: Found | None, *, scaled: bool
) -> tuple[str | None, str, bool]:
    """Return a column's unit, how it is known, and whether surely; None with why it is not."""
    for name, unit in sheet.options.units.items():
        if sheet.index(name, "--unit") == column:
            return known_unit(role, unit) or unit, f"unit {unit} as told", True
    label = sheet.labels[column]
    if label.unit is not None:
        return label.unit, "", True
    if scaled:
        return None, "what the scale makes of the counts needs a unit", False
    if guess is not None and guess.role == role and guess.unit is not None:
        return guess.unit, "", False
    return (*_unit_by_numbers(role, sheet.head[:, column]), False)


def _unit_by_numbers(role: str, values: Floats) -> tuple[str | None, str]:
    if role == "pressure":
        units = pressure_units(values)
        if len(units) == 1:
            return units[0], f"only in {units[0]} its first values are air on a pad"
        return None, "its first values are air on a pad in no usual unit"
    if role == "time":
        units = time_units(values)
        if len(units) == 1:
            return units[0], f"only in {units[0]} its steps and length are those of a log"
        return None, f"it could be {' or '.join(units)}" if units else "its steps fit no usual unit"
    if role == "push" and (unit := push_unit(values)):
        return unit, f"its first values are a vehicle at rest in {unit}"
    return None, "metres and feet look alike" if role == "height" else "no unit fits"


def _leave_out(
    sheet: Sheet, role: str, read: ColumnRead, chosen: Mapping[str, ColumnRead], reason: str
) -> None:
    """Leave out a column without a unit where the log can do without it; else ask."""
    told = role in sheet.options.columns
    sheet.left[read.number - 1] = f"it could be {role}, but its unit is not known: {reason}"
    if not told and (role in SPARE or (role == "height" and "pressure" in chosen)):
        return
    if not told and role == "push":
        facts = {"why": f"{read.name!r} has no unit, and its rest tells none"}
        sheet.warnings.append(
            log_warning("log-push-unclear", file=sheet.file, line=sheet.line, facts=facts)
        )
        return
    raise log_problem(
        "log-unit-missing",
        file=sheet.file,
        line=sheet.line,
        value=read.name,
        why=reason,
        column=read.number,
        example=EXAMPLES[role],
    )


def _unknown(sheet: Sheet, role: str, column: int, unit: str) -> Exception:
    return log_problem(
        "log-unit-unknown",
        file=sheet.file,
        line=sheet.line,
        value=unit,
        role=role,
        column=column + 1,
        allowed=", ".join(UNITS[role]),
    )
