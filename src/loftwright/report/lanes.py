"""From flights and firings to strips: which lanes, which events, which part shown larger."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.results import Band, Ensemble, Firing, Flight, Track
from loftwright.report.quantities import amount, span, unit_of
from loftwright.report.strip_model import Curve, Event, Lane, Note, Role, Spread, Strip

__all__ = ["ThrustRecord", "boost_strip", "firing_strip", "flight_events", "whole_strip"]

Floats = NDArray[np.float64]


class ThrustRecord(Protocol):
    """A measured firing: thrust over time, zero at first thrust, SI."""

    @property
    def name(self) -> str:
        """What the record is called."""

    @property
    def time(self) -> Floats:
        """Time since first thrust, s."""

    @property
    def thrust(self) -> Floats:
        """Thrust, N."""

    @property
    def impulse_n_s(self) -> float:
        """Impulse, N s."""

    @property
    def impulse_sd_n_s(self) -> float:
        """Its standard deviation, N s."""

    @property
    def duration_s(self) -> float:
        """How long thrust lasted, s."""

    @property
    def duration_sd_s(self) -> float:
        """Its standard deviation, s."""

    @property
    def peak_thrust_n(self) -> float:
        """Peak of the thrust under the stand's ringing, N."""

    @property
    def peak_thrust_sd_n(self) -> float:
        """Its standard deviation, N."""


_EVENT_COLUMNS: Final[dict[str, str]] = {
    "tube clear": "tube_clear_s",
    "guide exit": "guide_exit_s",
    "canopy open": "canopy_open_s",
    "water out": "water_out_s",
    "air out": "burnout_s",
    "release": "release_time_s",
    "apogee": "apogee_time_s",
    "touchdown": "touchdown_vehicle_time_s",
}

_BOOST_EVENTS: Final = ("liftoff", "tube clear", "guide exit", "water out", "air out")

# lane of Band -> words, kind of unit, height in the whole strip and in the close-up, px
_LANES: Final[dict[str, tuple[str, str, float, float]]] = {
    "height_m": ("height", "height", 210.0, 64.0),
    "climb_m_s": ("climb", "speed", 110.0, 84.0),
    "acceleration_m_s2": ("acceleration", "acceleration", 84.0, 110.0),
    "gauge_pressure_pa": ("pressure", "gauge_pressure", 84.0, 110.0),
}


def _column(track: Track, lane: str) -> Floats:
    columns = {
        "height_m": track.position[:, 2],
        "climb_m_s": track.velocity[:, 2],
        "acceleration_m_s2": track.acceleration[:, 2],
        "gauge_pressure_pa": track.gauge_pressure,
    }
    return columns[lane]


def flight_events(flight: Flight, ensemble: Ensemble | None) -> list[Event]:
    """Return the events of all bodies, with when each is expected where an ensemble says so."""
    events = []
    for body, track in flight.tracks.items():
        for words, time in track.events.items():
            if body != "vehicle" and words != "touchdown":
                continue
            late = f"touchdown_{body}_time_s" if words == "touchdown" else _EVENT_COLUMNS.get(words)
            early, after = _expected(ensemble, late)
            own = body != "vehicle"
            events.append(
                Event(
                    f"{body} down" if words == "touchdown" else words,
                    float(time),
                    early,
                    after,
                    role="payload" if own or words == "release" else "ink",
                )
            )
    return events


def _expected(ensemble: Ensemble | None, column: str | None) -> tuple[float | None, float | None]:
    if ensemble is None or column is None:
        return None, None
    known = ensemble.statistics.get(column)
    if not known or not (math.isfinite(known["p05"]) and math.isfinite(known["p95"])):
        return None, None
    return known["p05"], known["p95"]


def _boost_end(flight: Flight) -> float:
    track = flight.tracks["vehicle"]
    times = [track.events[e] for e in _BOOST_EVENTS if e in track.events]
    last = max((t for t in times if math.isfinite(t)), default=0.0)
    return 1.35 * last if last > 0 else 0.5


