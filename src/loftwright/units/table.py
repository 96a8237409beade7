"""The fixed table of dimensions and units: what may be written, and what it is in SI.

Factors are exact by definition: the international yard and pound (1959), the litre (CGPM 1964),
standard gravity 9.80665 m/s2 (CGPM 1901), the conventional millimetre of mercury
(13.5951 kg/L under standard gravity). NIST SP 811, appendix B, lists them all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["DIMENSIONS", "HINTS", "TWO_MEANINGS", "Dimension", "Unit", "dimensions_of"]


@dataclass(frozen=True, slots=True)
class Unit:
    """``SI value = number * factor + offset``; a difference takes the factor alone."""

    factor: float
    offset: float = 0.0

    def difference(self, number: float) -> float:
        """Return a difference in SI. Dividing by a whole 1000 rounds better than times 1e-3."""
        inverse = 1.0 / self.factor
        if inverse > 1.0 and inverse.is_integer():
            return number / inverse
        return number * self.factor

    def to_si(self, number: float) -> float:
        """Return a number in this unit as an SI value."""
        return self.difference(number) + self.offset


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: how it is spoken of, an example, and the units it accepts.

    ``units`` maps every accepted spelling to its unit; the first is the SI unit.
    """

    words: str
    example: str
    units: dict[str, Unit]


_INCH, _FOOT, _YARD, _MILE = 0.0254, 0.3048, 0.9144, 1609.344
_POUND, _OUNCE = 0.45359237, 0.45359237 / 16.0
_GRAVITY = 9.80665
_POUND_FORCE = _POUND * _GRAVITY
_PSI = _POUND_FORCE / _INCH**2
_MERCURY = 13595.1 * _GRAVITY  # Pa per metre of mercury column
_DEGREE = math.pi / 180.0

_SUPERSCRIPTS = str.maketrans("23", "²³")


def _spellings(unit: str) -> list[str]:
    """Return the ways in which a unit may be spelled: ``m^2`` or ``m²``, ``kg m^2``, ``kg*m^2``."""
    joined = [unit.replace(" ", sign) for sign in (" ", "*", "·")] if " " in unit else [unit]
    raised = [each.replace("^", "").translate(_SUPERSCRIPTS) for each in joined if "^" in each]
    return joined + raised


def _table(factors: dict[str, float]) -> dict[str, Unit]:
    return {way: Unit(factor) for unit, factor in factors.items() for way in _spellings(unit)}


_PRESSURES = _table(
    {
        "Pa": 1.0,
        "hPa": 1e2,
        "kPa": 1e3,
        "MPa": 1e6,
        "mbar": 1e2,
        "bar": 1e5,
        "psi": _PSI,
        "atm": 101325.0,
    }
)
_BAR, _PSI_UNIT = Unit(1e5), Unit(_PSI)

