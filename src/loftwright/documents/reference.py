"""The reference of every document and field, as Markdown, from the declarations."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from loftwright.documents.build import shown_bound
from loftwright.documents.campaign import CampaignFile
from loftwright.documents.examples import written_example
from loftwright.documents.fields import Declared, FieldRule, rules
from loftwright.documents.reading import MODELS
from loftwright.units import DIMENSIONS, Quantity, format_quantity, read_quantity

__all__ = ["document_reference"]

_HEAD = """# The documents

A campaign is a folder of TOML documents; release programs are documents of the same form. Every
quantity is a text with its unit, `"60 psi"`, and may carry one standard deviation: `"1.30 L ±
0.02 L"`, `"1.30 ± 0.02 L"`, `"60 psi ± 3 %"`; `+/-` works in place of `±`. A field without a
default must stand in the file. Which units a field accepts is listed under [units](#units).
"""


def document_reference() -> str:
    """Return the reference of all documents and units as one Markdown page."""
    documents = {"campaign": CampaignFile} | MODELS
    parts = [_HEAD]
    for name, model in documents.items():
        parts.append(f"## {name}.toml\n\n{_first_line(model)}\n")
        parts += _tables(model, "")
    return "\n".join([*parts, _units()])


def _first_line(model: type) -> str:
    return (model.__doc__ or "").strip().splitlines()[0]


def _tables(model: type, header: str) -> Iterator[str]:
    declared = rules(model)
    plain = {word: each for word, each in declared.items() if each.rule.model is None}
    if plain:
        yield _field_table(plain)
    for word, each in declared.items():
        if each.rule.model is None:
            continue
        name = f"{header}.{word}" if header else word
        many = each.rule.kind == "tables"
        title = f"[[{name}]]" if many else f"[{name}]"
        note = _many(header) if many else "Required." if each.required else "Optional."
        yield f"### `{title}`\n\n{_first_line(each.rule.model)} {note}\n"
        yield from _tables(each.rule.model, name)


def _many(header: str) -> str:
    """Return how many entries there may be, and which entry they belong to."""
    if not header:
        return "Any number of these."
    return f"Any number of these below each `[[{header}]]`, whose they are."


def _field_table(declared: dict[str, Declared]) -> str:
    rows = ["| field | meaning | takes | default | example |", "|---|---|---|---|---|"]
    for word, each in declared.items():
        cells = (
            f"`{word}`",
            each.rule.doc,
            _takes(each.rule),
            _default(each),
            f"`{written_example(word, each.rule)}`",
        )
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"


def _takes(rule: FieldRule) -> str:
    if rule.kind == "quantity":
        dimension = DIMENSIONS[rule.dimension or "number"].words
        return f"{dimension}{_bounds(rule)}"
    if rule.kind == "choice":
        return "one of " + ", ".join(f'`"{choice}"`' for choice in rule.choices)
    if rule.kind == "whole":
        return f"a whole number{_bounds(rule)}"
    if rule.kind == "corners":
        return 'a list of corners, `"east, north"` of the pad or `"latitude, longitude"`'
    return "`true` or `false`" if rule.kind == "flag" else "a line of text"


def _bounds(rule: FieldRule) -> str:
    bounds = (("more than", rule.above), ("at least", rule.at_least), ("at most", rule.at_most))
    words = [f"{words} {_shown(rule, bound)}" for words, bound in bounds if bound is not None]
    return f", {' and '.join(words)}" if words else ""


def _shown(rule: FieldRule, bound: float) -> str:
    if rule.kind == "whole":
        return str(int(bound))
    dimension = rule.dimension or "number"
    return shown_bound(bound, dimension, read_quantity(rule.example, dimension)[1])


def _default(each: Declared) -> str:
    if each.required:
        return "**required**"
    default: Any = each.default
    if default is None:
        return "left out"
    if isinstance(default, Quantity):
        dimension = each.rule.dimension or "number"
        unit = read_quantity(each.rule.example, dimension)[1]
        return f"`{format_quantity(default.value, dimension, sd=default.sd, unit=unit, digits=2)}`"
    return f'`"{default}"`' if isinstance(default, str) else f"`{str(default).lower()}`"


def _units() -> str:
    rows = ["## Units", "", "| quantity | units |", "|---|---|"]
    for dimension in DIMENSIONS.values():
        units = [f"`{unit}`" if unit else "nothing" for unit in dimension.units if "*" not in unit]
        rows.append(f"| {dimension.words} | {', '.join(units)} |")
    return "\n".join(rows) + "\n"