def _last_time(flight: Flight, ensemble: Ensemble | None) -> float:
    ends = [float(t.time[-1]) for t in flight.tracks.values() if t.time.size]
    if ensemble is not None and ensemble.band.time.size:
        ends.append(float(ensemble.band.time[-1]))
    return max(ends, default=0.0)


def whole_strip(flight: Flight, ensemble: Ensemble | None, system: str) -> Strip:
    """Return the strip of the whole flight, liftoff to the last touchdown."""
    boost = _boost_end(flight)
    end = _last_time(flight, ensemble)
    crowded = [e for e in _BOOST_EVENTS if e != "liftoff"] if end > 4 * boost else []
    events = [e for e in flight_events(flight, ensemble) if e.words not in crowded]
    lanes = [
        # The first lane names the lines; they keep their colours in the lanes below.
        _lane(name, flight, ensemble, system, whole=True, names=name == "height_m")
        for name in ("height_m", "climb_m_s", "acceleration_m_s2")
    ]
    return Strip(
        title="The whole flight",
        description=_whole_words(flight, ensemble, system),
        start=0.0,
        end=end,
        lanes=tuple(lanes),
        events=tuple(events),
        close_up=(0.0, boost) if crowded else None,
    )


def _whole_words(flight: Flight, ensemble: Ensemble | None, system: str) -> str:
    top = amount(flight.figures.get("apogee_m"), "height", system)
    late = amount(flight.figures.get("apogee_time_s"), "time", system)
    band = " Bands hold 5 to 95 % of the ensemble." if ensemble else ""
    return f"Height, climb and acceleration over time. Greatest height {top} at {late}.{band}"


def boost_strip(flight: Flight, ensemble: Ensemble | None, system: str) -> Strip:
    """Return the close-up of the boost: pressure, acceleration, climb and height."""
    order = ("gauge_pressure_pa", "acceleration_m_s2", "climb_m_s", "height_m")
    end = _boost_end(flight)
    lanes = [
        _lane(name, flight, ensemble, system, whole=False, names=name == order[0]) for name in order
    ]
    events = [e for e in flight_events(flight, ensemble) if e.words in _BOOST_EVENTS]
    return Strip(
        title="The boost, shown larger",
        description=(
            "Pressure, acceleration, climb and height over the first "
            f"{amount(end, 'time', system, 2)}."
        ),
        start=0.0,
        end=end,
        lanes=tuple(lanes),
        events=tuple(events),
    )


def _lane(
    name: str,
    flight: Flight,
    ensemble: Ensemble | None,
    system: str,
    *,
    whole: bool,
    names: bool,
) -> Lane:
    words, kind, tall, close = _LANES[name]
    unit = unit_of(kind, system)
    vehicle = flight.tracks["vehicle"]
    curves, spreads = [], []
    if ensemble is not None and name in ensemble.band.lanes:
        band = ensemble.band
        shown = unit.of(1.0) * band.lanes[name]  # every lane's unit starts at zero
        spreads.append(Spread("vehicle" if names else "", band.time, shown))
    label = ("as written" if ensemble is not None else "vehicle") if names else ""
    curves.append(
        Curve(label, vehicle.time, _column(vehicle, name) / unit.size, Role.RECORD,
              faint=ensemble is not None)
    )  # fmt: skip
    if whole and name == "height_m":
        _add_payload(flight, ensemble, unit.size, curves, spreads)
    return Lane(
        name=words,
        unit=unit.symbol,
        curves=tuple(curves),
        spreads=tuple(spreads),
        notes=tuple(_notes(name, flight, ensemble, system, whole=whole)),
        height=tall if whole else close,
    )


