"""What people saw, heard, timed and paced of a flight, in sentences and rows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from loftwright.debrief.clocks.sighting_results import SightedPosition
from loftwright.documents.flight_record import Landed, Saw, Sighting, Stopwatch
from loftwright.report.bodies import short_names
from loftwright.report.estimates import hundred, plus_minus, within
from loftwright.report.expectation import due
from loftwright.report.flight_told import FlightReport
from loftwright.report.quantities import amount, stated
from loftwright.report.reading import listed
from loftwright.report.said_units import sentence
from loftwright.units import Quantity

__all__ = [
    "forecast_and_not",
    "not_happened",
    "seen_sentences",
    "sighted_rows",
    "surely_not",
]

Names = Mapping[str, str]


def seen_sentences(report: FlightReport) -> list[str]:
    """Return what people saw, heard, timed and paced, a sentence each, in the order of the file."""
    record = report.record
    if record is None:
        return []
    names = short_names(report.campaign) if report.campaign else {}
    said = [_saw(each, names) for each in record.saw]
    said += [_timed(each, names) for each in record.stopwatch]
    said += [_sighting(each, names) for each in record.sighting]
    said += [_landed(each, names, report.units) for each in record.landed]
    return said


def _written(value: Quantity, kind: str, system: str) -> str:
    if value.sd > 0.0:
        return plus_minus(value.value, value.sd, kind, system)
    return stated(value.value, kind, system)


def _of(body: str, names: Names) -> str:
    return f"of {names.get(body, f'the {body}')}"


SURE = 0.9  # from which on what somebody says did not happen opens the page
# What a body does at a moment: as a thing seen to happen, and as one that did not.
DOES = {
    "liftoff": ("{body} lift off", "{body} did not lift off"),
    "water out": ("{body} run out of water", "{body} did not run out of water"),
    "release": ("{body} come free", "{body} did not come free"),
    "apogee": ("{body} pass its top", "{body} did not pass its top"),
    "canopy open": ("the canopy of {body} open", "the canopy of {body} did not open"),
    "touchdown": ("{body} touch down", "{body} did not touch down"),
    "beep": ("{body} beep", "{body} did not beep"),
}


def _saw(each: Saw, names: Names) -> str:
    who = each.by or "Somebody"
    verb = {"seen": "saw", "heard": "heard", "felt": "felt"}[each.how]
    happened, not_so = (
        words.format(body=names.get(each.of, f"the {each.of}"))
        for words in DOES.get(
            each.what, (f"{each.what} of {{body}}", f"no {each.what} of {{body}}")
        )
    )
    told = f"{who} {verb} {happened}" if each.happened == "yes" else f"{who} {verb} that {not_so}"
    if each.at is not None:
        told += f" at {_written(each.at, 'time', 'metric')} by the clock “{each.clock}”"
    words = f" “{each.said}”" if each.said else ""
    return f"{told}, sure by {hundred(each.sure.value)}.{words}"


def surely_not(report: FlightReport) -> Iterator[tuple[Saw, str]]:
    """Yield what somebody is sure did not happen, and of what, by name."""
    names = short_names(report.campaign) if report.campaign else {}
    for each in report.record.saw if report.record else ():
        if each.happened == "no" and each.sure.value >= SURE and each.what in DOES:
            yield each, names.get(each.of, f"the {each.of}")


def not_happened(report: FlightReport) -> Iterator[str]:
    """Yield what somebody is sure did not happen, a sentence each."""
    for each, name in surely_not(report):
        words = DOES[each.what][1].format(body=name)
        yield f"{words[:1].upper()}{words[1:]}."


def forecast_and_not(report: FlightReport) -> Iterator[str]:
    """Yield what did not happen though most flights of the forecast have it."""
    for each, name in surely_not(report):
        if due(report.expected, each.what) is not None:
            yield f"The forecast has {DOES[each.what][0].format(body=name)}; that did not happen."


def _timed(each: Stopwatch, names: Names) -> str:
    who = each.by or "Somebody"
    time = _written(each.time, "time", "metric")
    return f"{who} timed {each.begin} to {each.end} {_of(each.of, names)}: {time}."


def _sighting(each: Sighting, names: Names) -> str:
    when = f"at {each.moment}" if each.moment else "once"
    if each.moment is None and each.at is not None:
        when = f"at {_written(each.at, 'time', 'metric')} by the clock “{each.clock}”"
    who = f"{each.by} at {each.station}" if each.by else f"Somebody at {each.station}"
    bearing = ""
    if each.bearing is not None:
        bearing = f"{_written(each.bearing, 'angle', 'metric')} by the compass, "
    return (
        f"{who} saw {names.get(each.of, f'the {each.of}')} {when}: {bearing}"
        f"{_written(each.elevation, 'angle', 'metric')} above the horizon."
    )


def _landed(each: Landed, names: Names, system: str) -> str:
    body = names.get(each.of, f"The {each.of}")
    if each.distance is None:
        return f"{body} was found by its coordinates."
    far = _written(each.distance, "distance", system)
    towards = ""
    if each.bearing is not None:
        towards = f", {_written(each.bearing, 'angle', system)} clockwise from north"
    return f"{body} was found {far} from the pad{towards}."


def sighted_rows(report: FlightReport) -> list[tuple[str, str, str, str, str]]:
    """Return what, height, place, miss and sentence of each body put by bearings."""
    names = short_names(report.campaign) if report.campaign else {}
    return [_place(each, names, report.units) for each in report.sighted]


def _place(each: SightedPosition, names: Names, system: str) -> tuple[str, str, str, str, str]:
    moment = each.moment or "once"
    if each.moment is None and each.time is not None:
        moment = f"at {within(each.time, 'time', system)}"
    height, sides = "–", "–"
    if each.position is not None and each.covariance is not None:
        east, north, up = each.position.tolist()
        sds = np.sqrt(np.diag(each.covariance)).tolist()
        height = plus_minus(up, sds[2], "height", system)
        sides = ", ".join(_sides((east, north), sds, system))
    miss = amount(each.miss, "distance", system, 2)
    if each.miss is not None and each.miss_open is not None:
        miss += f" (up to {amount(each.miss_open, 'distance', system, 2)} left open)"
    who = f"{names.get(each.of, each.of)}, {moment}, from {listed(list(each.stations))}"
    return who, height, sides, miss, sentence(each.says, system)


def _sides(place: tuple[float, float], sds: list[float], system: str) -> Iterator[str]:
    for value, sd, (positive, negative) in zip(
        place, sds[:2], (("east", "west"), ("north", "south")), strict=True
    ):
        side = positive if value >= 0.0 else negative
        yield f"{plus_minus(abs(value), sd, 'distance', system)} {side}"
