"""Quantities in and out: a strict reader of ``"60 psi ± 2 psi"``, a writer in a person's units.

Everything is driven by one fixed table (``units/table.py``). Gauge and absolute pressure are
different dimensions. Inside the program numbers are SI; units live only here, at the edge.
"""

from loftwright.units.parse import QuantityError, parse_quantity, read_quantity
from loftwright.units.quantity import Quantity
from loftwright.units.show import Shown, display_units, format_quantity, from_si
from loftwright.units.table import DIMENSIONS, Dimension, Unit
from loftwright.units.usual import said_in

__all__ = [
    "DIMENSIONS",
    "Dimension",
    "Quantity",
    "QuantityError",
    "Shown",
    "Unit",
    "display_units",
    "format_quantity",
    "from_si",
    "parse_quantity",
    "read_quantity",
    "said_in",
]
