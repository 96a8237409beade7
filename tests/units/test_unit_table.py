"""Every factor of the unit table against pint, an independent unit library."""

from __future__ import annotations

import math
from typing import Any

import pint
import pytest

from loftwright.units import DIMENSIONS
from loftwright.units.table import HINTS, TWO_MEANINGS, dimensions_of

REGISTRY: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)

# Spellings of ours that pint calls by another name. Gauge and absolute units are plain to pint.
PINT_NAMES = {
    "in": "inch", "L": "liter", "l": "liter", "cc": "cm^3", "lb": "pound", "oz": "ounce",
    "kt": "knot", "h": "hour", "min": "minute", "gf": "gram_force", "kgf": "kilogram_force",
    "ozf": "ounce_force", "psig": "psi", "psia": "psi", "barg": "bar", "bara": "bar",
    "rev/s": "turn/s", "rpm": "turn/minute", "%": "percent", "": "dimensionless",
    "inHg": "inch_Hg", "mmHg": "millimeter_Hg", "oz in^2": "ounce * inch^2",
    "lb in^2": "pound * inch^2", "lb ft^2": "pound * foot^2", "in^2": "inch^2", "in^3": "inch^3",
    "in/s": "inch/s", "lb/ft^3": "pound/foot^3", "Wh": "watt_hour", "mWh": "milliwatt_hour",
    "ft lbf": "foot * pound_force", "mph": "mile/hour", "Mohm": "megaohm", "kohm": "kiloohm",
    "mohm": "milliohm",
}  # fmt: skip
SI = {
    "length": "m", "area": "m^2", "volume": "m^3", "mass": "kg", "inertia": "kg * m^2",
    "time": "s", "speed": "m/s", "acceleration": "m/s^2", "force": "N", "gauge_pressure": "Pa",
    "absolute_pressure": "Pa", "angle": "rad", "angular_rate": "rad/s", "density": "kg/m^3",
    "number": "dimensionless", "energy": "J", "power": "W", "frequency": "Hz", "voltage": "V",
    "current": "A", "resistance": "ohm", "temperature": "K",
    "temperature_difference": "K", "pressure_difference": "Pa", "temperature_drift": "Pa/K",
}  # fmt: skip
PLAIN: Any = str.maketrans({"²": "^2", "³": "^3", "·": " ", "*": " "})


def pint_name(dimension: str, unit: str) -> str:
    """Return our spelling in pint's words."""
    if dimension == "acceleration" and unit == "g":
        return "standard_gravity"
    if dimension == "temperature_difference" and unit != "K":
        return "delta_" + unit.replace("°", "deg")
    plain = unit.translate(PLAIN)
    plain = plain.replace("°", "deg").replace("Ω", "ohm").replace("μ", "µ")
    return PINT_NAMES.get(plain, plain.replace(" ", " * "))


EVERY_UNIT = [(dimension, unit) for dimension, table in DIMENSIONS.items() for unit in table.units]
FACTOR_UNITS = [(d, u) for d, u in EVERY_UNIT if d != "temperature"]


@pytest.mark.parametrize(("dimension", "unit"), FACTOR_UNITS)
def test_factor_agrees_with_pint(dimension: str, unit: str) -> None:
    theirs = REGISTRY.Quantity(1.0, pint_name(dimension, unit)).to(SI[dimension]).magnitude
    assert DIMENSIONS[dimension].units[unit].to_si(1.0) == pytest.approx(theirs, rel=1e-12, abs=0)


@pytest.mark.parametrize("number", [-40.0, 0.0, 15.0, 212.0, 300.0])
@pytest.mark.parametrize("unit", list(DIMENSIONS["temperature"].units))
def test_temperature_agrees_with_pint(unit: str, number: float) -> None:
    name = {"K": "kelvin", "degC": "degC", "°C": "degC", "degF": "degF", "°F": "degF"}[unit]
    theirs = REGISTRY.Quantity(number, name).to("kelvin").magnitude
    ours = DIMENSIONS["temperature"].units[unit]
    assert ours.to_si(number) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("unit", ["K", "degC", "degF"])
def test_temperature_difference_agrees_with_pint(unit: str) -> None:
    name = {"K": "kelvin", "degC": "delta_degC", "degF": "delta_degF"}[unit]
    theirs = REGISTRY.Quantity(7.0, name).to("kelvin").magnitude
    assert DIMENSIONS["temperature"].units[unit].difference(7.0) == pytest.approx(theirs, rel=1e-12)


def test_first_unit_of_a_dimension_is_si() -> None:
    for name, dimension in DIMENSIONS.items():
        first = next(iter(dimension.units.values()))
        assert (first.factor, first.offset) == (1.0, 0.0), name


def test_gauge_and_absolute_share_plain_units_only() -> None:
    gauge = set(DIMENSIONS["gauge_pressure"].units)
    absolute = set(DIMENSIONS["absolute_pressure"].units)
    assert gauge - absolute == {"psig", "barg"}
    assert absolute - gauge == {"psia", "bara", "mmHg", "inHg"}


def test_a_spelling_in_two_dimensions_is_meant_so() -> None:
    shared = {unit for _, unit in EVERY_UNIT if len(dimensions_of(unit)) > 1}
    plain_pressures = {"Pa", "hPa", "kPa", "MPa", "mbar", "bar", "psi", "atm"}
    temperatures = set(DIMENSIONS["temperature"].units)  # and differences between them
    assert shared == plain_pressures | temperatures | {"g"}


def test_hints_lead_from_unknown_words_to_known_units() -> None:
    for word, unit in HINTS.items():
        assert dimensions_of(unit), unit
        assert not dimensions_of(word), word
    assert not any(dimensions_of(word) for word in TWO_MEANINGS)


def test_decimal_prefixes_round_like_the_decimal_number() -> None:
    millimetre = DIMENSIONS["length"].units["mm"]
    assert [millimetre.to_si(n) for n in (21.5, 1.3, 0.3, 108.0)] == [0.0215, 0.0013, 0.0003, 0.108]


def test_degree_is_the_exact_ratio() -> None:
    assert DIMENSIONS["angle"].units["deg"].to_si(180.0) == math.pi