def _add_payload(
    flight: Flight,
    ensemble: Ensemble | None,
    size: float,
    curves: list[Curve],
    spreads: list[Spread],
) -> None:
    track = flight.tracks.get("payload")
    if track is None or "release" not in flight.tracks["vehicle"].events:
        return
    released = flight.tracks["vehicle"].events["release"]
    if ensemble is not None and "payload_height_m" in ensemble.band.lanes:
        band = _from(ensemble.band, released)
        spreads.append(
            Spread("payload", band.time, band.lanes["payload_height_m"] / size, Role.PAYLOAD)
        )
        return
    rows = track.time >= released
    curves.append(Curve("payload", track.time[rows], track.position[rows, 2] / size, Role.PAYLOAD))


def _from(band: Band, start: float) -> Band:
    rows = band.time >= start
    return Band(band.time[rows], {"payload_height_m": band.lanes["payload_height_m"][rows]})


def _notes(
    name: str, flight: Flight, ensemble: Ensemble | None, system: str, *, whole: bool
) -> list[Note]:
    track = flight.tracks["vehicle"]
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
        words = amount(peak, kind, system) + _range(ensemble, key, kind, system)
        notes.append(Note(float(track.time[top]), peak / unit.size, words))
    if whole and name == "climb_m_s":
        notes += _release_note(flight, system)
    return notes


def _range(ensemble: Ensemble | None, key: str | None, kind: str, system: str) -> str:
    known = ensemble.statistics.get(key) if ensemble and key else None
    if not known or not math.isfinite(known["p05"]):
        return ""
    return f" ({span(known['p05'], known['p95'], kind, system)})"


def _release_note(flight: Flight, system: str) -> list[Note]:
    time = flight.figures.get("release_time_s")
    climb = flight.figures.get("release_climb_m_s")
    if time is None or climb is None:
        return []
    unit = unit_of("speed", system)
    return [Note(time, unit.of(climb), f"lets go at {amount(climb, 'speed', system)}", "payload")]


def firing_strip(
    firing: Firing,
    records: Sequence[ThrustRecord],
    system: str,
    band: Band | None = None,
) -> Strip:
    """Return the strip of a static firing, measured records in ink over the prediction."""
    pressure, warmth = unit_of("gauge_pressure", system), unit_of("temperature", system)
    force, mass = unit_of("force", system), unit_of("mass", system)
    water = Curve("", firing.time, firing.water_mass / mass.size, Role.FORECAST)
    gauge = Curve("", firing.time, firing.gauge_pressure / pressure.size, Role.FORECAST)
    kelvin = (firing.gas_temperature - warmth.zero) / warmth.size
    lanes = (
        _thrust_lane(firing, records, force.size, force.symbol, band),
        Lane("pressure", pressure.symbol, (gauge,), height=84.0),
        Lane("air inside", warmth.symbol,
             (Curve("", firing.time, kelvin, Role.FORECAST),), height=84.0, from_zero=False),
        Lane("water", mass.symbol, (water,), height=70.0),
    )  # fmt: skip
    ends = [float(t[-1]) for t in (firing.time, *(r.time for r in records)) if t.size]
    return Strip(
        title="The firing",
        description="Thrust, pressure, air temperature and water over time, the vehicle held.",
        start=min([0.0, *(float(r.time[0]) for r in records if r.time.size)]),
        end=max(ends, default=0.0),
        lanes=lanes,
        # Nothing lifts off a stand: time zero is where the thrust begins.
        events=tuple(
            Event("start" if words == "liftoff" else words, float(time))
            for words, time in firing.events.items()
        ),
    )


def _thrust_lane(
    firing: Firing, records: Sequence[ThrustRecord], size: float, symbol: str, band: Band | None
) -> Lane:
    spreads = []
    # The table names each record; here they share one word.
    curves = [
        Curve("" if k else "measured", r.time, r.thrust / size, Role.RECORD,
              faint=True, sheer=len(records) > 1)
        for k, r in enumerate(records)
    ]  # fmt: skip
    if band is not None and "thrust_n" in band.lanes:
        spreads.append(Spread("fitted", band.time, band.lanes["thrust_n"] / size))
    else:
        curves.insert(0, Curve("model", firing.time, firing.thrust / size, Role.FORECAST))
    return Lane("thrust", symbol, tuple(curves), tuple(spreads), height=190.0)
