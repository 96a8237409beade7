"""The engine's rows of figures under the names that people and files use."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.engine import Raw
from loftwright.flight.kernel import slots

__all__ = [
    "CARRIED",
    "FIGURES",
    "FREE",
    "STAGE",
    "TOUCHDOWN",
    "columns",
    "flight_figures",
    "prefix_of",
    "touchdowns",
]

Floats = NDArray[np.float64]

# Of the vehicle on the pad.
FIGURES = {
    "apogee_m": slots.APOGEE_HEIGHT,
    "apogee_time_s": slots.APOGEE_TIME,
    "max_speed_m_s": slots.MAX_SPEED,
    "max_acceleration_m_s2": slots.MAX_ACCELERATION,
    "tube_clear_s": slots.TUBE_CLEAR_TIME,
    "guide_exit_s": slots.GUIDE_EXIT_TIME,
    "guide_exit_speed_m_s": slots.GUIDE_EXIT_SPEED,
    "water_out_s": slots.WATER_OUT_TIME,
    "boosters_out_s": slots.BOOSTERS_OUT_TIME,
    "burnout_s": slots.AIR_OUT_TIME,
    "burnout_speed_m_s": slots.BURNOUT_SPEED,
    "burnout_lean_rad": slots.BURNOUT_LEAN,
    "water_left_kg": slots.WATER_LEFT,
    "peak_thrust_n": slots.PEAK_THRUST,
    "impulse_n_s": slots.TOTAL_IMPULSE,
    "canopy_open_s": slots.OPENED_TIME,
    "canopy_open_height_m": slots.OPENED_HEIGHT,
    "canopy_open_speed_m_s": slots.OPENED_SPEED,
    "canopy_load_n": slots.CANOPY_LOAD,
}
# Of everything that is carried, from its carrier's row.
CARRIED = {
    "hold_load_n": slots.HOLD_LOAD,
    "hold_load_time_s": slots.HOLD_LOAD_TIME,
    "hold_use": slots.HOLD_USE,
    "hold_use_time_s": slots.HOLD_USE_TIME,
    "torn_off": slots.TORN,
    "release_time_s": slots.RELEASED_TIME,
    "release_height_m": slots.RELEASED_HEIGHT,
    "release_climb_m_s": slots.RELEASED_CLIMB,
    "release_speed_m_s": slots.RELEASED_SPEED,
    "release_lean_rad": slots.RELEASED_LEAN,
}
# Of a payload that has left.
FREE = {"fin_clearance_m": slots.FIN_CLEARANCE, "body_clearance_m": slots.BODY_CLEARANCE}
# Of a stage that has left.
STAGE = {
    "start_s": slots.STARTED_TIME,
    "start_height_m": slots.STARTED_HEIGHT,
    "apogee_m": slots.APOGEE_HEIGHT,
    "apogee_time_s": slots.APOGEE_TIME,
    "max_speed_m_s": slots.MAX_SPEED,
    "max_acceleration_m_s2": slots.MAX_ACCELERATION,
    "burnout_s": slots.AIR_OUT_TIME,
    "canopy_open_s": slots.OPENED_TIME,
    "canopy_open_speed_m_s": slots.OPENED_SPEED,
}
TOUCHDOWN = {
    "time_s": slots.DOWN_TIME,
    "east_m": slots.DOWN_EAST,
    "north_m": slots.DOWN_NORTH,
    "up_m": slots.DOWN_UP,
    "speed_m_s": slots.DOWN_SPEED,
}
ON_THE_BODY = -0.003  # m; what lay on the skin is not pressed into it further without touching it


def prefix_of(root: str) -> str:
    """Return what begins the names of a carried thing's figures: nothing for the first payload."""
    return "" if root == "payload" else f"{root}_"


def _opening_load(figures: Floats, opening_factor: Floats | float) -> Floats:
    """Largest load of the canopy on its lines: drag while filling times the opening factor."""
    opened = np.isfinite(figures[:, slots.OPENED_TIME]) & (figures[:, slots.CANOPY_LOAD] > 0.0)
    return np.where(opened, figures[:, slots.CANOPY_LOAD] * opening_factor, np.nan)


