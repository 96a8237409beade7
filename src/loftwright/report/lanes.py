"""From flights to strips: which lanes, which events, which part shown larger."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import PAYLOADS
from loftwright.flight.results import Ensemble, Flight, Track
from loftwright.report.bodies import dash_of, in_order, role_of, root_of
from loftwright.report.carried_lanes import angle_lane, hold_lane
from loftwright.report.quantities import amount, span, unit_of
from loftwright.report.strip_events import flight_events
from loftwright.report.strip_model import Curve, Event, Lane, Note, Role, Spread, Strip

__all__ = ["boost_strip", "climb_strip", "flight_strips", "whole_strip"]

Floats = NDArray[np.float64]
Names = Mapping[str, str]

_BOOST_EVENTS: Final = (
    "liftoff", "tube clear", "guide exit", "boosters out", "water out", "air out",
)  # fmt: skip
PAST_TOP = 1.1  # of the time of the top: where the close-up of the climb ends

# lane of Band -> words, kind of unit, height in the whole strip and in the close-up, px
_LANES: Final[dict[str, tuple[str, str, float, float]]] = {
    "height_m": ("height", "height", 210.0, 64.0),
    "climb_m_s": ("climb", "speed", 110.0, 84.0),
    "acceleration_m_s2": ("acceleration", "acceleration", 84.0, 110.0),
    "gauge_pressure_pa": ("pressure", "gauge_pressure", 84.0, 110.0),
}


@dataclass(frozen=True, slots=True)
class _Scene:
    """What all lanes of a page are drawn from."""

    flight: Flight
    ensemble: Ensemble | None
    system: str
    names: Names
    ink: str = "as written"

    def name(self, body: str) -> str:
        return self.names.get(body, body)

    @property
    def vehicle(self) -> Track:
        return self.flight.tracks["vehicle"]


def flight_strips(
    flight: Flight, ensemble: Ensemble | None, system: str, names: Names | None = None
) -> list[Strip]:
    """Return the strips of a flight, each close-up below what it shows larger."""
    climb = climb_strip(flight, ensemble, system, names)
    boost = boost_strip(flight, ensemble, system, names)
    whole = whole_strip(flight, ensemble, system, names)
    return [whole, boost] if climb is None else [whole, climb, boost]


def whole_strip(
    flight: Flight,
    ensemble: Ensemble | None,
    system: str,
    names: Names | None = None,
    ink: str = "as written",
) -> Strip:
    """Return the strip of the whole flight, liftoff to the last touchdown.

    ``ink`` is what the one flight is called beside the band of an ensemble.
    """
    scene = _Scene(flight, ensemble, system, names or {}, ink)
    boost, climb, end = _boost_end(flight), _climb_end(flight), _last_time(flight, ensemble)
    crowded = end > 4 * boost
    lanes = [
        # The first lane names the lines; they keep their colours in the lanes below.
        _lane(name, scene, whole=True, names=name == "height_m")
        for name in ("height_m", "climb_m_s", "acceleration_m_s2")
    ]
    return Strip(
        title="The whole flight",
        description=_whole_words(flight, ensemble, system),
        start=0.0,
        end=end,
        lanes=tuple(lanes),
        events=tuple(_without_crowd(scene, boost) if crowded else _events(scene)),
        close_up=(0.0, climb or boost) if crowded else None,
    )


def climb_strip(
    flight: Flight, ensemble: Ensemble | None, system: str, names: Names | None = None
) -> Strip | None:
    """Return the close-up of the climb with what is carried; None where nothing is."""
    scene = _Scene(flight, ensemble, system, names or {})
    end = _climb_end(flight)
    if end is None:
        return None
    lanes = [
        hold_lane(flight, scene.names, end),
        angle_lane(flight),
        _lane("climb_m_s", scene, whole=False, names=True),
    ]
    boost = _boost_end(flight)
    return Strip(
        title="The climb, shown larger",
        description="Use of the holds, angle to the flow and climb, up to the top.",
        start=0.0,
        end=end,
        lanes=tuple(lanes),
        events=tuple(_without_crowd(scene, boost) if end > 4 * boost else _events(scene)),
        close_up=(0.0, boost) if end > 2 * boost else None,
    )


def boost_strip(
    flight: Flight, ensemble: Ensemble | None, system: str, names: Names | None = None
) -> Strip:
    """Return the close-up of the boost: pressure, acceleration, climb and height."""
    scene = _Scene(flight, ensemble, system, names or {})
    order = ("gauge_pressure_pa", "acceleration_m_s2", "climb_m_s", "height_m")
    end = _boost_end(flight)
    lanes = [_lane(name, scene, whole=False, names=name == order[0]) for name in order]
    if _climb_end(flight) is not None:
        lanes.insert(2, hold_lane(flight, scene.names, end))
    return Strip(
        title="The boost, shown larger",
        description=(
            "Pressure, acceleration, climb and height over the first "
            f"{amount(end, 'time', system, 2)}."
        ),
        start=0.0,
        end=end,
        lanes=tuple(lanes),
        events=tuple(event for event in _events(scene) if event.time <= end),
    )


# ---------------------------------------------------------------- clock and events


def _boost_end(flight: Flight) -> float:
    track = flight.tracks["vehicle"]
    times = [track.events[e] for e in _BOOST_EVENTS if e in track.events]
    last = max((t for t in times if math.isfinite(t)), default=0.0)
    return 1.35 * last if last > 0 else 0.5


def _climb_end(flight: Flight) -> float | None:
    """A little past the top, where something is carried and there is a top."""
    top = flight.tracks["vehicle"].events.get("apogee")
    if flight.carrying is None or top is None or top <= _boost_end(flight):
        return None
    return PAST_TOP * float(top)


def _last_time(flight: Flight, ensemble: Ensemble | None) -> float:
    ends = [float(t.time[-1]) for t in flight.tracks.values() if t.time.size]
    if ensemble is not None and ensemble.band.time.size:
        ends.append(float(ensemble.band.time[-1]))
    return max(ends, default=0.0)


def _events(scene: _Scene) -> list[Event]:
    return flight_events(scene.flight, scene.ensemble, scene.names)


def _without_crowd(scene: _Scene, boost: float) -> list[Event]:
    """Leave to the close-up what happens within it, but for the start and what tears off."""
    return [
        event
        for event in _events(scene)
        if event.time > boost or event.words == "liftoff" or event.role == "payload"
    ]


def _whole_words(flight: Flight, ensemble: Ensemble | None, system: str) -> str:
    top = amount(flight.figures.get("apogee_m"), "height", system)
    late = amount(flight.figures.get("apogee_time_s"), "time", system)
    band = " Bands hold 5 to 95 % of the ensemble." if ensemble else ""
    return f"Height, climb and acceleration over time. Greatest height {top} at {late}.{band}"


# ---------------------------------------------------------------- lanes


def _column(track: Track, lane: str) -> Floats:
    columns = {
        "height_m": track.position[:, 2],
        "climb_m_s": track.velocity[:, 2],
        "acceleration_m_s2": track.acceleration[:, 2],
        "gauge_pressure_pa": track.gauge_pressure,
    }
    return columns[lane]


def _lane(name: str, scene: _Scene, *, whole: bool, names: bool) -> Lane:
    words, kind, tall, close = _LANES[name]
    unit = unit_of(kind, scene.system)
    vehicle, ensemble = scene.vehicle, scene.ensemble
    curves, spreads = [], []
    own = scene.name("vehicle")
    if ensemble is not None and name in ensemble.band.lanes:
        band = ensemble.band
        shown = unit.of(1.0) * band.lanes[name]  # every lane's unit starts at zero
        spreads.append(Spread(own if names else "", band.time, shown, told=own))
    told = scene.ink if ensemble is not None else own
    curves.append(
        Curve(told if names else "", vehicle.time, _column(vehicle, name) / unit.size, Role.RECORD,
              faint=ensemble is not None, told=told)
    )  # fmt: skip
    if whole and name == "height_m":
        _add_others(scene, unit.size, curves, spreads)
    return Lane(
        name=words,
        unit=unit.symbol,
        curves=tuple(curves),
        spreads=tuple(spreads),
        notes=tuple(_notes(name, scene, whole=whole)),
        height=tall if whole else close,
    )


def _add_others(scene: _Scene, size: float, curves: list[Curve], spreads: list[Spread]) -> None:
    """Add the heights of all that has left the vehicle, each from then on."""
    told = set()
    for body in in_order(scene.flight.tracks):
        root = root_of(body)
        released = scene.flight.tracks[body].events.get("release")
        # Boosters fall alike: one line stands for them all.
        if body == "vehicle" or released is None or root in told:
            continue
        told.add(root)
        _add_height(scene, body, released, size, curves, spreads)


def _add_height(
    scene: _Scene,
    body: str,
    released: float,
    size: float,
    curves: list[Curve],
    spreads: list[Spread],
) -> None:
    role = Role.PAYLOAD if role_of(body) == "payload" else Role.FORECAST
    name, dash = scene.name(root_of(body)), dash_of(body)
    lane = f"{body}_height_m"
    if scene.ensemble is not None and lane in scene.ensemble.band.lanes:
        band = scene.ensemble.band
        rows = band.time >= released
        heights = band.lanes[lane][rows] / size
        spreads.append(Spread(name, band.time[rows], heights, role, dash))
        return
    track = scene.flight.tracks[body]
    rows = track.time >= released
    curves.append(Curve(name, track.time[rows], track.position[rows, 2] / size, role, dash=dash))


# ---------------------------------------------------------------- notes


def _notes(name: str, scene: _Scene, *, whole: bool) -> list[Note]:
    track, system = scene.vehicle, scene.system
    column = _column(track, name)
    if not np.isfinite(column).any():
        return []
    kind = _LANES[name][1]
    unit = unit_of(kind, system)
    top = int(np.nanargmax(column))
    peak = float(column[top])
    key = {"height_m": "apogee_m", "acceleration_m_s2": "max_acceleration_m_s2"}.get(name)
    notes = []
    if whole == (name in ("height_m", "climb_m_s")):
        words = amount(peak, kind, system) + _range(scene.ensemble, key, kind, system)
        notes.append(Note(float(track.time[top]), peak / unit.size, words))
    if name == "climb_m_s":
        notes += [note for root in PAYLOADS for note in _release_note(scene, root)]
    return notes


def _range(ensemble: Ensemble | None, key: str | None, kind: str, system: str) -> str:
    known = ensemble.statistics.get(key) if ensemble and key else None
    if not known or not math.isfinite(known["p05"]):
        return ""
    return f" ({span(known['p05'], known['p95'], kind, system)})"


def _release_note(scene: _Scene, root: str) -> list[Note]:
    """Say at what climb a payload leaves the vehicle."""
    prefix = "" if root == "payload" else f"{root}_"
    event = "release" if root == "payload" else f"release of {root}"
    figures = scene.flight.figures
    time, climb = (figures.get(f"{prefix}release_{key}") for key in ("time_s", "climb_m_s"))
    if time is None or climb is None or event not in scene.vehicle.events:
        return []
    unit = unit_of("speed", scene.system)
    how = "torn off" if figures.get(f"{prefix}torn_off") else "lets go"
    return [
        Note(time, unit.of(climb), f"{how} at {amount(climb, 'speed', scene.system)}", "payload")
    ]
