"""Which units belong to which people, and written quantities said in the units of others."""

from __future__ import annotations

from typing import Final

from loftwright.units.parse import read_quantity
from loftwright.units.show import format_quantity

__all__ = ["said_in"]

# Grams, litres, degrees, seconds and what is electric belong to nobody: all read them alike.
_METRIC: Final = (
    "m km cm mm um µm μm m^2 cm^2 mm^2 m/s cm/s mm/s km/h m/s^2 N mN kN gf kgf Pa hPa kPa MPa mbar "
    "bar barg bara mmHg K degC °C J mJ kJ"
)
_US: Final = (
    "in ft yd mi in^2 ft^2 in^3 ft^3 in/s ft/s mph ft/s^2 lbf ozf psi psig psia inHg degF °F lb oz"
)
_STRANGE: Final = {
    "metric": frozenset([*_US.split(" "), "ft lbf"]),
    "us": frozenset(_METRIC.split(" ")),
}
_PLAIN: Final = str.maketrans({"²": "^2", "³": "^3", "*": " ", "·": " "})


def said_in(system: str | None, written: str, dimension: str) -> str:
    """Return a written quantity as it stands, or in the units of ``system`` where its own are not.

    Converted it has three digits. A unit that no other stands for, as pascals of noise, stays, and
    so does everything where ``system`` is None: nobody has said what they think in. Raises
    ``QuantityError`` for what is no quantity of ``dimension``.

    >>> said_in("us", "2 m/s", "speed"), said_in("us", "34 mph", "speed")
    ('6.56 ft/s', '34 mph')
    """
    found, unit = read_quantity(written, dimension)
    plain = " ".join(written.split())
    if system is None or unit.translate(_PLAIN) not in _STRANGE[system]:
        return plain
    said = format_quantity(found.value, dimension, system, sd=found.sd)
    if said.unit.translate(_PLAIN) in _STRANGE[system]:
        return plain
    number = said.number
    if "." in number and not found.sd and "e" not in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {said.unit}"