DIMENSIONS: dict[str, Dimension] = {
    "length": Dimension(
        "a length",
        "1.2 m",
        _table(
            {
                "m": 1.0,
                "km": 1e3,
                "cm": 1e-2,
                "mm": 1e-3,
                "um": 1e-6,
                "µm": 1e-6,
                "μm": 1e-6,
                "in": _INCH,
                "ft": _FOOT,
                "yd": _YARD,
                "mi": _MILE,
            }
        ),
    ),
    "area": Dimension(
        "an area",
        "400 cm^2",
        _table({"m^2": 1.0, "cm^2": 1e-4, "mm^2": 1e-6, "in^2": _INCH**2, "ft^2": _FOOT**2}),
    ),
    "volume": Dimension(
        "a volume",
        "2.0 L",
        _table(
            {
                "m^3": 1.0,
                "L": 1e-3,
                "l": 1e-3,
                "dL": 1e-4,
                "dl": 1e-4,
                "cL": 1e-5,
                "cl": 1e-5,
                "mL": 1e-6,
                "ml": 1e-6,
                "cm^3": 1e-6,
                "cc": 1e-6,
                "mm^3": 1e-9,
                "in^3": _INCH**3,
                "ft^3": _FOOT**3,
            }
        ),
    ),
    "mass": Dimension(
        "a mass", "186 g", _table({"kg": 1.0, "g": 1e-3, "mg": 1e-6, "lb": _POUND, "oz": _OUNCE})
    ),
    "inertia": Dimension(
        "a moment of inertia",
        "0.012 kg m^2",
        _table(
            {
                "kg m^2": 1.0,
                "kg cm^2": 1e-4,
                "g m^2": 1e-3,
                "g cm^2": 1e-7,
                "g mm^2": 1e-9,
                "lb ft^2": _POUND * _FOOT**2,
                "lb in^2": _POUND * _INCH**2,
                "oz in^2": _OUNCE * _INCH**2,
            }
        ),
    ),
    "time": Dimension(
        "a time",
        "2.8 s",
        _table(
            {"s": 1.0, "ms": 1e-3, "us": 1e-6, "µs": 1e-6, "μs": 1e-6, "min": 60.0, "h": 3600.0}
        ),
    ),
    "speed": Dimension(
        "a speed",
        "4 m/s",
        _table(
            {
                "m/s": 1.0,
                "cm/s": 1e-2,
                "mm/s": 1e-3,
                "km/h": 1.0 / 3.6,
                "ft/s": _FOOT,
                "in/s": _INCH,
                "mph": _MILE / 3600.0,
                "kt": 1852.0 / 3600.0,
            }
        ),
    ),
    "acceleration": Dimension(
        "an acceleration", "20 m/s^2", _table({"m/s^2": 1.0, "ft/s^2": _FOOT, "g": _GRAVITY})
    ),
    "force": Dimension(
        "a force",
        "6 N",
        _table(
            {
                "N": 1.0,
                "mN": 1e-3,
                "kN": 1e3,
                "gf": 1e-3 * _GRAVITY,
                "kgf": _GRAVITY,
                "lbf": _POUND_FORCE,
                "ozf": _OUNCE * _GRAVITY,
            }
        ),
    ),
    "gauge_pressure": Dimension(
        "a gauge pressure", "60 psi", _PRESSURES | {"psig": _PSI_UNIT, "barg": _BAR}
    ),
    "absolute_pressure": Dimension(
        "an absolute pressure",
        "1008 hPa",
        _PRESSURES
        | {"psia": _PSI_UNIT, "bara": _BAR}
        | _table({"mmHg": 1e-3 * _MERCURY, "inHg": _INCH * _MERCURY}),
    ),
    "temperature": Dimension(
        "a temperature",
        "15 degC",
        {
            "K": Unit(1.0),
            "degC": Unit(1.0, 273.15),
            "°C": Unit(1.0, 273.15),
            "degF": Unit(5.0 / 9.0, 459.67 * 5.0 / 9.0),
            "°F": Unit(5.0 / 9.0, 459.67 * 5.0 / 9.0),
        },
    ),
    "temperature_difference": Dimension(
        "a difference of temperatures",
        "2 K",
        _table(
            {"K": 1.0, "degC": 1.0, "°C": 1.0, "degF": 5.0 / 9.0, "°F": 5.0 / 9.0},
        ),
    ),
    "pressure_difference": Dimension(
        "a difference of pressures",
        "1.5 Pa",
        _table({"Pa": 1.0, "hPa": 1e2, "kPa": 1e3, "mbar": 1e2}),
    ),
    "temperature_drift": Dimension(
        "a pressure for each kelvin", "1.5 Pa/K", _table({"Pa/K": 1.0, "hPa/K": 1e2})
    ),
    "angle": Dimension(
        "an angle", "35 deg", _table({"rad": 1.0, "mrad": 1e-3, "deg": _DEGREE, "°": _DEGREE})
    ),
    "angular_rate": Dimension(
        "an angular rate",
        "90 deg/s",
        _table(
            {
                "rad/s": 1.0,
                "deg/s": _DEGREE,
                "°/s": _DEGREE,
                "rev/s": 2.0 * math.pi,
                "rpm": 2.0 * math.pi / 60.0,
            }
        ),
    ),
    "density": Dimension(
        "a density",
        "1.2 kg/m^3",
        _table(
            {
                "kg/m^3": 1.0,
                "kg/L": 1e3,
                "g/cm^3": 1e3,
                "g/mL": 1e3,
                "g/L": 1.0,
                "lb/ft^3": _POUND / _FOOT**3,
            }
        ),
    ),
    "number": Dimension("a plain number", "0.95", {"": Unit(1.0), "%": Unit(1e-2)}),
    "energy": Dimension(
        "an energy",
        "120 J",
        _table(
            {
                "J": 1.0,
                "mJ": 1e-3,
                "kJ": 1e3,
                "Wh": 3600.0,
                "mWh": 3.6,
                "ft lbf": _FOOT * _POUND_FORCE,
            }
        ),
    ),
    "power": Dimension("a power", "0.5 W", _table({"W": 1.0, "mW": 1e-3, "kW": 1e3})),
    "frequency": Dimension("a frequency", "50 Hz", _table({"Hz": 1.0, "kHz": 1e3, "MHz": 1e6})),
    "voltage": Dimension("a voltage", "3.7 V", _table({"V": 1.0, "mV": 1e-3, "kV": 1e3})),
    "current": Dimension(
        "a current", "120 mA", _table({"A": 1.0, "mA": 1e-3, "uA": 1e-6, "µA": 1e-6, "μA": 1e-6})
    ),
    "resistance": Dimension(
        "a resistance",
        "4.7 kohm",
        _table(
            {"ohm": 1.0, "Ω": 1.0, "mohm": 1e-3, "mΩ": 1e-3, "kohm": 1e3, "kΩ": 1e3, "Mohm": 1e6}
        ),
    ),
}

