"""Forecasts: one flight with the values as written, or many with what is uncertain drawn."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import closing
from pathlib import Path
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from loftwright import __version__
from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight import engine, flights_file, prepare
from loftwright.flight.air import air_at_pad
from loftwright.flight.blocks import (
    TREES,
    Block,
    Recipe,
    bands_of,
    columns_of,
    fly_here,
    recipe_of,
    rows_of,
    tracks_of,
)
from loftwright.flight.carrying import carrying, veers
from loftwright.flight.citations import flight_laws
from loftwright.flight.cluster import fly_on_cluster
from loftwright.flight.figures import flight_figures, touchdowns
from loftwright.flight.glider import has_wing
from loftwright.flight.kernel import slots
from loftwright.flight.obstacles import obstacles
from loftwright.flight.outcomes import sentence
from loftwright.flight.results import Carrying, Ensemble, Flight, GliderModes, Provenance
from loftwright.flight.retainers import retainers
from loftwright.flight.statistics import DRIVER_FLIGHTS, drivers, statistics
from loftwright.flight.store import Store, head
from loftwright.flight.trim import glider_modes

__all__ = ["MODEL", "forecast", "provenance"]

Floats = NDArray[np.float64]

MODEL = f"loftwright {__version__}, flight 1"

FINE = (1e-3, 1e-2)  # s between samples of a single flight, while pushed and after
SINGLE_CAPACITY = 12_000
VEER_FLIGHTS = 256  # of an ensemble that are flown without their payloads as well


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


def _single(
    values: prepare.Values,
    words: prepare.Words,
    shapes: Floats | None,
    tolerance: float,
    made_by: Provenance,
) -> Flight:
    bodies = prepare.prepare(values, words)
    raw = engine.fly_all(
        bodies,
        tolerance=tolerance,
        shapes=shapes,
        recorded=1,
        capacity=SINGLE_CAPACITY,
        intervals=FINE,
    )
    row = columns_of(raw, values)
    climb = carrying(bodies, tolerance)
    return Flight(
        tracks={track.body: track for track in tracks_of(raw, 0)},
        figures=flight_figures(row) | _of_carrying(climb),
        touchdown=touchdowns(row),
        outcome=sentence(raw.figures[0, slots.OUTCOME]),
        provenance=made_by,
        carrying=climb,
        gliders=_gliders(values),
        retainers=retainers(row),
    )


def _of_carrying(found: Carrying | None) -> dict[str, float | None]:
    """Return the figures of what payloads do to the climb, beside those of the flight."""
    if found is None:
        return {}
    return {"carry_trim_deg": found.carry_trim_deg, "veer_m": found.veer_m}


def _gliders(values: prepare.Values) -> dict[str, GliderModes]:
    """Return how each payload with a wing glides when left alone, in the air of the pad."""
    density = air_at_pad(values).density
    return {
        root: glider_modes(values, root, density) for root in PAYLOADS if has_wing(values, root)
    }


def _veers(recipe: Recipe, flights: int) -> Floats:
    """Return the veer of the first flights."""
    number = min(flights, VEER_FLIGHTS)
    bodies, _, _ = rows_of(recipe, 0, number)
    return veers(bodies, number, recipe.tolerance)


def _effect(values: prepare.Values, words: prepare.Words) -> tuple[Any, ...]:
    """Return all that a set of values has an effect on."""
    return (
        *(table for body in prepare.prepare(values, words) for table in body[1:3]),
        prepare.gust_deviation(values),
        values.get("vehicle.canopy.opening_factor"),
        *(value for path, value in values.items() if path.startswith(TREES)),
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
    parquet: Path | None,
    resume: bool,
    cluster: str | None,
) -> Ensemble:
    recipe = recipe_of(campaign, seed, tolerance)
    made_by = provenance(
        campaign,
        tolerance=tolerance,
        laws=flight_laws(recipe.values, recipe.words, ensemble=True),
        seed=seed,
        flights=flights,
    )
    nominal = _single(recipe.values, recipe.words, recipe.shapes, tolerance, made_by)
    figures, draws, over_time = Store(flights), Store(flights), None
    with closing(_blocks(recipe, made_by, flights, parquet, resume, cluster)) as blocks:
        for block in blocks:
            figures.append(block.columns)
            draws.append(block.drawn)
            over_time = block.band or over_time
            if progress is not None:
                progress(block.first + block.flights, flights)
    columns, drawn = figures.columns(), draws.columns()
    first = head(drawn, DRIVER_FLIGHTS)
    aside = _veers(recipe, flights)
    return Ensemble(
        columns=columns,
        drawn=drawn,
        statistics=statistics(columns) | statistics({"veer_m": aside}),
        drivers=drivers(_acting(recipe.values, recipe.words, first), head(columns, DRIVER_FLIGHTS)),
        band=over_time or bands_of(recipe, flights),
        nominal=nominal,
        provenance=made_by,
        retainers=retainers(columns),
        veers=aside,
    )


def _blocks(
    recipe: Recipe,
    made_by: Provenance,
    flights: int,
    parquet: Path | None,
    resume: bool,
    cluster: str | None,
) -> Generator[Block]:
    """Yield every block in order, written to a file on its way where one is asked for."""

    def fly(first: int) -> Generator[Block]:
        if cluster is None:
            return fly_here(recipe, first, flights)
        return fly_on_cluster(cluster, recipe, first, flights)

    if parquet is None:
        return fly(0)
    return flights_file.through(parquet, made_by, fly, resume=resume)


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
    parquet: Path | None = None,
    resume: bool = False,
    cluster: str | None = None,
) -> Ensemble: ...


def forecast(
    campaign: Campaign,
    *,
    flights: int | None = None,
    seed: int = 1,
    tolerance: float = 1e-6,
    progress: engine.Progress | None = None,
    parquet: Path | None = None,
    resume: bool = False,
    cluster: str | None = None,
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
    parquet : Path, optional
        File that takes a row for each flight of an ensemble while they are flown; ended before its
        time, what was flown stands beside it (`flights_file.partial_path`).
    resume : bool
        Go on from the flights that an earlier run left there.
    cluster : str, optional
        Address of a Dask scheduler whose workers fly; the threads of this machine when left out.

    Returns
    -------
    Flight or Ensemble
    """
    if flights is not None:
        return _ensemble(campaign, flights, seed, tolerance, progress, parquet, resume, cluster)
    values, _, words = flatten(campaign)
    laws = flight_laws(values, words, ensemble=False)
    made_by = provenance(campaign, tolerance=tolerance, laws=laws)
    return _single(values, words, obstacles(campaign.site), tolerance, made_by)
