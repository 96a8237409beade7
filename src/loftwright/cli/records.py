"""Reading recorded firings for ``loftwright firing --fit``, and saying what was read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from loftwright.debrief.firings.fit import Fitted
    from loftwright.evidence.thrust import MeasuredFiring
    from loftwright.flight.results import Floats

__all__ = [
    "FIT",
    "CommandWithRecords",
    "DrawnRecord",
    "Reading",
    "fitted_answer",
    "kept_firings",
    "read_records",
    "reading_options",
    "records_answer",
]

FIT = "--fit"

# Field of vehicle.toml that is fitted -> its name in the answer, with its unit.
NAMES = {
    "nozzle.flow_coefficient": "flow_coefficient",
    "nozzle.velocity_coefficient": "velocity_coefficient",
    "nozzle.breakthrough_volume": "breakthrough_volume_m3",
    "fill.gauge_pressure": "fill_gauge_pressure_pa",
    "fill.water_volume": "fill_water_volume_m3",
}


DELIMITERS = {"tab": "\t", "comma": ",", "semicolon": ";", "blanks": " "}


class CommandWithRecords(click.Command):
    """A command whose ``--fit`` takes any number of files, as a shell's ``*.txt`` gives them."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Repeat ``--fit`` before each of its files, then parse as usual."""
        return super().parse_args(ctx, list(_spread(args)))


def _spread(words: Sequence[str]) -> Iterator[str]:
    taking = False
    for number, word in enumerate(words):
        if word == FIT:
            taking = True
            following = words[number + 1 : number + 2]
            if not following or following[0].startswith("-"):
                yield word  # nothing to take: click says what is missing
        elif word.startswith("-"):
            taking = False
            yield word
        elif taking and not _is_campaign(Path(word)):
            yield from (FIT, word)
        else:
            yield word


def _is_campaign(path: Path) -> bool:
    return path.name == "campaign.toml" or path.is_dir()


@dataclass(frozen=True, slots=True)
class Reading:
    """How records are to be read; None for what the file itself tells."""

    rate: float | None
    unit: str | None
    column: str | None
    time_unit: str | None
    delimiter: str | None
    decimal: str | None


def reading_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that settle what a record does not say itself."""
    for name, metavar, kind, what in (
        ("--decimal", "MARK", str, "What marks decimals in the records: '.' or ','."),
        ("--delimiter", None, click.Choice(list(DELIMITERS)), "What stands between their columns."),
        ("--time-unit", "UNIT", str, "Unit of their time column: s, ms or us."),
        ("--column", "NAME", str, "Their force column: its name, or its number from 1."),
        ("--unit", "UNIT", str, "Their unit of force: N, lbf, kgf, g, ..."),
        ("--rate", "HZ", float, "Their samples a second; a time column is then left aside."),
    ):
        command = click.option(name, metavar=metavar, type=kind, help=what)(command)
    return command


def kept_firings(folder: Path, flights: Sequence[str]) -> dict[Path, dict[str, Any]]:
    """Return the firings that the campaign keeps under ``flights``, and how each is to be read.

    Raises ``ProblemError`` where there is no such flight, or it keeps no firing.
    """
    if not flights:
        return {}
    from loftwright.errors import Problem, ProblemError, Where
    from loftwright.evidence.kept_reading import firing_options
    from loftwright.evidence.recorded_flight import read_recorded_flight

    found: dict[Path, dict[str, Any]] = {}
    for name in flights:
        files = read_recorded_flight(folder, name).files
        firings = [each for each in files if each.entry.kind == "firing"]
        if not firings:
            message = f"the flight {name!r} keeps no record of a firing"
            mend = f"take one in: loftwright record {folder} {name} FILE --as firing"
            raise ProblemError(
                [Problem("record-no-firing", message, Where(field="--flight"), mend)]
            )
        found |= {each.path: firing_options(each.reading) for each in firings}
    return found


def read_records(
    paths: Sequence[Path], reading: Reading, kept: Mapping[Path, Mapping[str, Any]] | None = None
) -> dict[str, MeasuredFiring]:
    """Read and measure the records, by the shortest names that tell them apart.

    ``kept`` says how some are to be read, where ``reading`` does not. Raises ``ProblemError`` with
    the problems of all records.
    """
    from loftwright.errors import Problem, ProblemError
    from loftwright.evidence.record import read_firing_record
    from loftwright.evidence.thrust import measure_firing

    how: dict[str, Any] = {name: getattr(reading, name) for name in Reading.__dataclass_fields__}
    if reading.column is not None and reading.column.isdigit():
        how["column"] = int(reading.column)
    how["delimiter"] = DELIMITERS.get(reading.delimiter or "")
    how = {option: value for option, value in how.items() if value is not None}
    names = [path.name for path in paths]
    measured: dict[str, MeasuredFiring] = {}
    problems: list[Problem] = []
    for path in dict.fromkeys(paths):
        name = path.name if names.count(path.name) == 1 else str(path)
        try:
            told = (kept or {}).get(path) or _as_kept(path)
            record = read_firing_record(path, **{**told, **how})
            measured[name] = measure_firing(record)
        except ProblemError as error:
            problems += error.problems
    if problems:
        raise ProblemError(problems)
    return measured


def _as_kept(path: Path) -> dict[str, Any]:
    """Return how a record is to be read that is kept with a flight; nothing for any other."""
    from loftwright.evidence.kept_reading import firing_options, kept_entry

    entry = kept_entry(path)
    return {} if entry is None else firing_options(entry[1])


def records_answer(measured: Mapping[str, MeasuredFiring]) -> dict[str, dict[str, Any]]:
    """Return what each record says, by file."""
    return {
        name: {
            "impulse_n_s": firing.impulse.value,
            "impulse_sd_n_s": firing.impulse.sd,
            "duration_s": firing.duration.value,
            "duration_sd_s": firing.duration.sd,
            "peak_thrust_n": firing.peak.value,
            "peak_thrust_sd_n": firing.peak.sd,
            "sha256": firing.sha256,
            "notes": list(firing.notes),
        }
        for name, firing in measured.items()
    }


def fitted_answer(fitted: Mapping[str, Fitted]) -> dict[str, dict[str, float]]:
    """Return what was fitted, by coefficient, beside what the documents said before."""
    return {NAMES[field]: _fitted(each) for field, each in fitted.items()}


def _fitted(each: Fitted) -> dict[str, float]:
    return {
        "value": each.value,
        "sd": each.sd,
        "prior_value": each.prior_value,
        "prior_sd": each.prior_sd,
    }


@dataclass(frozen=True, slots=True)
class DrawnRecord:
    """A record as the report draws it."""

    name: str
    time: Floats
    thrust: Floats
    impulse_n_s: float
    impulse_sd_n_s: float
    duration_s: float
    duration_sd_s: float
    peak_thrust_n: float
    peak_thrust_sd_n: float

    @classmethod
    def of(cls, name: str, firing: MeasuredFiring) -> DrawnRecord:
        """Take from a measured firing what is drawn of it."""
        measures = (firing.impulse, firing.duration, firing.peak)
        numbers = (number for each in measures for number in (each.value, each.sd))
        return cls(name, firing.time, firing.thrust, *numbers)