# What people write for a unit, and the unit that they mean.
HINTS: dict[str, str] = {
    "C": "degC", "c": "degC", "celsius": "degC", "deg C": "degC", "F": "degF", "f": "degF",
    "fahrenheit": "degF", "deg F": "degF", "kelvin": "K",
    "meter": "m", "meters": "m", "metre": "m", "metres": "m", "foot": "ft", "feet": "ft",
    "'": "ft", '"': "in", "inch": "in", "inches": "in", "millimeter": "mm", "millimetre": "mm",
    "yard": "yd", "yards": "yd", "mile": "mi", "miles": "mi",
    "liter": "L", "liters": "L", "litre": "L", "litres": "L", "milliliter": "mL", "ccm": "cm^3",
    "m2": "m^2", "cm2": "cm^2", "mm2": "mm^2", "m3": "m^3", "cm3": "cm^3", "sqm": "m^2",
    "gr": "g", "gram": "g", "grams": "g", "gm": "g", "kilo": "kg", "kgs": "kg", "kilogram": "kg",
    "lbs": "lb", "pound": "lb", "pounds": "lb", "ounce": "oz", "ounces": "oz", "#": "lb",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "hr": "h", "hour": "h",
    "fps": "ft/s", "kph": "km/h", "kmh": "km/h", "kmph": "km/h", "mps": "m/s", "knot": "kt",
    "knots": "kt", "kts": "kt", "kn": "kt", "mi/h": "mph",
    "pascal": "Pa", "bars": "bar", "lb/in^2": "psi", "lbf/in^2": "psi", "mb": "mbar",
    "degree": "deg", "degrees": "deg", "degs": "deg", "radian": "rad", "radians": "rad",
    "newton": "N", "newtons": "N", "volt": "V", "volts": "V", "amp": "A", "ohms": "ohm",
    "percent": "%", "pct": "%",
}  # fmt: skip

# Words with more than one meaning among people: better asked than guessed.
TWO_MEANINGS: dict[str, str] = {
    "fl oz": "the US and the imperial fluid ounce differ by 4 %; write it in mL",
    "floz": "the US and the imperial fluid ounce differ by 4 %; write it in mL",
    "gal": "the US and the imperial gallon differ by 20 %; write it in L",
    "gallon": "the US and the imperial gallon differ by 20 %; write it in L",
    "pint": "the US and the imperial pint differ by 20 %; write it in L",
    "cup": "a cup differs from country to country; write it in mL",
    "ton": "there are three tons; write it in kg",
    "cal": "there are several calories; write it in J",
    "hp": "there are several horsepowers; write it in W",
}


def dimensions_of(unit: str) -> list[str]:
    """Return the names of the dimensions that accept ``unit``, in the order of the table."""
    return [name for name, dimension in DIMENSIONS.items() if unit in dimension.units]
