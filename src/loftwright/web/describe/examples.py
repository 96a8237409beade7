"""Examples and units beside a field, in the units that the person thinks in."""

from __future__ import annotations

import tomllib

from loftwright.units import DIMENSIONS, format_quantity
from loftwright.units.parse import read_quantity

__all__ = ["example_of", "named_units"]

MOST = 6  # units that are named
# What somebody who thinks in feet, psi and grams would write, where that differs; the first first.
_US = {
    "length": ("in", "ft"),
    "area": ("in^2", "ft^2"),
    "volume": ("L", "mL", "in^3"),
    "mass": ("g", "lb", "oz"),
    "speed": ("ft/s", "mph"),
    "force": ("lbf",),
    "gauge_pressure": ("psi",),
    "absolute_pressure": ("inHg", "psia", "hPa"),
    "temperature": ("degF",),
    "energy": ("ft lbf",),
}
FOOT = 0.3048  # m, exactly (NIST SP 811, B.8)
LONG = 6.0 * FOOT  # of this and more one writes feet rather than inches
# Units that are read as well, but seldom written by hand.
_SELDOM = (
    "km um yd mi m^3 l dL dl cL cl ml cc mm^3 mg MPa mbar atm psig barg psia bara mN kN kgf us h "
    "cm/s mm/s in/s kt rad mrad mJ kJ mWh kW kHz MHz kV kohm Mohm uA g/mL g/L"
)


def named_units(dimension: str | None, system: str) -> str:
    """Return the units that are named beside a field, those of ``system`` first."""
    if not dimension:
        return ""
    known = DIMENSIONS[dimension].units
    plain = [each for each in known if each and each.isascii() and "*" not in each]
    first = [each for each in _first(dimension, system) if each in known]
    seldom = _SELDOM.split(" ")
    usual = [each for each in plain if each not in seldom]
    return ", ".join(list(dict.fromkeys((*first, *usual)))[:MOST])


def example_of(example: str, dimension: str | None, system: str) -> str:
    """Return the example of a field as somebody would write it who thinks in ``system``."""
    if example.startswith("["):
        return "; ".join(tomllib.loads(f"corners = {example}")["corners"])
    if not dimension or not _first(dimension, system):
        return example
    found, written = read_quantity(example, dimension)
    own = _first(dimension, system)
    if written in own or found.value == 0.0:
        return example
    unit = "ft" if dimension == "length" and abs(found.value) >= LONG else own[0]
    said = format_quantity(found.value, dimension, sd=found.sd, digits=3, unit=unit)
    value, sign, spread = said.number.partition(" ± ")
    return f"{value} {unit} ± {spread} {unit}" if sign else str(said)


def _first(dimension: str, system: str) -> tuple[str, ...]:
    return _US.get(dimension, ()) if system == "us" else ()