def _hold(found: dict[str, Floats], prefix: str) -> None:
    """Add what follows from a hold's use: its margin, and whether it tore, 0 where it held."""
    use = found[f"{prefix}hold_use"]
    with np.errstate(divide="ignore"):
        margin = 1.0 / use - 1.0
    torn = found[f"{prefix}torn_off"]
    torn = np.where(np.isnan(torn), 0.0, torn)
    # A hold that gives way has been asked for exactly what it bears.
    margin = np.where(torn > 0.0, 0.0, margin)
    found[f"{prefix}hold_margin"] = np.where(use > KNOWN_USE, margin, np.nan)
    found[f"{prefix}torn_off"] = torn
    del found[f"{prefix}hold_use"]


KNOWN_USE = 1e-6  # below it nobody has said what the hold bears


def _carried(raw: Raw) -> dict[str, Floats]:
    """Figures of what every body carries, by the name of what leaves."""
    found: dict[str, Floats] = {}
    for name, carrier, item in raw.carried:
        prefix = prefix_of(name)
        figures = raw.bodies[carrier]
        for key, slot in CARRIED.items():
            found[prefix + key] = figures[:, slot + item * slots.ITEM_FIGURES]
        _hold(found, prefix)
    return found


def _free(raw: Raw) -> dict[str, Floats]:
    """Figures of what has left, by its name."""
    found: dict[str, Floats] = {}
    for name, figures in raw.bodies.items():
        prefix = prefix_of(name)
        if name.startswith("payload"):
            found |= {prefix + key: figures[:, slot] for key, slot in FREE.items()}
            fins, body = found[f"{prefix}fin_clearance_m"], found[f"{prefix}body_clearance_m"]
            met = (fins <= 0.0) | (body < ON_THE_BODY)
            gone = figures[:, slots.LET_GO_TIME]
            found[f"{prefix}time_aloft_s"] = figures[:, slots.DOWN_TIME] - gone
            left = np.isfinite(gone)
            found[f"{prefix}recontact"] = np.where(left, met.astype(float), np.nan)
        elif name == "upper":
            found |= {prefix + key: figures[:, slot] for key, slot in STAGE.items()}
    return found


def columns(raw: Raw, opening_factor: Floats | float) -> dict[str, Floats]:
    """Return every figure of every flight as a column, and each body's touchdown.

    Energies are kinetic, of the whole body with what is still inside [J]. ``caught`` is the
    number of the shape on the ground that holds a body, from 0, NaN where it lies on the ground.
    """
    found = {name: raw.figures[:, slot] for name, slot in FIGURES.items()}
    found["canopy_load_n"] = _opening_load(raw.figures, opening_factor)
    found |= _carried(raw) | _free(raw)
    for body, figures in raw.bodies.items():
        for key, slot in TOUCHDOWN.items():
            found[f"touchdown_{body}_{key}"] = figures[:, slot]
        energy = 0.5 * figures[:, slots.DOWN_MASS] * figures[:, slots.DOWN_SPEED] ** 2
        found[f"touchdown_{body}_energy_j"] = energy
        found[f"touchdown_{body}_caught"] = figures[:, slots.CAUGHT]
    return found


def flight_figures(row: Mapping[str, Floats], flight: int = 0) -> dict[str, float | None]:
    """Return the figures of one flight; None for what did not happen."""
    names = [name for name in row if not name.startswith("touchdown_") and name != "outcome"]
    values = {name: float(row[name][flight]) for name in names}
    return {name: value if math.isfinite(value) else None for name, value in values.items()}


def touchdowns(row: Mapping[str, Floats], flight: int = 0) -> dict[str, dict[str, float]]:
    """Return where, when and how hard each body came down, for those that did.

    ``caught`` stands there only for a body that something on the ground has caught.
    """
    found: dict[str, dict[str, float]] = {}
    for name, column in row.items():
        if name.startswith("touchdown_"):
            _, body, key = name.split("_", 2)
            value = float(column[flight])
            if math.isfinite(value):
                found.setdefault(body, {})[key] = value
    return {body: ends for body, ends in found.items() if "time_s" in ends}
