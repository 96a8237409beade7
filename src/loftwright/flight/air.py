"""The air at the pad."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from loftwright.flight.flat import each
from loftwright.physics.atmosphere import R_AIR, air_pressure_at, dynamic_viscosity
from loftwright.physics.gas import R_VAPOUR, saturation_vapour_pressure

__all__ = ["PadAir", "air_at_pad"]

SEA_LEVEL_PRESSURE = 101325.0  # Pa, U.S. Standard Atmosphere 1976
SEA_LEVEL_TEMPERATURE = 288.15  # K


class PadAir(NamedTuple):
    """Air at the height of the pad."""

    pressure: float  # Pa, absolute
    temperature: float  # K
    density: float  # kg/m^3, moisture included
    viscosity: float  # Pa s, dynamic


def air_at_pad(values: Mapping[str, float]) -> PadAir:
    """Find the air at the pad: measured pressure, or the standard one at the pad's elevation.

    Density is that of the mixture of dry air and vapour, both perfect gases,
    ``(p - e)/(R_d T) + e/(R_v T)`` with ``e`` = humidity times saturation pressure. Viscosity is
    that of dry air. Numbers may be arrays ``(n,)``.
    """
    temperature = values["site.air.temperature"]
    pressure = values.get("site.air.pressure")
    if pressure is None:
        elevation = values["site.place.elevation"]
        pressure = each(air_pressure_at, elevation, SEA_LEVEL_PRESSURE, SEA_LEVEL_TEMPERATURE)
    vapour = values["site.air.humidity"] * each(saturation_vapour_pressure, temperature)
    density = (pressure - vapour) / (R_AIR * temperature) + vapour / (R_VAPOUR * temperature)
    return PadAir(pressure, temperature, density, each(dynamic_viscosity, temperature))
