"""What can be wrong with a recorded flight: the words for each code, and how to mend it."""

from __future__ import annotations

from collections.abc import Mapping

from loftwright.errors import Problem, ProblemError
from loftwright.evidence.problems import Text, place, told

__all__ = ["LOG_PROBLEMS", "log_problem", "log_warning"]

LOG_PROBLEMS: dict[str, Text] = {
    "log-unreadable": Text(
        "the log cannot be opened: {why}",
        "give the path of a file that you may read",
    ),
    "log-empty": Text(
        "the file is empty",
        "copy the log from the recorder again, or give the file that holds it",
    ),
    "log-not-text": Text(
        "the file is not text: it holds {value}",
        "export the log as text; where only its end is so, cut the file there",
    ),
    "log-encoding": Text(
        "the file announces {value} but does not keep to it",
        "save it again as UTF-8",
    ),
    "log-long-line": Text(
        "this line is longer than {value} characters: no row of a log is",
        "export the log with one reading a line",
    ),
    "log-too-long": Text(
        "the log is too long: {why}",
        "cut the flight out of it, with a minute before it",
    ),
    "log-option": Text(
        "this option is not possible",
        "{allowed}",
    ),
    "log-no-rows": Text(
        "none of its first {lines} lines begins a table with numbers",
        "give rows with tab, comma, semicolon or blanks between the columns, "
        "or say --delimiter and --decimal; one column alone needs --every",
    ),
    "log-decimal-unclear": Text(
        "the comma in {value!r} may stand between columns or be a decimal comma",
        "say --decimal , or --delimiter comma",
    ),
    "log-no-column": Text(
        "there is no column {value!r}; the columns are {columns}",
        "use one of these names, or a number from 1",
    ),
    "log-column-unclear": Text(
        "more than one column could be the {role}: {columns}",
        "say which: {option} with its name or number",
    ),
    "log-no-pressure": Text(
        "no column is known to be pressure or height; the columns are {columns}",
        "say --pressure or --height with the name or number of one{hint}",
    ),
    "log-no-time": Text(
        "no column is known to be time{why}",
        "say --time with its name or number; where the rows are evenly spaced, say --every 20ms",
    ),
    "log-unit-missing": Text(
        "the unit of {value!r} is not given and its numbers do not tell it: {why}",
        "say --unit {column}={example}, or write it into the column's name",
    ),
    "log-unit-unknown": Text(
        "{value!r} is not a unit of {role}",
        "say --unit {column}= with one of {allowed}; of raw counts also --scale {column}=FACTOR",
    ),
    "log-pressure-range": Text(
        "read so, the log begins at {value} {unit}, and no pad has that pressure",
        "say in which unit the column is: --unit {column}={hint}",
    ),
    "log-height-range": Text(
        "in {unit} the height runs from {low} to {high} m, and no flight of this kind does",
        "say in which unit the column is: --unit {column}={hint}",
    ),
    "log-clock-back": Text(
        "the clock jumps back here, from {before} to {value}; {jumps} such jump(s), "
        "the longest piece between them has {share} % of the rows",
        "give one flight alone: cut the file at this line, or put # before a row that is out of "
        "place",
    ),
    "log-clock-cut": Text(
        "the clock jumps back here, from {before} to {value}; only lines {first} to {last} are "
        "read, {left} row(s) are left out",
        "see whether the flight is in these lines; cut the file otherwise",
    ),
    "log-several-flights": Text(
        "the file holds {count} flights; the second begins here ({shown})",
        "say which: --flight-number 1; or cut the file at this line",
    ),
    "log-no-such-flight": Text(
        "the file holds {count} flight(s): {shown}",
        "give the number of one of them, from 1; a flight is a rise of 5 m from rest",
    ),
    "log-flight-cut": Text(
        "the clock begins again {count} time(s); only lines {first} to {last} are read, which hold "
        "the one flight that is found",
        "see whether the flight is in these lines; cut the file otherwise",
    ),
    "log-long-cut": Text(
        "the log is long: only lines {first} to {last} are read, the flight with two minutes "
        "before it and one after",
        "nothing, where the flight is in these lines; cut it out of the file otherwise",
    ),
    "log-states-lost": Text(
        "{value!r} changes more often than any state: {count} row(s) beyond {most} changes are not "
        "kept",
        "say --ignore {column}, where it is no state",
    ),
    "log-clock-coarse": Text(
        "most rows have the time of the row before them, first here: the clock is too coarse",
        "say --every with the time from row to row, and the time column is left aside",
    ),
    "log-time-repeats": Text(
        "{count} row(s) have the time of the row before them, the first here; of such rows the "
        "last one counts",
        "nothing, where the recorder's clock is coarse; else look at the rows",
    ),
    "log-time-holes": Text(
        "{count} hole(s) in time, the first before this line; the longest is {value}",
        "expect the last reading before a hole to be repeated in it",
    ),
    "log-rows-damaged": Text(
        "{count} row(s) cannot be read and are left out, the first here: {why}",
        "correct the rows, or put # before them",
    ),
    "log-too-damaged": Text(
        "{count} of {rows} rows cannot be read, the first here: {why}",
        "correct the rows, or say --delimiter and --decimal",
    ),
    "log-cells-empty": Text(
        "{count} row(s) have no {role}, the first here; the reading before them counts on",
        "nothing, where the recorder writes that column more seldom",
    ),
    "log-cut-row": Text(
        "the last line has no line end and is left out as not finished: {value!r}",
        "end the line, where it is complete",
    ),
    "log-too-short": Text(
        "{value} row(s) with a time are too few for a flight",
        "give the whole log",
    ),
    "log-sensor-silent": Text(
        "only {count} of {rows} rows have a {role}: its sensor gave next to nothing",
        "nothing, where the sensor was dead; else see whether the column is the right one",
    ),
    "log-sensor-dead": Text(
        "the log begins with {value} {unit} and nothing else in column {column}: no pad has that "
        "pressure, and no working sensor shows it without a change",
        "nothing, where the sensor was dead; else say in which unit the column is: "
        "--unit {column}=hPa",
    ),
    "log-readings-far": Text(
        "{count} reading(s) lie where no flight of this kind is (below {low:g} or above {high:g} "
        "Pa), the first here",
        "nothing: a program refuses readings outside its own limits; look at the sensor",
    ),
    "log-push-unclear": Text(
        "the push is not read: {why}",
        "say --push with the column along the axis, and --unit",
    ),
    "log-push-rest": Text(
        "at rest the push reads {value} m/s^2 where a vehicle that stands upright has 9.8",
        "{hint}",
    ),
    "log-no-liftoff": Text(
        "no liftoff is found in the log: {why}",
        "say when the vehicle began to move, by the log's clock: --liftoff 12.3s",
    ),
}


def log_problem(
    code: str,
    *,
    file: str,
    line: int | None = None,
    field: str | None = None,
    value: object = None,
    **facts: object,
) -> ProblemError:
    """Make the error for ``code`` at a place of ``file``; the caller raises it."""
    where = place(file, line, None, field, value, None)
    return ProblemError([told(LOG_PROBLEMS[code], code, where, {"value": value, **facts})])


def log_warning(
    code: str, *, file: str, line: int | None = None, facts: Mapping[str, object]
) -> Problem:
    """Return the warning for ``code`` at a place of ``file``."""
    where = place(file, line, None, None, None, None)
    return told(LOG_PROBLEMS[code], code, where, facts, "warning")
