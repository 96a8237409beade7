"""Forecasts: one flight with the values as written, or many with what is uncertain drawn."""

from __future__ import annotations

from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from loftwright import __version__
from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight import engine, prepare
from loftwright.flight.citations import flight_laws
from loftwright.flight.draws import bounds_of, draw
from loftwright.flight.figures import columns, flight_figures, touchdowns
from loftwright.flight.gusts import draw_gusts
from loftwright.flight.kernel import slots
from loftwright.flight.outcomes import sentence
from loftwright.flight.results import Ensemble, Flight, Provenance, Track
from loftwright.flight.statistics import band, drivers, statistics
from loftwright.flight.tracks import payload_track, vehicle_track

__all__ = ["MODEL", "forecast", "provenance"]

Floats = NDArray[np.float64]

MODEL = f"loftwright {__version__}, flight 1"

FINE = (1e-3, 1e-2)  # s between samples of a single flight, while pushed and after
SINGLE_CAPACITY = 12_000
COARSE = (1e-2, 0.1)
BAND_FLIGHTS = 256
BAND_CAPACITY = 600


def provenance(
    campaign: Campaign,
    *,
    tolerance: float,
    laws: tuple[str, ...],
    seed: int | None = None,
    flights: int | None = None,
) -> Provenance:
    """State what makes a result of this campaign: enough to make it again."""
    return Provenance(
        documents=dict(campaign.hashes),
        model=MODEL,
        seed=seed,
        flights=flights,
        relative_tolerance=tolerance,
        laws=laws,
    )


def _payload_mass(values: prepare.Values) -> Any:
    return values.get("payload.mass")


def _columns(raw: engine.Raw, values: prepare.Values) -> dict[str, Floats]:
    factor = values.get("vehicle.canopy.opening_factor", 1.0)
    return columns(raw.figures, _payload_mass(values), factor)


def _tracks(raw: engine.Raw, flight: int) -> list[Track]:
    vehicle, payload = raw.tapes[flight]
    found = [vehicle_track(vehicle, raw.figures[flight])]
    if len(payload):
        found.append(payload_track(payload, raw.figures[flight]))
    return found


def _single(
    values: prepare.Values, words: prepare.Words, tolerance: float, made_by: Provenance
) -> Flight:
    parameters, states = prepare.prepare(values, words)
    raw = engine.fly_all(
        parameters,
        states,
        tolerance=tolerance,
        recorded=1,
        capacity=SINGLE_CAPACITY,
        intervals=FINE,
    )
    row = _columns(raw, values)
    return Flight(
        tracks={track.body: track for track in _tracks(raw, 0)},
        figures=flight_figures(row),
        touchdown=touchdowns(row),
        outcome=sentence(raw.figures[0, slots.OUTCOME]),
        provenance=made_by,
    )


def _effect(values: prepare.Values, words: prepare.Words) -> tuple[Any, ...]:
    """Return all that a set of values has an effect on."""
    return (
        *prepare.prepare(values, words),
        prepare.gust_deviation(values),
        values.get("vehicle.canopy.opening_factor"),
    )


def _acting(
    values: dict[str, float], words: prepare.Words, drawn: dict[str, Floats]
) -> dict[str, Floats]:
    """Leave out what was drawn but moves nothing in a flight, such as the wall of a vessel."""
    plain = _effect(values, words)

    def acts(path: str) -> bool:
        other = _effect({**values, path: float(drawn[path][0])}, words)
        return not all(map(np.array_equal, plain, other))

    return {path: draws for path, draws in drawn.items() if acts(path)}


def _ensemble(
    campaign: Campaign,
    flights: int,
    seed: int,
    tolerance: float,
    progress: engine.Progress | None,
) -> Ensemble:
    values, sds, words = flatten(campaign)
    made_by = provenance(
        campaign,
        tolerance=tolerance,
        laws=flight_laws(words, ensemble=True),
        seed=seed,
        flights=flights,
    )
    drawn = draw(values, sds, bounds_of(campaign), seed, flights)
    varied: prepare.Values = {**values, **drawn}
    gusts = draw_gusts(
        seed,
        flights,
        prepare.gust_deviation(varied),
        prepare.carrying_wind(varied),
        varied["site.wind.from"],
    )
    parameters, states = prepare.prepare(varied, words, flights=flights, gusts=gusts)
    recorded = min(flights, BAND_FLIGHTS)
    raw = engine.fly_all(
        parameters,
        states,
        tolerance=tolerance,
        recorded=recorded,
        capacity=BAND_CAPACITY,
        intervals=COARSE,
        progress=progress,
    )
    found = _columns(raw, varied)
    return Ensemble(
        columns={**found, "outcome": raw.figures[:, slots.OUTCOME]},
        drawn=drawn,
        statistics=statistics(found),
        drivers=drivers(_acting(values, words, drawn), found),
        band=band([_tracks(raw, i) for i in range(recorded)]),
        nominal=_single(values, words, tolerance, made_by),
        provenance=made_by,
    )


@overload
def forecast(
    campaign: Campaign,
    *,
    flights: None = None,
    seed: int = 1,
    tolerance: float = 1e-6,
    progress: engine.Progress | None = None,
) -> Flight: ...


@overload
def forecast(
    campaign: Campaign,
    *,
    flights: int,
    seed: int = 1,
    tolerance: float = 1e-6,
    progress: engine.Progress | None = None,
) -> Ensemble: ...


def forecast(
    campaign: Campaign,
    *,
    flights: int | None = None,
    seed: int = 1,
    tolerance: float = 1e-6,
    progress: engine.Progress | None = None,
) -> Flight | Ensemble:
    """Fly a campaign from the pad to the ground.

    Parameters
    ----------
    campaign : Campaign
        As ``documents.read_campaign`` gives it.
    flights : int, optional
        Number of flights with uncertain fields, wind and gusts drawn; one flight with the values
        as written, in the mean wind, when left out.
    seed : int
        Of the draws. The same seed gives the same flights on any number of threads, and the
        first flights of a longer ensemble are those of a shorter one.
    tolerance : float
        Relative tolerance of the integrator.
    progress : callable, optional
        Called with flights done and their total.

    Returns
    -------
    Flight or Ensemble
    """
    if flights is not None:
        return _ensemble(campaign, flights, seed, tolerance, progress)
    values, _, words = flatten(campaign)
    laws = flight_laws(words, ensemble=False)
    return _single(values, words, tolerance, provenance(campaign, tolerance=tolerance, laws=laws))
