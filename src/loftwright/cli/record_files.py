"""What ``loftwright record`` makes of a file before it is taken in: its kind and its reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from loftwright.documents.edit import Value
    from loftwright.documents.readings import Reading
    from loftwright.errors import Problem
    from loftwright.evidence.flight_log import FlightLog, LogOptions

__all__ = ["Asked", "Prepared", "prepare"]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line says of all its files."""

    kind: str | None
    options: LogOptions
    tells_layout: bool
    force: str | None
    reading: str | None
    source: str | None
    accepts: bool  # the proposals, unasked


@dataclass(slots=True)
class Prepared:
    """A file that may be taken in: its kind, and how it was read.

    ``reading`` is the name of a kept reading, or None; ``fields`` are those of a new one.
    """

    original: Path
    kind: str
    why: str
    reading: str | None = None
    fields: dict[str, Value] | None = None
    said: list[str] = field(default_factory=list)
    flight_number: int | None = None
    flights: int | None = None
    warnings: tuple[Problem, ...] = ()


def prepare(original: Path, asked: Asked, readings: Sequence[Reading]) -> Prepared:
    """Propose a kind and a reading of a file; ask where a terminal is there.

    Raises ``ProblemError`` where the file cannot be read as what it is, where something is in doubt
    and nobody can be asked, and where the proposal was refused.
    """
    from loftwright.errors import ProblemError
    from loftwright.evidence.kinds import ProposedKind, propose_kind

    proposed = propose_kind(original)
    if (told := _told_kind(asked)) is not None:
        proposed = ProposedKind(told, "as told", sure=True)
    prepared = Prepared(original, proposed.kind, proposed.why)
    doubts = [] if proposed.sure else [f"what it is, {proposed.kind} as it seems: {proposed.why}"]
    try:
        if proposed.kind == "log":
            doubts += _read_log(prepared, asked, readings)
        elif proposed.kind == "firing":
            _read_firing(prepared, asked, readings)
    except ProblemError as error:
        raise ProblemError([_or_unread(each) for each in error.problems]) from error
    if proposed.kind == "other" and asked.kind is None:
        prepared.said = [f"not read: {proposed.why}; if it is a log or a firing, say so with --as"]
    _settle(prepared, asked, doubts)
    return prepared


def _told_kind(asked: Asked) -> str | None:
    """Return the kind that a file is said to be, by name or by what its columns are."""
    if asked.kind is not None:
        return asked.kind
    if asked.force is not None:
        return "firing"
    return "log" if {"pressure", "height"} & set(asked.options.columns) else None


def _or_unread(problem: Problem) -> Problem:
    """Say with a problem that the file can be kept without being read."""
    from dataclasses import replace

    return replace(problem, mend=f"{problem.mend}; or keep it unread: --as other")


def _kept(original: Path, asked: Asked, readings: Sequence[Reading], kind: str) -> Reading | None:
    """Return the reading to take: the one that is named, or one of a file of this shape."""
    from loftwright.evidence.shapes import known_reading

    if asked.tells_layout or asked.force is not None:
        return None
    if asked.reading is not None:  # one that is kept, or the name for a new one
        return next((each for each in readings if each.name == asked.reading), None)
    return known_reading(original, readings, kind)


def _read_log(prepared: Prepared, asked: Asked, readings: Sequence[Reading]) -> list[str]:
    """Read a log; return what of its columns is concluded from the numbers alone."""
    from dataclasses import replace

    from loftwright.cli.progress import Progress
    from loftwright.evidence.flight_log import read_flight_log
    from loftwright.evidence.kept_reading import log_options
    from loftwright.evidence.shapes import reading_of_log

    kept = _kept(prepared.original, asked, readings, "log")
    number = asked.options.flight_number
    options = asked.options if kept is None else replace(log_options(kept), flight_number=number)
    progress = Progress("bytes")
    try:
        log = read_flight_log(prepared.original, options, progress=progress)
    finally:
        progress.finish()
    prepared.warnings, prepared.flights = log.warnings, log.flights
    prepared.flight_number = options.flight_number
    prepared.said = list(_log_words(log, kept))
    if kept is not None:
        prepared.reading = kept.name
        return []
    prepared.fields = reading_of_log(log, options)
    return [
        f"{each.doubt} of column {each.number} ({each.name}): {each.why}"
        for each in log.columns
        if each.doubt
    ]


def _log_words(log: FlightLog, kept: Reading | None) -> Iterator[str]:
    for each in log.columns:
        if kept is None or each.role == "not used":
            yield each.describe()
        else:
            yield each.describe(f"by the reading {kept.name!r}")
    yield from log.notes
    rows = f"{len(log.time_s):,} rows, {log.time_s[-1] - log.time_s[0]:.6g} s"
    yield f"{rows}; {log.flights or 'no'} flight{'' if log.flights == 1 else 's'} found"


def _read_firing(prepared: Prepared, asked: Asked, readings: Sequence[Reading]) -> None:
    """Read the record of a firing, which refuses what it does not tell itself."""
    from loftwright.evidence.kept_reading import firing_options
    from loftwright.evidence.record import read_firing_record
    from loftwright.evidence.shapes import reading_of_firing

    kept = _kept(prepared.original, asked, readings, "firing")
    options: dict[str, Any] = firing_options(kept)
    if kept is None and (asked.tells_layout or asked.force is not None):
        prepared.fields = reading_of_firing(prepared.original, asked.options, asked.force)
        options = firing_options(_as_reading(prepared.fields))
    record = read_firing_record(prepared.original, **options)
    prepared.reading = None if kept is None else kept.name
    prepared.said = list(record.notes)


def _as_reading(fields: dict[str, Value]) -> Reading:
    """Return fields as the reading that they would be in ``readings.toml``."""
    from loftwright.documents.edit import with_values
    from loftwright.documents.reading import read_text
    from loftwright.documents.readings import READINGS_FILE, Readings

    values = {f"reading.0.{word}": value for word, value in fields.items()}
    text = with_values("", {"reading.0.name": "as told", **values}, READINGS_FILE)
    return read_text(text, READINGS_FILE, Readings).reading[0]


# ---------------------------------------------------------------- asking


def _settle(prepared: Prepared, asked: Asked, doubts: list[str]) -> None:
    """Have what is proposed accepted: by a person, by --yes, or by there being no doubt."""
    import sys

    from loftwright.errors import Problem, ProblemError, Where

    answers = sys.stdin is not None and sys.stdin.isatty() and sys.stderr.isatty()
    if asked.accepts or (not doubts and (not answers or prepared.reading is not None)):
        return
    if answers:
        click.echo("\n".join(_shown(prepared, doubts)), err=True)
        if click.confirm("Is this right?", default=not doubts, err=True):
            return
        message, code = "you did not accept what was proposed; nothing was kept", "record-doubt"
    else:
        message, code = f"in doubt is {'; '.join(doubts)}", "record-doubt"
    where = Where(file=str(prepared.original))
    raise ProblemError([Problem(code, message, where, _MEND)])


_MEND = (
    "say what it is: --as, and --time, --pressure, --height, --push with a column's name or "
    "number, --unit COLUMN=UNIT; or accept what is proposed with --yes"
)


def _shown(prepared: Prepared, doubts: list[str]) -> Iterator[str]:
    from loftwright.errors.render import printable

    yield f"{prepared.original.name}: {prepared.kind}; {printable(prepared.why, 200)}"
    yield from (f"  {printable(line, 300)}" for line in prepared.said)
    for doubt in doubts:
        yield f"  In doubt: {printable(doubt, 300)}"
