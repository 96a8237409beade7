"""The air at the pad."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from loftwright.flight.flat import each, larger, smaller
from loftwright.physics.atmosphere import dynamic_viscosity
from loftwright.physics.standard_atmosphere import moist_air_density, standard_pressure

__all__ = ["PadAir", "air_at_pad"]


class PadAir(NamedTuple):
    """Air at the height of the pad."""

    pressure: float  # Pa, absolute
    temperature: float  # K
    density: float  # kg/m^3, moisture included
    viscosity: float  # Pa s, dynamic


def air_at_pad(values: Mapping[str, float]) -> PadAir:
    """Find the air at the pad: measured pressure, or the standard one at the pad's elevation.

    Numbers may be arrays ``(n,)``. A humidity drawn beyond dry or saturated counts as that.
    """
    temperature = values["site.air.temperature"]
    pressure = values.get("site.air.pressure")
    if pressure is None:
        pressure = each(standard_pressure, values["site.place.elevation"])
    humidity = larger(0.0, smaller(1.0, values["site.air.humidity"]))
    density = each(moist_air_density, pressure, temperature, humidity)
    return PadAir(pressure, temperature, density, each(dynamic_viscosity, temperature))
