"""By what a file's layout is known again, and the reading that is kept of such files."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from loftwright.documents.alone import writing_alone
from loftwright.documents.edit import Value, with_values
from loftwright.documents.files import write_atomically
from loftwright.documents.reading import read_text
from loftwright.documents.readings import READINGS_FILE, Reading, Readings
from loftwright.evidence.kept_reading import MARKS, readings_of
from loftwright.evidence.kinds import look_at
from loftwright.evidence.log_choice import ColumnRead, LogOptions
from loftwright.evidence.log_labels import read_log_label
from loftwright.evidence.log_layout import LogLayout
from loftwright.evidence.log_result import FlightLog

__all__ = ["add_reading", "known_reading", "reading_of_firing", "reading_of_log", "shape_of"]

DIGITS = 12
_HEAD = (
    "# How the columns of recorded files are read. loftwright record adds a reading here when it\n"
    "# meets a file of another shape; correct one here, and every file that names it is read so.\n"
)


def shape_of(layout: LogLayout) -> str:
    """Return what files of this layout have in common: how many columns, and their names.

    Where no line names the columns, what they hold counts: numbers, times of day, words.
    """
    words = [name.strip().casefold() for name in layout.names]
    words = words or [kind.value for kind in layout.kinds]
    digest = hashlib.sha256("\n".join(words).encode("utf-8", "surrogatepass")).hexdigest()
    return f"{len(layout.kinds)} columns, {digest[:DIGITS]}"


def known_reading(path: Path, readings: Sequence[Reading], kind: str) -> Reading | None:
    """Return the latest reading that is kept of files of the same shape, None where there is none.

    Raises ``ProblemError`` where the file cannot be read at all.
    """
    for reading in reversed(readings):
        if reading.kind != kind or reading.shape is None:
            continue
        head = look_at(
            path,
            delimiter=MARKS.get(reading.delimiter or ""),
            decimal=reading.decimal,
            alone=reading.every is not None or kind == "firing",
        )
        if head is not None and shape_of(head.layout) == reading.shape:
            return reading
    return None


def reading_of_log(log: FlightLog, options: LogOptions) -> dict[str, Value]:
    """Return how ``log`` was read as fields of a reading, but for its name."""
    found: dict[str, Value] = {"kind": "log"}
    if log.layout is not None:
        found["shape"] = shape_of(log.layout)
    found |= _layout_told(options.delimiter, options.decimal, options.every_s)
    names = [each.name for each in log.columns]
    for number, read in enumerate(each for each in log.columns if each.role != "not used"):
        column = f"column.{number}"
        named = log.layout is None or log.layout.names
        found[f"{column}.column"] = _word(names, read) if named else str(read.number)
        found[f"{column}.is"] = read.role
        if read.unit is not None and read.unit != "time of day":
            found[f"{column}.unit"] = read.unit
        if (scale := _scale(read, options)) is not None:
            found[f"{column}.factor"], found[f"{column}.offset"] = scale
    return found


def reading_of_firing(path: Path, options: LogOptions, force: str | None) -> dict[str, Value]:
    """Return what was told of a firing's record as fields of a reading, but for its name."""
    found: dict[str, Value] = {"kind": "firing"}
    head = look_at(path, delimiter=MARKS.get(options.delimiter or ""), decimal=options.decimal)
    if head is not None:
        found["shape"] = shape_of(head.layout)
    found |= _layout_told(options.delimiter, options.decimal, options.every_s)
    told = {"force": force, "time": options.columns.get("time")}
    columns = [(role, column) for role, column in told.items() if column is not None]
    for number, (role, column) in enumerate(columns):
        found[f"column.{number}.column"] = column
        found[f"column.{number}.is"] = role
        if column in options.units:
            found[f"column.{number}.unit"] = options.units[column]
    return found


def _layout_told(
    delimiter: str | None, decimal: str | None, every_s: float | None
) -> dict[str, Value]:
    told = {
        "delimiter": delimiter,
        "decimal": decimal,
        "every": None if every_s is None else f"{every_s * 1e3!r} ms",
    }
    return {word: value for word, value in told.items() if value is not None}


def _word(names: Sequence[str], read: ColumnRead) -> str:
    """Return a column's name where it tells the column from all others, else its number."""
    wanted = read.name.strip().lower()
    alike = [name for name in names if wanted in {name.lower(), read_log_label(name).name.lower()}]
    plain = len(alike) == 1 and read.name.isprintable() and not wanted.isdigit()
    return read.name if plain and wanted and len(read.name) <= 200 else str(read.number)


def _scale(read: ColumnRead, options: LogOptions) -> tuple[float, float] | None:
    for told, scale in options.scales.items():
        wanted = told.strip().lower()
        spelt = {read.name.lower(), read_log_label(read.name).name.lower(), str(read.number)}
        if wanted in spelt:
            return scale
    return None


def add_reading(campaign_folder: Path, fields: dict[str, Value], wanted: str) -> str:
    """Keep a reading in ``readings.toml``, and return the name that it has there.

    One that says the same is not kept twice; where another has the ``wanted`` name, this one gets
    a number. Comments and everything else in the file stay. Raises ``ProblemError`` where the file
    has errors or cannot be written; it is left as it was then.
    """
    path = campaign_folder / READINGS_FILE
    with writing_alone(path):
        return _added(path, fields, wanted)


def _added(path: Path, fields: dict[str, Value], wanted: str) -> str:
    readings = readings_of(path.parent)
    text = path.read_bytes().decode("utf-8-sig") if path.exists() else _HEAD
    place = len(readings)
    values = {f"reading.{place}.{word}": value for word, value in fields.items()}
    names = {each.name for each in readings}
    name, number = wanted, 2
    while name in names:
        name, number = f"{wanted}-{number}", number + 1
    changed = with_values(text, {f"reading.{place}.name": name, **values}, READINGS_FILE)
    added = read_text(changed, READINGS_FILE, Readings).reading[place]
    for each in readings:
        if _without_name(each) == _without_name(added):
            return each.name
    write_atomically(path, changed)
    return name


def _without_name(reading: Reading) -> tuple[object, ...]:
    fields = (field for field in Reading.__dataclass_fields__ if field != "name")
    return tuple(getattr(reading, field) for field in fields)
