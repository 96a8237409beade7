"""The examples of fields, in the units that a person thinks in."""

from __future__ import annotations

import json
import math
import tomllib
from typing import Final

from loftwright.documents.fields import FieldRule
from loftwright.units import DIMENSIONS, from_si
from loftwright.units.parse import read_quantity

__all__ = ["example_in", "quantity_in", "units_written", "written_example"]

# What somebody who thinks in feet, psi and grams would write, where that differs; the first first.
# Bottles are sold by the litre, what flies is weighed in grams, and makers of barometers give their
# ranges in hPa and kPa (common practice, no source).
_US: Final[dict[str, tuple[str, ...]]] = {
    "length": ("in", "ft"),
    "area": ("in^2", "ft^2"),
    "volume": ("L", "mL", "in^3"),
    "mass": ("g", "lb", "oz"),
    "inertia": ("lb in^2", "oz in^2"),
    "speed": ("ft/s", "mph"),
    "acceleration": ("ft/s^2", "g"),
    "force": ("lbf",),
    "gauge_pressure": ("psi",),
    "absolute_pressure": ("inHg", "psia", "hPa", "kPa"),
    "temperature": ("degF",),
    "temperature_difference": ("degF",),
    "energy": ("ft lbf",),
}
FOOT = 0.3048  # m, exactly (NIST SP 811, B.8)
LONG = 6.0 * FOOT  # of this and more one writes feet rather than inches
CLOSE = 0.01  # share of a value by which its example may be off to be rounder
OF_SPREAD, OFF_SPREAD = 0.25, 0.1  # the same as a share of its uncertainty; and of that itself


def units_written(dimension: str | None, system: str) -> tuple[str, ...]:
    """Return the units that somebody who thinks in ``system`` would write, the first first.

    Empty where there is nothing to choose: they are those of the examples.
    """
    return _US.get(dimension or "", ()) if system == "us" else ()


def written_example(word: str, rule: FieldRule, system: str = "metric") -> str:
    """Return a line of a file with the field's example, quoted where it has to be."""
    bare = rule.kind in ("whole", "flag", "corners")
    said = example_in(rule, system)
    return f"{word} = {said}" if bare else f'{word} = "{said}"'


def example_in(rule: FieldRule, system: str) -> str:
    """Return a field's example as somebody would write it in a document who thinks in ``system``.

    Its digits are the fewest that say the same within `CLOSE`, or, of an uncertain value, within
    `OF_SPREAD` of its uncertainty.
    """
    if system == "us" and rule.us:
        return rule.us
    if rule.kind == "corners":
        return _corners(rule.example, system)
    return quantity_in(rule.example, rule.dimension, system) if rule.dimension else rule.example


def quantity_in(example: str, dimension: str, system: str) -> str:
    """Return a quantity that is an example, as `example_in` does."""
    own = units_written(dimension, system)
    if not own:
        return example
    found, written = read_quantity(example, dimension)
    if written in own:
        return example
    unit = "ft" if dimension == "length" and abs(found.value) >= LONG else own[0]
    number = from_si(found.value, dimension, unit)
    if not found.sd:
        return f"{_roundest(number, CLOSE * abs(number))} {unit}"
    spread = found.sd / DIMENSIONS[dimension].units[unit].factor
    value = _roundest(number, OF_SPREAD * spread)
    return f"{value} {unit} ± {_roundest(spread, OFF_SPREAD * spread)} {unit}"


def _corners(example: str, system: str) -> str:
    """Return corners on the ground, as a list in a file, with lengths in the person's units."""
    corners = tomllib.loads(f"corners = {example}")["corners"]
    said = [
        ", ".join(quantity_in(part.strip(), "length", system) for part in corner.split(","))
        for corner in corners
    ]
    return json.dumps(said)


def _roundest(number: float, off: float) -> str:
    """Return ``number`` in the fewest digits that are no more than ``off`` from it."""
    places = -math.floor(math.log10(abs(number))) if number else 0
    while abs(round(number, places) - number) > off:
        places += 1
    said = f"{round(number, places):.{max(places, 0)}f}"
    return said.rstrip("0").rstrip(".") if "." in said else said
