"""The air, the wind and its gusts as rows of the kernel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from loftwright.flight.air import PadAir
from loftwright.flight.gusts import LEVEL, REFERENCE_HEIGHT, WAVES, Gusts
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["carrying_wind", "gust_deviation", "gust_waves", "surroundings", "wind_scale"]

Values = Mapping[str, Any]
Row = dict[str, Any]

PEAK_FACTOR = 3.0  # a reported gust stands this many deviations above the mean (common practice)


def wind_scale(values: Values) -> Any:
    """Wind speed per unit of ln(height over roughness), friction velocity over 0.4 [m/s]."""
    height, roughness = values["site.wind.at_height"], values["site.wind.roughness"]
    return values["site.wind.speed"] / np.maximum(np.log(height / roughness), 1.0)


def carrying_wind(values: Values) -> Any:
    """Mean wind where gusts are carried along, at their reference height [m/s]."""
    growth = np.log(REFERENCE_HEIGHT / values["site.wind.roughness"])
    return wind_scale(values) * np.maximum(growth, 1.0)


def gust_deviation(values: Values) -> Any:
    """Standard deviation of the wind about its mean [m/s].

    A third of what the reported gust stands above the mean; without a report 2.5 friction
    velocities, the neutral surface layer (Panofsky and Dutton, Atmospheric Turbulence, 1984,
    table 7.1, 2.4, from memory), which equals ``wind_scale``.
    """
    if "site.wind.gust" in values:
        above = values["site.wind.gust"] - values["site.wind.speed"]
        return np.maximum(above, 0.0) / PEAK_FACTOR
    return wind_scale(values)


def surroundings(values: Values, air: PadAir) -> Row:
    """The air at the pad and the mean wind."""
    scale = wind_scale(values)
    coming_from = values["site.wind.from"]
    return {
        "GRAVITY": GRAVITY,
        "PAD_PRESSURE": air.pressure,
        "PAD_TEMPERATURE": air.temperature,
        "PAD_DENSITY": air.density,
        "VISCOSITY": air.viscosity,
        "WIND_EAST": -scale * np.sin(coming_from),
        "WIND_NORTH": -scale * np.cos(coming_from),
        "ROUGHNESS": values["site.wind.roughness"],
    }


def gust_waves(gusts: Gusts | None) -> Row:
    """The waves of the gusts; none in the mean wind."""
    if gusts is None:
        return {}
    row: Row = {"GUST_UPRIGHT": gusts.upright}
    for k in range(WAVES):
        row[f"GUST_{k}_EAST"] = gusts.east[:, k]
        row[f"GUST_{k}_NORTH"] = gusts.north[:, k]
        row[f"GUST_{k}_UP"] = gusts.up[:, k]
        row[f"GUST_{k}_RATE"] = gusts.rate[:, k]
        row[f"GUST_{k}_PHASE"] = gusts.phase[:, k]
    for pair in range(LEVEL // 2):
        row[f"GUST_ALONG_{pair}"] = gusts.along[:, pair]
        row[f"GUST_ACROSS_{pair}"] = gusts.across[:, pair]
    return row
