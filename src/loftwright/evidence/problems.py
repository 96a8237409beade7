"""What can be wrong with a recorded file: the words for each code, and how to mend it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from loftwright.errors import Problem, ProblemError, Where
from loftwright.errors.problem import Severity

__all__ = ["PROBLEMS", "Text", "place", "problem", "told"]


@dataclass(frozen=True, slots=True)
class Text:
    """What is wrong and how to mend it, as formats over the facts of the case."""

    message: str
    mend: str


PROBLEMS: dict[str, Text] = {
    "evidence-unreadable": Text(
        "the record cannot be opened: {why}",
        "give the path of a file that you may read",
    ),
    "evidence-empty": Text(
        "the file is empty",
        "record the firing again, or give the file that holds it",
    ),
    "evidence-too-long": Text(
        "the file is too long for a record of one firing ({value})",
        "cut the firing out of it, a few seconds before and after",
    ),
    "evidence-not-text": Text(
        "the file is not text: it holds {value}",
        "export the record from the recorder as text (tab, comma or semicolon between columns)",
    ),
    "evidence-encoding": Text(
        "the file announces {value} but breaks it at byte {at}",
        "save it again as UTF-8",
    ),
    "evidence-option": Text(
        "this option is not possible",
        "{allowed}",
    ),
    "evidence-no-rows": Text(
        "none of its {lines} lines begins a table of numbers",
        "give rows of numbers with tab, comma, semicolon or blanks between them, "
        "or say --delimiter and --decimal",
    ),
    "evidence-decimal-unclear": Text(
        "the comma in {value!r} may stand between columns or be a decimal comma",
        "say --decimal , or --delimiter comma",
    ),
    "evidence-not-a-number": Text(
        "this is not a number",
        "correct the cell, or put % before the line to leave it out",
    ),
    "evidence-column-count": Text(
        "this row has {value} cell(s) where the others have {expected}",
        "correct the row, or put % before it to leave it out",
    ),
    "evidence-too-short": Text(
        "{value} rows are too few to hold a firing",
        "give the whole record, with half a second before the firing and a second after it",
    ),
    "evidence-column-unclear": Text(
        "it is not clear which of the {columns} columns is the force: {why}",
        "say --column with the name or the number of the force column (1 is the first)",
    ),
    "evidence-no-column": Text(
        "there is no column {value!r}; the columns are {columns}",
        "say --column with one of these names, or a number from 1",
    ),
    "evidence-unit-missing": Text(
        "the header gives no unit for {value!r}",
        "say --unit N, lbf, kgf or g; or write it into the column's name: Force (N)",
    ),
    "evidence-unit-unknown": Text(
        "{value!r} is not a unit of force",
        "say --unit with one of {allowed}",
    ),
    "evidence-unit-mixed": Text(
        "the cells to be summed have different units: {value}",
        "say --column with the one to read, or convert them to one unit",
    ),
    "evidence-sum-wrong": Text(
        "the sum column is not the sum of the cells in {count} row(s); here they add to {expected}",
        "say --column with the column to trust",
    ),
    "evidence-rate-missing": Text(
        "neither a time column nor a sampling frequency was found",
        "say --rate in samples a second, or write it into the header: Sampling Frequency 1.5 kHz",
    ),
    "evidence-rate-unclear": Text(
        "the sampling frequency is given more than once and differently: {value}",
        "say --rate in samples a second",
    ),
    "evidence-rate-conflict": Text(
        "the time column runs at {value} Hz but the header says {expected} Hz",
        "say --rate in samples a second",
    ),
    "evidence-time-unit": Text(
        "the unit of the time column {value!r} is not given",
        "say --time-unit s, ms or us; or write it into the column's name: Time (ms)",
    ),
    "evidence-time-order": Text(
        "time does not increase: {value} after {expected}",
        "correct the row, or say --rate and --column to leave the time column aside",
    ),
    "evidence-no-firing": Text(
        "no firing was found: {why}",
        "give the record of one firing, with a quiet stretch before and after it",
    ),
    "evidence-fit-fill": Text(
        "a fill without {value} tells nothing of the nozzle's losses",
        "give water and gauge pressure of the firing in vehicle.toml, or in the record's header",
    ),
    "evidence-no-rest": Text(
        "{why}",
        "record at least {value} s of rest {side} the firing",
    ),
}


def problem(
    code: str,
    *,
    file: str,
    line: int | None = None,
    cell: int | None = None,
    field: str | None = None,
    value: object = None,
    source: str | None = None,
    facts: Mapping[str, object] | None = None,
) -> ProblemError:
    """Make the error for ``code`` at a place of ``file``; the caller raises it.

    ``cell`` counts the columns of the table from 1; ``facts`` fill the words of the message.
    """
    where = place(file, line, cell, field, value, source)
    return ProblemError([told(PROBLEMS[code], code, where, {"value": value, **(facts or {})})])


def told(
    text: Text,
    code: str,
    where: Where,
    facts: Mapping[str, object],
    severity: Severity = "error",
) -> Problem:
    """Return the problem that ``text`` tells of the case."""
    return Problem(code, text.message.format(**facts), where, text.mend.format(**facts), severity)


def place(
    file: str,
    line: int | None,
    cell: int | None,
    field: str | None,
    value: object,
    source: str | None,
) -> Where:
    """Return a place in a recorded file; ``source`` is its line, in which ``value`` stands."""
    column = source.find(str(value)) + 1 if source and cell else 0
    return Where(
        file=file,
        line=line,
        column=column or None,
        field=field or (f"column {cell}" if cell else None),
        value=str(value) if cell or field else None,
        source=source,
        width=len(str(value)) if column else 1,
    )
