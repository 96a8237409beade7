"""The events of a flight on the rail, in words, with when each is expected."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

from loftwright.documents.campaign import PAYLOADS
from loftwright.flight.figures import prefix_of
from loftwright.flight.results import Ensemble, Flight
from loftwright.report.bodies import role_of, root_of
from loftwright.report.strip_model import Event

__all__ = ["flight_events"]

_COLUMNS: Final[dict[str, str]] = {
    "tube clear": "tube_clear_s",
    "guide exit": "guide_exit_s",
    "canopy open": "canopy_open_s",
    "water out": "water_out_s",
    "boosters out": "boosters_out_s",
    "air out": "burnout_s",
    "release": "release_time_s",
    "apogee": "apogee_time_s",
}
_OF = "release of "

Names = Mapping[str, str]


def flight_events(
    flight: Flight, ensemble: Ensemble | None, names: Names | None = None
) -> list[Event]:
    """Return the events of all bodies, with when each is expected where an ensemble says so.

    ``names`` holds what bodies are called; each is called by its own word where it is left out.
    """
    known = names or {}
    events = []
    for body in flight.tracks:
        for words, time, column, role in _of_body(flight, body, known):
            early, late = _expected(ensemble, column)
            events.append(Event(words, time, early, late, role=role))
    return events


def _of_body(
    flight: Flight, body: str, names: Names
) -> Iterator[tuple[str, float, str | None, str]]:
    """Yield words, time, column and colour of each event of a body that is worth telling."""
    own = names.get(body, body)
    for event, at in flight.tracks[body].events.items():
        time = float(at)
        if event == "touchdown":
            role = "payload" if role_of(body) == "payload" else "ink"
            yield f"{own} down", time, f"touchdown_{body}_time_s", role
        elif event.startswith(_OF) or (event == "release" and body == "vehicle"):
            root = event.removeprefix(_OF) if event.startswith(_OF) else "payload"
            role = "payload" if root in PAYLOADS else "ink"
            words = _leaving(flight, root, names)
            yield words, time, f"{prefix_of(root)}release_time_s", role
        elif body == "vehicle":
            yield event, time, _COLUMNS.get(event), "ink"
        elif root_of(body) == "upper" and event in ("start", "apogee"):
            word = "fires" if event == "start" else "tops out"
            column = "upper_start_s" if event == "start" else "upper_apogee_time_s"
            yield f"{own} {word}", time, column, "ink"


def _leaving(flight: Flight, root: str, names: Names) -> str:
    """Say how something leaves: let go as meant, or torn off."""
    name = names.get(root, root)
    torn = bool(flight.figures.get(f"{prefix_of(root)}torn_off"))
    if root not in PAYLOADS:
        return f"{name} {'part' if root == 'boosters' else 'parts'}"
    if name == "payload":
        return "torn off" if torn else "release"
    return f"{name} {'torn off' if torn else 'let go'}"


def _expected(ensemble: Ensemble | None, column: str | None) -> tuple[float | None, float | None]:
    if ensemble is None or column is None:
        return None, None
    known = ensemble.statistics.get(column)
    if not known or not (math.isfinite(known["p05"]) and math.isfinite(known["p95"])):
        return None, None
    return known["p05"], known["p95"]
