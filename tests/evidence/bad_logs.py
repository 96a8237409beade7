"""Malformed and hostile logs as data: what is wrong, the bytes, and the code that they get.

The messages stand word for word in ``docs/reference/bad-input.md``, which a test keeps fresh.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from documents.bad_input import Case, Section
from evidence.synthetic_logs import flown, written

from loftwright.errors import Problem, ProblemError
from loftwright.evidence.flight_log import LogOptions, read_flight_log

__all__ = ["BAD_LOGS", "SECTION", "BadLog"]

HEAD = ("time (s)", "pressure (Pa)")


@dataclass(frozen=True)
class BadLog:
    """A log that is refused, or read with a warning."""

    title: str
    make: bytes | Callable[[], bytes] | int  # the bytes, or the size of a file of nothing
    code: str
    line: int | None = None
    options: LogOptions = field(default_factory=LogOptions)
    said: str = ""  # options as a person types them
    shown: str = ""  # in place of the line

    @property
    def raw(self) -> bytes:
        """The bytes of the log."""
        assert not isinstance(self.make, int)
        return self.make() if callable(self.make) else self.make

    @property
    def written(self) -> str:
        """What a person would see as wrong."""
        if self.said or self.shown or self.line is None or isinstance(self.make, int):
            return self.said or self.shown
        shown = self.raw.decode("latin-1").splitlines()[self.line - 1][:60]
        return "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in shown)

    def problems(self, folder: Path) -> Sequence[Problem]:
        """Read the log in an empty folder; return what is reported, warnings too."""
        path = folder / "flight.csv"
        if isinstance(self.make, int):
            with path.open("wb") as stream:
                stream.truncate(self.make)
        else:
            path.write_bytes(self.raw)
        try:
            return read_flight_log(path, self.options).warnings
        except ProblemError as error:
            return error.problems

    def case(self) -> Case:
        """This log as a row of the docs."""
        return Case(self.title, self.written, (self.code,), self.line, self.problems)


def rows(seconds: float = 20.0) -> list[str]:
    """Lines of a log of 50 rows a second that reads without a word."""
    flight = flown(seconds=seconds)
    return written([flight.time, flight.pressure], HEAD, digits=(2, 1)).splitlines()


def changed(line: int, *texts: str, of: Sequence[str] | None = None) -> bytes:
    """A good log with one line replaced (1 is the header)."""
    lines = list(of or rows())
    lines[line - 1 : line] = texts
    return ("\n".join(lines) + "\n").encode()


def named(*names: str, step: float = 0.02, factor: float = 1.0, digits: int = 1) -> bytes:
    """A log with other names, its pressures times ``factor`` in every column but the first."""
    flight = flown(step=step)
    columns = [flight.time, *[flight.pressure * factor for _ in names[1:]]]
    return written(columns, names, digits=(2, *[digits] * 9)).encode()


def restarted() -> bytes:
    """A log whose clock begins again in the middle."""
    lines = rows()
    return "\n".join([*lines, *lines[1:], ""]).encode()


def restarted_on_pad() -> bytes:
    """A log whose clock begins again ten seconds before the flight."""
    flight = flown(seconds=45.0)
    lines = written([flight.time, flight.pressure], HEAD, digits=(2, 1)).splitlines()
    return "\n".join([*lines[:501], *lines[1:], ""]).encode()


def restarted_at_rest() -> bytes:
    """A log without a flight, whose clock begins again."""
    lines = rows()[:401]
    return "\n".join([*lines, *lines[1:], ""]).encode()


def restless() -> bytes:
    """A log with a column of states that never rests."""
    flight = flown(seconds=45.0)
    words = [f"level {i}" for i in range(len(flight.time))]
    columns = [flight.time, flight.pressure, words]
    return written(columns, (*HEAD, "state"), digits=(2, 1)).encode()


def heights(*names: str, factor: float = 1.0) -> bytes:
    """A log of time and height."""
    flight = flown()
    return written([flight.time, flight.height * factor], names, digits=(2, 2)).encode()


def joined() -> bytes:
    """A log, and another one behind it with one column more."""
    return "\n".join([*rows(), *(f"{row},1" for row in rows()), ""]).encode()


def ticks() -> bytes:
    """A log whose clock counts 32768 a second."""
    flight = flown()
    return written(
        [flight.time * 32768.0, flight.pressure], ("time", HEAD[1]), digits=(0,)
    ).encode()


def pushes(*names: str, factor: float = 1.0) -> bytes:
    """A log with one or more columns of push."""
    flight = flown()
    columns = [flight.time, flight.pressure, *[flight.push * factor for _ in names]]
    return written(columns, (*HEAD, *names), digits=(2, 1, 2, 2, 2)).encode()


def whole_seconds() -> bytes:
    """A log whose clock counts whole seconds, 50 rows each."""
    flight = flown()
    return written([flight.time // 1.0, flight.pressure], HEAD, digits=(0, 1)).encode()


BAD_LOGS: tuple[BadLog, ...] = (
    BadLog("an empty log", b"", "log-empty"),
    BadLog("blanks alone", b" \n\n\t\n", "log-empty", shown="blanks"),
    BadLog("a picture instead of a log", b"\x89PNG\r\n\x1a\n\x00\x00\rIHDR", "log-not-text", 2),
    BadLog("2 GB of nothing", 1 << 31, "log-not-text", 1, shown="a sparse file"),
    BadLog(
        "a recorder that lost power",
        lambda: ("\n".join(rows()) + "\n").encode() + bytes(4096),
        "log-not-text",
        1002,
        shown="4096 zeros at the end",
    ),
    BadLog("one endless line", b"101300," * 20_000, "log-long-line", 1, shown="101300,101300,…"),
    BadLog(
        "an endless line among the rows",
        lambda: changed(500, "9.98," + "1" * 70_000),
        "log-long-line",
        500,
        shown="9.98,1111111…",
    ),
    BadLog(
        "UTF-16 cut in the middle of a letter",
        lambda: "\n".join(rows()).encode("utf-16") + b"\x31",
        "log-encoding",
        shown="an odd number of bytes",
    ),
    BadLog("words only", b"The flight was high\nand wet\n", "log-no-rows"),
    BadLog(
        "one column",
        lambda: "\n".join(f"{p:.1f}" for p in flown().pressure).encode(),
        "log-no-rows",
        shown="101300.0",
    ),
    BadLog(
        "a comma that may be a decimal comma",
        lambda: "\n".join(f"{p:.1f}" for p in flown().pressure).replace(".", ",").encode(),
        "log-decimal-unclear",
        1,
        LogOptions(every_s=0.02),
    ),
    BadLog(
        "a column that is not there",
        lambda: changed(1, *rows()[:1]),
        "log-no-column",
        1,
        LogOptions(columns={"pressure": "baro"}),
        said="--pressure baro",
    ),
    BadLog(
        "a delimiter that is none",
        lambda: changed(1, *rows()[:1]),
        "log-option",
        None,
        LogOptions(delimiter="pipe"),
        said="--delimiter pipe",
    ),
    BadLog(
        "rows an hour apart",
        lambda: changed(1, *rows()[:1]),
        "log-option",
        None,
        LogOptions(every_s=3600.0),
        said="--every 1h",
    ),
    BadLog(
        "two pressures", lambda: named("time (s)", "P1 (Pa)", "P2 (Pa)"), "log-column-unclear", 1
    ),
    BadLog(
        "neither pressure nor height", lambda: named("time (s)", "sensor"), "log-no-pressure", 1
    ),
    BadLog("no time", lambda: named("sensor", "pressure (Pa)"), "log-no-time", 1),
    BadLog("height without a unit", lambda: heights("time (s)", "altitude"), "log-unit-missing", 1),
    BadLog(
        "time without a unit",
        ticks,
        "log-unit-missing",
        1,
    ),
    BadLog("pressure in volts", lambda: named("time (s)", "pressure (V)"), "log-unit-unknown", 1),
    BadLog(
        "hectopascals called kilopascals",
        lambda: named("time (s)", "pressure (kPa)", factor=0.01, digits=2),
        "log-pressure-range",
        2,
    ),
    BadLog(
        "a pressure over the pad's, not the air's",
        lambda: named("time (s)", "pressure (Pa)", factor=0.001),
        "log-pressure-range",
        2,
    ),
    BadLog(
        "millimetres called metres",
        lambda: heights("time (s)", "height (m)", factor=1000.0),
        "log-height-range",
        652,
    ),
    BadLog("a file with two flights", restarted, "log-several-flights", 1002),
    BadLog(
        "a flight that is not in the file",
        restarted,
        "log-no-such-flight",
        options=LogOptions(flight_number=3),
        said="--flight-number 3",
    ),
    BadLog("a recorder that began again on the pad", restarted_on_pad, "log-flight-cut", 502),
    BadLog("a clock that begins again", restarted_at_rest, "log-clock-back", 402),
    BadLog("a measurement that is called a state", restless, "log-states-lost", 1001),
    BadLog("a row out of place", lambda: changed(500, "9.20,100650.0"), "log-clock-back", 500),
    BadLog(
        "a clock that is set after switching on",
        lambda: changed(3, "900.02,100650.0"),
        "log-clock-cut",
        4,
    ),
    BadLog("a clock of whole seconds", whole_seconds, "log-clock-coarse", 3),
    BadLog(
        "a row written twice",
        lambda: changed(500, rows()[499], rows()[499]),
        "log-time-repeats",
        501,
    ),
    BadLog(
        "rows that are missing",
        lambda: changed(500, of=[*rows()[:500], *rows()[560:]]),
        "log-time-holes",
        500,
    ),
    BadLog("the letter O for a zero", lambda: changed(12, "0.20,1O0650"), "log-rows-damaged", 12),
    BadLog("a number too large", lambda: changed(12, "0.20,1e999"), "log-rows-damaged", 12),
    BadLog("a row without its time", lambda: changed(12, ",100650.0"), "log-rows-damaged", 12),
    BadLog("one cell too many", lambda: changed(12, "0.20,100650.0,7"), "log-rows-damaged", 12),
    BadLog(
        "two logs with other columns in one file",
        joined,
        "log-too-damaged",
        1002,
    ),
    BadLog("a row without its pressure", lambda: changed(12, "0.20,"), "log-cells-empty", 12),
    BadLog(
        "a last line that is cut off",
        lambda: changed(1001, "19.98,100")[:-1],
        "log-cut-row",
        1001,
    ),
    BadLog("five rows", lambda: changed(7, of=rows()[:7]), "log-too-short", None, shown="5 rows"),
    BadLog(
        "a sensor that is silent",
        lambda: changed(1002, of=[rows()[0], *(f"{n * 0.02:.2f}," for n in range(1000))]),
        "log-sensor-silent",
        2,
    ),
    BadLog(
        "a sensor that shows nothing but zero",
        lambda: changed(1002, of=[rows()[0], *(f"{n * 0.02:.2f},0" for n in range(1000))]),
        "log-sensor-dead",
        2,
    ),
    BadLog("a sensor that fails once", lambda: changed(500, "9.96,0"), "log-readings-far", 500),
    BadLog(
        "two axes of acceleration", lambda: pushes("ax (m/s2)", "ay (m/s2)"), "log-push-unclear", 1
    ),
    BadLog(
        "an axis that points down", lambda: pushes("az (m/s2)", factor=-1.0), "log-push-rest", 2
    ),
)

SECTION = Section(
    "Recorded flights",
    "A log is read as it came, in bounded memory. What it does not settle is asked for; what is "
    "left out is told with its line. `warning` marks what is read all the same.",
    tuple(bad.case() for bad in BAD_LOGS),
)
