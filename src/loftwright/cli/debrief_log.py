"""A log by itself, without a campaign, debriefed for the command line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.evidence.log_columns import LogOptions
    from loftwright.report.flight_told import FlightReport
    from loftwright.units import Quantity

__all__ = ["Alone", "debrief_log"]

# What is taken for the pad's air where nobody says it.
MILD = (288.15, 8.0)  # K and its standard deviation: a day fit for flying (judgement)


@dataclass(frozen=True, slots=True)
class Alone:
    """What must not be written over where there is no campaign."""

    folder: Path
    hashes: Mapping[str, str]


def debrief_log(
    path: Path,
    options: LogOptions,
    *,
    temperature: str | None,
    liftoff: str | None,
    units: str,
) -> FlightReport:
    """Reconstruct the flight in a log that belongs to no campaign.

    ``temperature`` and ``liftoff`` are as typed. Raises ``ProblemError`` for what cannot be read.
    """
    from loftwright.cli.log_options import read_time
    from loftwright.cli.progress import Progress
    from loftwright.debrief.reconstruction.instrument import assumed_instrument
    from loftwright.debrief.reconstruction.reconstruct import reconstruct
    from loftwright.debrief.reconstruction.unseen import reconstruct_or_tell, shows_nothing
    from loftwright.evidence.flight_log import read_flight_log
    from loftwright.report.flight_told import FlightReport, UsedFile
    from loftwright.report.log_stages import log_stays

    air = None if temperature is None else _temperature(temperature)
    began = None if liftoff is None else read_time("--liftoff", liftoff, "12.3s")
    progress = Progress("bytes")
    try:
        log = read_flight_log(path, options, progress=progress)
    finally:
        progress.finish()
    kelvin, sd = MILD if air is None else (air.value, max(air.sd, 0.5))
    # Of a log that shows something, whoever gave it can say when liftoff is; of another, nobody.
    found = (reconstruct_or_tell if shows_nothing(log) else reconstruct)(
        log,
        assumed_instrument(log, air_is_assumed=air is None),
        pad_temperature=kelvin,
        pad_pressure=None,
        liftoff_s=began,
        pad_temperature_sd=sd,
    )
    stays = log_stays(log, found.liftoff_s)
    return FlightReport(
        reconstruction=found,
        units=units,
        stays={"log": stays} if stays else {},
        used=(UsedFile(log.name, "log", log.sha256, path.stat().st_size),),
        notes=log.notes,
        warnings=log.warnings,
    )


def _temperature(text: str) -> Quantity:
    from loftwright.errors import Problem, ProblemError, Where
    from loftwright.units import QuantityError, parse_quantity

    try:
        return parse_quantity(text, "temperature", "17 degC")
    except QuantityError as error:
        where = Where(field="--pad-temperature", value=text)
        raise ProblemError([Problem(error.code, error.message, where, error.mend)]) from error
