"""How a document field is declared: one line carries its dimension, bounds and meaning.

The reader, the writer, the template of a new campaign and the reference in the docs are all
driven by these declarations; nothing about a field is written down twice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field, fields
from typing import Any, NamedTuple

from loftwright.units import Quantity

__all__ = [
    "Declared",
    "FieldRule",
    "Quantity",
    "choice",
    "corners",
    "flag",
    "quantity",
    "rules",
    "table",
    "tables",
    "text",
    "whole",
]


KINDS = ("quantity", "text", "choice", "whole", "flag", "corners", "table", "tables")


@dataclass(frozen=True, slots=True)
class FieldRule:
    """What may stand in a field, and what it means."""

    kind: str  # one of KINDS
    doc: str
    dimension: str | None = None  # a name in units.DIMENSIONS, for quantities
    at_least: float | None = None  # inclusive bound, SI
    above: float | None = None  # exclusive bound, SI
    at_most: float | None = None
    choices: tuple[str, ...] = ()
    model: type | None = None  # the dataclass of a table
    example: str = ""  # as a person writes it
    us: str = ""  # as somebody does who thinks in US units, where ``example`` does not tell
    key: str | None = None  # the word in the file, where Python reserves it


class Declared(NamedTuple):
    """A field as declared: its attribute, its rule and its default (``MISSING``: required)."""

    name: str
    rule: FieldRule
    default: Any

    @property
    def required(self) -> bool:
        """Tell whether the field must stand in the file."""
        return self.default is MISSING


_KNOWN: dict[type, dict[str, Declared]] = {}  # declarations stay what they are


def rules(model: type) -> Mapping[str, Declared]:
    """Map each word that may stand in the file of ``model`` to its declaration, in order."""
    if model in _KNOWN:
        return _KNOWN[model]
    found = {}
    for each in fields(model):
        rule = each.metadata["rule"]
        default = () if rule.kind == "tables" else each.default
        found[rule.key or each.name] = Declared(each.name, rule, default)
    _KNOWN[model] = found
    return found


def _declare(rule: FieldRule, default: Any) -> Any:
    if default is MISSING:
        return field(metadata={"rule": rule})
    if isinstance(default, list):
        return field(default_factory=tuple, metadata={"rule": rule})
    return field(default=default, metadata={"rule": rule})


def quantity(
    dimension: str,
    doc: str,
    *,
    default: Quantity | Any | None = MISSING,
    at_least: float | None = None,
    above: float | None = None,
    at_most: float | None = None,
    example: str = "",
    us: str = "",
    key: str | None = None,
) -> Any:
    """Declare a quantity of ``dimension``; no ``default`` means that the field is required.

    ``us`` is the example of somebody who thinks in US units, where it needs other digits than
    `documents.examples` would give it.
    """
    rule = FieldRule(
        "quantity",
        doc,
        dimension=dimension,
        at_least=at_least,
        above=above,
        at_most=at_most,
        example=example,
        us=us,
        key=key,
    )
    return _declare(rule, default)


def text(doc: str, *, default: Any = MISSING, example: str = "", us: str = "") -> Any:
    """Declare a line of text; ``us`` is the example of somebody who thinks in US units."""
    return _declare(FieldRule("text", doc, example=example, us=us), default)


def choice(
    *choices: str,
    doc: str,
    default: Any = MISSING,
    key: str | None = None,
    example: str | None = None,
) -> Any:
    """Declare a word out of a fixed set; the first is the example where no other is given."""
    rule = FieldRule("choice", doc, choices=choices, example=example or choices[0], key=key)
    return _declare(rule, default)


def whole(
    doc: str, *, example: str, at_least: int = 0, at_most: int | None = None, default: Any = MISSING
) -> Any:
    """Declare a whole number without a unit."""
    rule = FieldRule("whole", doc, at_least=at_least, at_most=at_most, example=example)
    return _declare(rule, default)


def flag(doc: str, *, default: bool) -> Any:
    """Declare a true/false switch."""
    return _declare(FieldRule("flag", doc, example="true"), default)


def corners(doc: str, *, example: str) -> Any:
    """Declare a row of corners on the ground (``documents.corners``); ``example`` as in a file."""
    return _declare(FieldRule("corners", doc, example=example), MISSING)


def table(model: type, doc: str, *, required: bool = True) -> Any:
    """Declare one sub-table, described by the dataclass ``model``."""
    return _declare(FieldRule("table", doc, model=model), MISSING if required else None)


def tables(model: type, doc: str) -> Any:
    """Declare a list of sub-tables (``[[name]]``), possibly empty."""
    return _declare(FieldRule("tables", doc, model=model), [])
