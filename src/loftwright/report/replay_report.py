"""A replayed log as a page: what the log sensed, what the program believed, and its stages."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from loftwright import __version__
from loftwright.documents.program import Program
from loftwright.errors import ProblemError, as_dict
from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.log_guess import rest_of
from loftwright.flight.results import Provenance
from loftwright.program.reading import ReadProgram
from loftwright.rehearsal.recorded import heights_over, pressure_truth
from loftwright.rehearsal.replay import Replayed
from loftwright.rehearsal.results import Stay, Watched
from loftwright.report.program_page import replay_page
from loftwright.report.program_pictures import program_picture
from loftwright.report.replay_words import why_words

__all__ = ["replay_report", "watched_replay"]

LAWS = ("atmosphere.air_pressure_at",)


def replay_report(
    read: ReadProgram,
    log: FlightLog,
    replayed: Replayed,
    liftoff_s: float | None = None,
    system: str = "metric",
) -> str:
    """Return a replay as one self-contained HTML document, in the units of ``system``.

    ``liftoff_s`` is first motion by the log's clock; found from the log when left out. Raises
    ``ProblemError`` for one that is not within the log.
    """
    zero, since = _zero(log, liftoff_s, read.program.pad_temperature.value)
    hashes = {read.source.file: read.source.sha256, log.name: log.sha256}
    made = Provenance(hashes, f"loftwright {__version__}", laws=LAWS)
    watched = watched_replay(replayed, log, read.program, zero, since, system)
    warnings = [as_dict(each) for each in log.warnings]
    picture = program_picture(read.program, system)
    return replay_page(watched, system, picture, made, source=log.name, warnings=warnings)


def _zero(log: FlightLog, liftoff_s: float | None, pad_temperature: float) -> tuple[float, str]:
    """Return where the page's time begins, and what that is: first motion if there is one."""
    if liftoff_s is not None:
        truth = pressure_truth(log, liftoff_s=liftoff_s, pad_temperature=pad_temperature)
        return truth.liftoff_s, "first motion"
    try:
        return pressure_truth(log, pad_temperature=pad_temperature).liftoff_s, "first motion"
    except ProblemError:  # a log of the pad alone is a log as well
        return float(log.time_s[0]), "the log's beginning"


def watched_replay(
    replayed: Replayed,
    log: FlightLog,
    program: Program,
    zero_s: float,
    since: str = "first motion",
    system: str = "metric",
) -> Watched:
    """Return a replay as it is drawn: one clock, whose zero is ``zero_s`` of the log's.

    ``since`` says what that moment is. What is sensed is what the program read; there is no truth
    beside it. Why a stage was left is said in the units of ``system``.
    """
    readings = replayed.readings
    time = replayed.time_s - zero_s
    pressure = readings.pressure
    height = heights_over(pressure, rest_of(pressure), program.pad_temperature.value)
    name = program.name
    return Watched(
        case=f"{name} on {log.name}",
        flight=1,
        truth={},
        sensed={
            name: {
                "time_s": time,
                "pressure_pa": pressure,
                "height_m": height,
                "push_m_s2": readings.push,
            }
        },
        believed={
            name: {
                "time_s": time,
                "height_m": replayed.height_m.astype(np.float64),
                "climb_m_s": replayed.climb_m_s.astype(np.float64),
            }
        },
        stays={name: _stays(replayed, program, zero_s, system)},
        commands=_commands(replayed, zero_s),
        acts={},
        events=_events(replayed, zero_s),
        outcome=_outcome(replayed, zero_s, since),
        levels=_levels(replayed, zero_s),
    )


def _stays(replayed: Replayed, program: Program, zero_s: float, system: str) -> tuple[Stay, ...]:
    ends = [each.time_s for each in replayed.entered[1:]]
    whys = [why_words(each, program, system) for each in replayed.entered[1:]]
    rows = zip(replayed.entered, [*ends, float(replayed.time_s[-1])], [*whys, ""], strict=True)
    return tuple(
        Stay(each.name, each.time_s - zero_s, end - zero_s, why) for each, end, why in rows
    )


def _commands(replayed: Replayed, zero_s: float) -> dict[str, float]:
    """When each output first goes on."""
    found: dict[str, float] = {}
    for each in replayed.switched:
        if each.level:
            found.setdefault(each.output, each.time_s - zero_s)
    return found


def _events(replayed: Replayed, zero_s: float) -> dict[str, float]:
    if replayed.launch_s is None:
        return {}
    return {"launch sensed": replayed.launch_s - zero_s}


def _levels(replayed: Replayed, zero_s: float) -> dict[str, tuple[tuple[float, float], ...]]:
    """Return the stretches in which each output is on."""
    found = {}
    end = float(replayed.time_s[-1])
    for output in replayed.table.outputs:
        changes = [each for each in replayed.switched if each.output == output]
        edges = [*((each.time_s, each.level) for each in changes), (end, 0)]
        spans = [(a - zero_s, b - zero_s) for (a, level), (b, _) in pairwise(edges) if level]
        if spans:
            found[output] = tuple(spans)
    return found


def _outcome(replayed: Replayed, zero_s: float, since: str) -> str:
    last = replayed.entered[-1].name
    if replayed.launch_s is None:
        return f'The program would not have sensed a launch; it ends in stage "{last}".'
    late = replayed.launch_s - zero_s
    side = "after" if late >= 0.0 else "before"
    return (
        f"The program would have sensed launch {abs(late):.2f}\u00a0s {side} {since}; it ends in "
        f'stage "{last}".'
    )
