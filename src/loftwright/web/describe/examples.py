"""Examples and units beside a field, in the units that the person thinks in."""

from __future__ import annotations

import tomllib

from loftwright.documents.examples import example_in, units_written
from loftwright.documents.fields import FieldRule
from loftwright.units import DIMENSIONS

__all__ = ["example_of", "named_units"]

MOST = 6  # units that are named
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
    first = [each for each in units_written(dimension, system) if each in known]
    seldom = _SELDOM.split(" ")
    usual = [each for each in plain if each not in seldom]
    return ", ".join(list(dict.fromkeys((*first, *usual)))[:MOST])


def example_of(rule: FieldRule, system: str) -> str:
    """Return the example of a field as somebody would type it who thinks in ``system``."""
    said = example_in(rule, system)
    return "; ".join(tomllib.loads(f"it = {said}")["it"]) if rule.kind == "corners" else said
