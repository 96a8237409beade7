"""The engine's rows of figures under the names that people and files use."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel import slots

__all__ = ["FIGURES", "TOUCHDOWN", "columns", "flight_figures", "touchdowns"]

Floats = NDArray[np.float64]

FIGURES = {
    "apogee_m": slots.APOGEE_HEIGHT,
    "apogee_time_s": slots.APOGEE_TIME,
    "max_speed_m_s": slots.MAX_SPEED,
    "max_acceleration_m_s2": slots.MAX_ACCELERATION,
    "tube_clear_s": slots.TUBE_CLEAR_TIME,
    "guide_exit_s": slots.GUIDE_EXIT_TIME,
    "guide_exit_speed_m_s": slots.GUIDE_EXIT_SPEED,
    "water_out_s": slots.WATER_OUT_TIME,
    "burnout_s": slots.AIR_OUT_TIME,
    "burnout_speed_m_s": slots.BURNOUT_SPEED,
    "burnout_lean_rad": slots.BURNOUT_LEAN,
    "water_left_kg": slots.WATER_LEFT,
    "peak_thrust_n": slots.PEAK_THRUST,
    "impulse_n_s": slots.TOTAL_IMPULSE,
    "hold_load_n": slots.HOLD_LOAD,
    "release_time_s": slots.RELEASED_TIME,
    "release_height_m": slots.RELEASED_HEIGHT,
    "release_climb_m_s": slots.RELEASED_CLIMB,
    "release_speed_m_s": slots.RELEASED_SPEED,
    "canopy_open_s": slots.OPENED_TIME,
    "canopy_open_height_m": slots.OPENED_HEIGHT,
    "canopy_open_speed_m_s": slots.OPENED_SPEED,
    "canopy_load_n": slots.CANOPY_LOAD,
}
TOUCHDOWN = ("time_s", "east_m", "north_m", "speed_m_s", "energy_j")
_DOWN = {
    "vehicle": slots.VEHICLE_DOWN_TIME,
    "payload": slots.PAYLOAD_DOWN_TIME,
}
_SPEED_AFTER_TIME = 3  # columns: time, east, north, speed


def _opening_load(figures: Floats, opening_factor: Floats | float) -> Floats:
    """Largest load of the canopy on its lines: drag while filling times the opening factor."""
    opened = np.isfinite(figures[:, slots.OPENED_TIME]) & (figures[:, slots.CANOPY_LOAD] > 0.0)
    return np.where(opened, figures[:, slots.CANOPY_LOAD] * opening_factor, np.nan)


def columns(
    figures: Floats,
    payload_mass: Floats | float | None,
    opening_factor: Floats | float,
) -> dict[str, Floats]:
    """Return every figure of every flight as a column, and each body's touchdown.

    Energies are kinetic, of the whole body with what is still inside [J].
    """
    found = {name: figures[:, slot] for name, slot in FIGURES.items()}
    if payload_mass is None:
        found["hold_load_n"] = np.full(len(figures), np.nan)
    found["canopy_load_n"] = _opening_load(figures, opening_factor)
    masses = {"vehicle": figures[:, slots.VEHICLE_DOWN_MASS], "payload": payload_mass}
    for body, mass in masses.items():
        if mass is None:
            continue
        first = _DOWN[body]
        for offset, key in enumerate(TOUCHDOWN[:4]):
            found[f"touchdown_{body}_{key}"] = figures[:, first + offset]
        speed = figures[:, first + _SPEED_AFTER_TIME]
        found[f"touchdown_{body}_energy_j"] = 0.5 * mass * speed**2
    return found


def flight_figures(row: dict[str, Floats], flight: int = 0) -> dict[str, float | None]:
    """Return the figures of one flight; None for what did not happen."""
    values = {name: float(row[name][flight]) for name in FIGURES}
    return {name: value if math.isfinite(value) else None for name, value in values.items()}


def touchdowns(row: dict[str, Floats], flight: int = 0) -> dict[str, dict[str, float]]:
    """Return where, when and how hard each body came down, for those that did."""
    found: dict[str, dict[str, float]] = {}
    for body in _DOWN:
        if f"touchdown_{body}_time_s" not in row:
            continue
        ends = {key: float(row[f"touchdown_{body}_{key}"][flight]) for key in TOUCHDOWN}
        if math.isfinite(ends["time_s"]):
            found[body] = ends
    return found
