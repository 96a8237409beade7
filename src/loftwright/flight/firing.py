"""Static firings: the vehicle held on a stand, nozzle down, and its push over time."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.citations import firing_laws
from loftwright.flight.forecast import provenance
from loftwright.flight.kernel import slots
from loftwright.flight.prepare import Words, prepare
from loftwright.flight.results import Firing, Provenance
from loftwright.flight.tracks import track_of

__all__ = ["fire", "static_firing"]

Floats = NDArray[np.float64]

CAPACITY = 6_000


def _figures(row: Floats, initial_air: float) -> dict[str, float | None]:
    found = {
        "peak_thrust_n": row[slots.PEAK_THRUST],
        "impulse_n_s": row[slots.TOTAL_IMPULSE],
        "water_out_s": row[slots.WATER_OUT_TIME],
        "air_out_s": row[slots.AIR_OUT_TIME],
        "pressure_at_water_out_pa": row[slots.WATER_OUT_PRESSURE],
        "temperature_at_water_out_k": row[slots.WATER_OUT_TEMPERATURE],
        "initial_air_mass_kg": initial_air,
        "water_left_kg": row[slots.WATER_LEFT],
    }
    return {name: float(value) if np.isfinite(value) else None for name, value in found.items()}


def fire(
    values: Mapping[str, float],
    words: Words,
    *,
    tolerance: float = 1e-6,
    interval: float = 5e-4,
    made_by: Provenance | None = None,
) -> Firing:
    """Fire a vehicle described by flat values (see ``documents.flatten``).

    Parameters
    ----------
    values, words : mapping
        Numbers in SI and words by document path.
    tolerance : float
        Relative tolerance of the integrator.
    interval : float
        Seconds between samples.
    """
    bodies = prepare(values, words, held=True)
    raw = engine.fly_all(
        bodies,
        tolerance=tolerance,
        recorded=1,
        capacity=CAPACITY,
        intervals=(interval, interval),
    )
    track = track_of(raw, "vehicle", 0)
    initial_air = float(bodies[0].states[0, slots.GAS // slots.LANES])
    return Firing(
        time=track.time,
        thrust=track.thrust,
        gauge_pressure=track.gauge_pressure,
        gas_temperature=track.gas_temperature,
        water_mass=track.water_mass,
        gas_mass=track.gas_mass,
        events=track.events,
        figures=_figures(raw.figures[0], initial_air),
        provenance=made_by or Provenance({}, ""),
    )


def static_firing(campaign: Campaign, *, tolerance: float = 1e-6) -> Firing:
    """Fire the campaign's vehicle, held on the stand, in the air of its site."""
    values, _, words = flatten(campaign)
    return fire(
        values,
        words,
        tolerance=tolerance,
        made_by=provenance(campaign, tolerance=tolerance, laws=firing_laws()),
    )
