"""What a forecast expects of a flight, to hold a record against."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.debrief.results import Estimate

__all__ = ["Expected"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What to expect, each with its 90 % interval; None for what nobody forecast.

    None of it shapes the reconstruction: a record is held against it afterwards.
    """

    apogee_m: Estimate | None = None
    apogee_time_s: Estimate | None = None
    max_climb_m_s: Estimate | None = None
    descent_rate_m_s: Estimate | None = None
    free_energy_j: float | None = None  # most that the gas can give, isothermally
    mass_kg: float | None = None  # of the vehicle without water
