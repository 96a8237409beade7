"""Options that say how a recorded flight is to be read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from loftwright.evidence.flight_log import LogOptions

__all__ = ["LogWords", "log_reading_options", "read_time"]

ROLES = ("time", "pressure", "height", "push", "battery", "temperature")
DELIMITERS = ("tab", "comma", "semicolon", "blanks")


@dataclass(frozen=True, slots=True)
class LogWords:
    """What was said of a log, as typed."""

    time: str | None
    pressure: str | None
    height: str | None
    push: str | None
    battery: str | None
    temperature: str | None
    states: tuple[str, ...]
    ignored: tuple[str, ...]
    flight_number: int | None
    units: tuple[str, ...]
    scales: tuple[str, ...]
    every: str | None
    delimiter: str | None
    decimal: str | None

    def options(self) -> LogOptions:
        """Return it as the reader takes it. Raises ``ProblemError`` for what cannot be read."""
        from loftwright.evidence.flight_log import LogOptions

        told = {role: getattr(self, role) for role in ROLES}
        return LogOptions(
            columns={role: column for role, column in told.items() if column is not None},
            units=dict(_pair(text, "--unit", "pressure=hPa") for text in self.units),
            scales={column: _scale(text) for column, text in _scales(self.scales)},
            every_s=None if self.every is None else read_time("--every", self.every, "20ms"),
            delimiter=self.delimiter,
            decimal=self.decimal,
            states=self.states,
            ignored=self.ignored,
            flight_number=self.flight_number,
        )

    @property
    def says_anything(self) -> bool:
        """Whether anything was said at all."""
        return self.tells_layout or self.flight_number is not None

    @property
    def tells_layout(self) -> bool:
        """Whether anything was said of columns and layout."""
        words = (getattr(self, word) for word in LogWords.__dataclass_fields__)
        said = [each for each in words if each not in (None, ())]
        return len(said) > (self.flight_number is not None)


def log_reading_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that settle what a log does not say itself."""
    for name, parameter, metavar, kind, many, what in (
        (
            "--flight-number", "flight_number", "N", click.IntRange(min=1), False,
            "Which flight of a file that holds several, from 1.",
        ),
        ("--decimal", "decimal", None, click.Choice([".", ","]), False, "What marks decimals."),
        (
            "--delimiter", "delimiter", None, click.Choice(DELIMITERS), False,
            "What stands between columns.",
        ),
        (
            "--every", "every", "TIME", str, False,
            "Time from row to row, e.g. 20ms; a time column is then left aside.",
        ),
        (
            "--scale", "scales", "COLUMN=FACTOR[,OFFSET]", str, True,
            "Raw counts: factor * count + offset, in the unit that --unit says.",
        ),
        ("--unit", "units", "COLUMN=UNIT", str, True, "The unit of a column, e.g. 2=hPa."),
        ("--ignore", "ignored", "COLUMN", str, True, "A column to leave aside."),
        (
            "--state", "states", "COLUMN", str, True,
            "A column of states or levels; may be given several times.",
        ),
        ("--temperature", "temperature", "COLUMN", str, False, "Column of temperature."),
        ("--battery", "battery", "COLUMN", str, False, "Column of the supply's voltage."),
        ("--push", "push", "COLUMN", str, False, "Column of acceleration along the axis."),
        ("--height", "height", "COLUMN", str, False, "Column of height, in place of pressure."),
        ("--pressure", "pressure", "COLUMN", str, False, "Column of pressure."),
        ("--time", "time", "COLUMN", str, False, "Column of time: its name, or number from 1."),
    ):  # fmt: skip
        option = click.option(name, parameter, metavar=metavar, type=kind, multiple=many, help=what)
        command = option(command)
    return command


def read_time(option: str, text: str, example: str) -> float:
    """Return a time in s. Raises ``ProblemError`` that names the option."""
    from loftwright.errors import Problem, ProblemError, Where
    from loftwright.units import QuantityError, parse_quantity

    try:
        return parse_quantity(text, "time", example).value
    except QuantityError as error:
        where = Where(field=option, value=text)
        raise ProblemError([Problem(error.code, error.message, where, error.mend)]) from error


def _pair(text: str, option: str, example: str) -> tuple[str, str]:
    column, sign, rest = text.rpartition("=")
    if not sign or not column.strip() or not rest.strip():
        _refuse(option, text, f"write the column, = and the rest, e.g. {option} {example}")
    return column.strip(), rest.strip()


def _scales(texts: Sequence[str]) -> list[tuple[str, str]]:
    return [_pair(text, "--scale", "adc=0.25") for text in texts]


def _scale(text: str) -> tuple[float, float]:
    from math import isfinite

    parts = text.split(",")
    try:
        factor, offset = float(parts[0]), float(parts[1]) if len(parts) > 1 else 0.0
    except ValueError:
        factor, offset = 0.0, 0.0
    if len(parts) > 2 or factor == 0.0 or not isfinite(factor) or not isfinite(offset):
        _refuse("--scale", text, "write a factor that is not 0, and an offset if there is one")
    return factor, offset


def _refuse(option: str, text: str, mend: str) -> NoReturn:
    from loftwright.errors import Problem, ProblemError, Where

    message = "this option is not possible"
    raise ProblemError([Problem("log-option", message, Where(field=option, value=text), mend)])
