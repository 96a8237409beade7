"""A forecast that is kept beside a flight, so that it can be scored once the record is there.

``forecast.json`` holds all flights of the ensemble, figure by figure, with what made them, and a
digest of itself: what was written before the flight can be told from what was changed after it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.scoring.kept_flights import (
    DOCUMENTS,
    PROGRAMS,
    Progress,
    fly_kept,
    numerical_errors,
)
from loftwright.debrief.scoring.landing_places import Pad
from loftwright.documents.campaign import Campaign
from loftwright.documents.files import read_regular, write_atomically
from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.forecast import MODEL
from loftwright.rehearsal.plan import TOLERANCE

__all__ = ["EVENTS", "FILE", "SCHEMA", "KeptForecast", "keep_forecast", "read_kept_forecast"]

Floats = NDArray[np.float64]

FILE = "forecast.json"
SCHEMA = "loftwright/kept-forecast/1"
LIMIT = 256 * 1024 * 1024  # bytes
DIGITS = 9  # significant; far finer than any record, and short
PERCENTILES = (5, 25, 50, 75, 95)
CODES = {"outcome"}  # columns that hold no amount
# What a figure of time tells the moment of.
EVENTS = {
    "water out": "water_out_s",
    "release": "release_time_s",
    "apogee": "apogee_time_s",
    "canopy open": "canopy_open_s",
    "touchdown": "touchdown_vehicle_time_s",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptForecast:
    """A forecast as it was kept; SI.

    ``samples`` maps every figure to its value in each flight, ``(flights,)``, NaN where it did not
    come about; those of one flight belong together. ``numerical`` is by how much the integration
    moves a figure. ``band_time`` is (n,), each lane of ``band`` (n, 5), for 5, 25, 50, 75, 95 %.
    ``decided_by`` tells whether programs or the documents decided when things went and opened.
    """

    made: str
    name: str
    model: str
    seed: int
    flights: int
    relative_tolerance: float
    documents: dict[str, str]  # file -> SHA-256
    decided_by: str
    scrubbed: int
    pad: Pad
    samples: dict[str, Floats]
    numerical: dict[str, float]
    band_time: Floats
    band: dict[str, Floats]
    sha256: str  # of all the others, as written

    def happened(self, figure: str) -> Floats:
        """Return a figure in the flights in which it came about; empty where in none."""
        column = self.samples.get(figure, np.zeros(0))
        return column[np.isfinite(column)]

    def chance(self, figure: str) -> float:
        """Return the share of flights in which a figure came about."""
        return len(self.happened(figure)) / self.flights

    def events(self) -> dict[str, tuple[float, float, float]]:
        """Return 5, 50 and 95 % of the moments [s] that come about in half of the flights."""
        found = {"liftoff": (0.0, 0.0, 0.0)}
        for kind, figure in EVENTS.items():
            if self.chance(figure) >= 0.5:
                low, middle, high = np.percentile(self.happened(figure), (5.0, 50.0, 95.0))
                found[kind] = (float(low), float(middle), float(high))
        return found


def keep_forecast(
    campaign: Campaign,
    folder: Path,
    *,
    seed: int = 1,
    flights: int = 400,
    made: str,
    progress: Progress | None = None,
    replace: bool = False,
) -> Path:
    """Fly a campaign and keep all that is needed to score it later in ``folder/forecast.json``.

    Parameters
    ----------
    campaign : Campaign
        As ``documents.read_campaign`` gives it.
    folder : Path
        Of the flight; made where it is not there.
    seed, flights : int
        Of the ensemble.
    made : str
        When, ISO 8601 with the time of day.
    progress : callable, optional
        Called with flights done and their total.
    replace : bool
        Whether a forecast that is kept there already may go; else it stands, and the call fails
        before anything is flown.

    Returns
    -------
    Path
        The file, written whole or not at all.

    Raises
    ------
    ProblemError
        Where one is kept already, and where it cannot be written.
    """
    path = folder / FILE
    if path.exists() and not replace:
        raise _refused(
            path,
            "forecast-kept-already",
            "a forecast is kept for this flight already",
            "keep it: what was said before the flight counts; or say that it may go",
        )
    body = _body(campaign, seed, flights, made, progress)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        message = f"the folder of the flight cannot be made: {error.strerror or error}"
        mend = "see whether the campaign may be written to and has room"
        raise _refused(folder, "file-not-written", message, mend) from error
    write_atomically(path, json.dumps({**body, "sha256": _digest(body)}, allow_nan=False) + "\n")
    return path


def _body(
    campaign: Campaign, seed: int, flights: int, made: str, progress: Progress | None
) -> dict[str, Any]:
    """Fly, and return what the file says but for its digest."""
    flown = fly_kept(campaign, seed, flights, progress)
    place = campaign.site.place
    return {
        "schema": SCHEMA,
        "made": made,
        "name": campaign.head.name,
        "model": MODEL,
        "seed": seed,
        "flights": flights,
        "relative_tolerance": TOLERANCE,
        "documents_sha256": dict(sorted(campaign.hashes.items())),
        "decided_by": flown.decided_by,
        "scrubbed": flown.scrubbed,
        "pad": {
            "latitude_rad": place.latitude.value,
            "longitude_rad": place.longitude.value,
            "elevation_m": place.elevation.value,
        },
        "band": {
            "percentiles": list(PERCENTILES),
            "time_s": _numbers(flown.band.time),
            "lanes": {
                name: [_numbers(row) for row in lane] for name, lane in flown.band.lanes.items()
            },
        },
        "numerical_error": {
            name: _number(error) for name, error in sorted(numerical_errors(campaign).items())
        },
        "samples": {
            name: _numbers(column)
            for name, column in sorted(flown.columns.items())
            if name not in CODES
        },
    }


def _numbers(column: Floats) -> list[float | None]:
    return [_number(value) for value in column.tolist()]


def _number(value: float) -> float | None:
    return float(f"{value:.{DIGITS}g}") if isfinite(value) else None


def _digest(body: Mapping[str, Any]) -> str:
    """Return the SHA-256 of what a kept forecast says, however it is laid out."""
    canonical = json.dumps(body, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(canonical.encode("utf-8")).hexdigest()


def read_kept_forecast(path: Path) -> KeptForecast:
    """Read a kept forecast, seeing that it is whole and as it was written.

    Raises
    ------
    ProblemError
        Where it cannot be read, is no kept forecast, of another version, or was changed.
    """
    body = _read(path)
    stated = body.pop("sha256", None)
    try:
        found = _digest(body)
    except (ValueError, RecursionError):  # a number beyond all bounds
        raise _damaged(path, "it holds numbers that nobody can have written") from None
    if stated != found:
        raise _refused(
            path,
            "forecast-changed",
            "the forecast is not as it was written: its digest does not fit",
            "take it back from a copy; a forecast that was changed cannot be scored",
        )
    try:
        return _built(body, str(stated))
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError) as error:
        raise _damaged(
            path, f"something is missing or is not what it should be ({error})"
        ) from None


def _read(path: Path) -> dict[str, Any]:
    try:
        body = json.loads(read_regular(path, LIMIT), parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise _damaged(path, "it is not JSON, or ends in the middle") from None
    if not isinstance(body, dict) or not isinstance(body.get("schema"), str):
        raise _damaged(path, "it says nowhere that it is a kept forecast")
    if body["schema"] != SCHEMA:
        raise _refused(
            path,
            "forecast-version",
            f"the file is of another kind or version: {body['schema'][:60]}",
            f"this Loftwright reads {SCHEMA}",
        )
    return body


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number of JSON")


def _built(body: Mapping[str, Any], digest: str) -> KeptForecast:
    flights = int(body["flights"])
    samples = {str(name): _column(values) for name, values in body["samples"].items()}
    if any(len(column) != flights for column in samples.values()):
        raise ValueError("columns of different lengths")
    if body["decided_by"] not in (DOCUMENTS, PROGRAMS):
        raise ValueError("decided_by")
    time = _column(body["band"]["time_s"])
    lanes = {
        str(name): np.array([_column(row) for row in rows]).reshape(len(time), len(PERCENTILES))
        for name, rows in body["band"]["lanes"].items()
    }
    pad = body["pad"]
    return KeptForecast(
        made=str(body["made"]),
        name=str(body["name"]),
        model=str(body["model"]),
        seed=int(body["seed"]),
        flights=flights,
        relative_tolerance=float(body["relative_tolerance"]),
        documents={str(file): str(sha) for file, sha in body["documents_sha256"].items()},
        decided_by=str(body["decided_by"]),
        scrubbed=int(body["scrubbed"]),
        pad=Pad(*(float(pad[key]) for key in ("latitude_rad", "longitude_rad", "elevation_m"))),
        samples=samples,
        numerical={
            str(name): float(error)
            for name, error in body["numerical_error"].items()
            if error is not None
        },
        band_time=time,
        band=lanes,
        sha256=digest,
    )


def _column(values: list[float | None]) -> Floats:
    return np.array([np.nan if value is None else float(value) for value in values])


def _damaged(path: Path, reason: str) -> ProblemError:
    mend = "take it back from a copy; without one this flight has no forecast to score"
    message = f"this is no kept forecast, or a damaged one: {reason}"
    return _refused(path, "forecast-damaged", message, mend)


def _refused(path: Path, code: str, message: str, mend: str) -> ProblemError:
    return ProblemError([Problem(code, message, Where(file=str(path)), mend)])
