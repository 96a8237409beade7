"""The name of a column: what it holds, and in which unit."""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = ["FORCE_UNITS", "TIME_UNITS", "Label", "known_words", "read_label"]

POUND_FORCE = 4.4482216152605  # N, exact (NIST SP 811, B.8)
KILOGRAM_FORCE = 9.80665  # N, exact (standard gravity, 3rd CGPM 1901)
FORCE_UNITS: dict[str, float] = {
    "N": 1.0,
    "kN": 1e3,
    "mN": 1e-3,
    "lbf": POUND_FORCE,
    "lb": POUND_FORCE,
    "lbs": POUND_FORCE,
    "ozf": POUND_FORCE / 16.0,
    "oz": POUND_FORCE / 16.0,
    "kgf": KILOGRAM_FORCE,
    "kg": KILOGRAM_FORCE,
    "gf": KILOGRAM_FORCE / 1e3,
    "g": KILOGRAM_FORCE / 1e3,
    "newton": 1.0,
    "newtons": 1.0,
    "pounds": POUND_FORCE,
    "grams": KILOGRAM_FORCE / 1e3,
}
TIME_UNITS: dict[str, float] = {
    "s": 1.0,
    "sec": 1.0,
    "seconds": 1.0,
    "ms": 1e-3,
    "msec": 1e-3,
    "us": 1e-6,
    "µs": 1e-6,
    "min": 60.0,
}
KINDS = (
    ("time", re.compile(r"time|zeit|elapsed|^t$|timestamp", re.IGNORECASE)),
    ("index", re.compile(r"^(sample|index|no|nr|n|row|count)$", re.IGNORECASE)),
    ("other", re.compile(r"press|temp|volt|humid|altitude", re.IGNORECASE)),
    ("sum", re.compile(r"sum|total|combined", re.IGNORECASE)),
    ("force", re.compile(r"force|thrust|load|cell|weight|kraft|^f\d*$", re.IGNORECASE)),
)
BRACKETED = re.compile(r"^(.*?)\s*[(\[{]\s*([^)\]}]+?)\s*[)\]}]\s*$")
TRAILING = re.compile(r"^(.*?)[\s,/_]+([A-Za-zµ]{1,7})$")


@dataclass(frozen=True, slots=True)
class Label:
    """A column's name taken apart. ``kind`` is one of time, index, force, sum, other."""

    name: str
    kind: str
    unit: str | None


def _known(unit: str, units: dict[str, float]) -> str | None:
    """Return ``unit`` as the table spells it; case is folded where nothing can be mistaken."""
    if unit in units:
        return unit
    folded = {known.lower(): known for known in units if known not in {"N", "mN", "g"}}
    return folded.get(unit.lower())


def _unit(text: str) -> str | None:
    return _known(text, FORCE_UNITS) or _known(text, TIME_UNITS)


def _kind(name: str, unit: str | None) -> str:
    for kind, words in KINDS:
        if words.search(name):
            return kind
    if unit in FORCE_UNITS:
        return "force"
    return "time" if unit in TIME_UNITS else "other"


def read_label(text: str) -> Label:
    """Take a column's name apart: ``"Summed Load (lbf)"`` is a sum in lbf."""
    text = text.strip()
    if match := BRACKETED.match(text):
        name, unit = match.group(1).strip(), match.group(2).strip()
        return Label(name or unit, _kind(name, _unit(unit)), _unit(unit) or unit)
    if (match := TRAILING.match(text)) and (unit_found := _unit(match.group(2))):
        name = match.group(1).strip()
        return Label(name, _kind(name, unit_found), unit_found)
    return Label(text, _kind(text, _unit(text)), _unit(text))


def known_words(text: str) -> int:
    """How much of a column's name is understood: its kind and its unit count one each."""
    label = read_label(text)
    return (label.kind != "other") + (label.unit in FORCE_UNITS or label.unit in TIME_UNITS)
