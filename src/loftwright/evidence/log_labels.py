"""What the name of a log's column says: the quantity, and its unit."""

from __future__ import annotations

import re
from dataclasses import dataclass

from loftwright.evidence.labels import BRACKETED
from loftwright.units import DIMENSIONS

__all__ = ["OFFSETS", "ROLES", "UNITS", "LogLabel", "known_unit", "known_words", "read_log_label"]

ROLES = ("time", "pressure", "height", "push", "battery", "temperature")

# Other spellings that recorders use -> the unit of the table.
_ALSO: dict[str, dict[str, str]] = {
    "time": {
        "sec": "s",
        "secs": "s",
        "seconds": "s",
        "msec": "ms",
        "millis": "ms",
        "milliseconds": "ms",
        "usec": "us",
        "micros": "us",
        "microseconds": "us",
    },
    "pressure": {"pascal": "Pa", "mb": "mbar", "millibar": "mbar", "hg": "inHg"},
    "height": {
        "meter": "m",
        "meters": "m",
        "metre": "m",
        "metres": "m",
        "feet": "ft",
        "foot": "ft",
    },
    "push": {
        "m/s2": "m/s^2",
        "m/s/s": "m/s^2",
        "mps2": "m/s^2",
        "ms2": "m/s^2",
        "gee": "g",
        "gs": "g",
    },
    "battery": {"volt": "V", "volts": "V", "millivolt": "mV"},
    "temperature": {
        **dict.fromkeys(("C", "deg C", "degc", "celsius"), "degC"),
        **dict.fromkeys(("F", "deg F", "degf", "fahrenheit"), "degF"),
        "kelvin": "K",
    },
}
_DIMENSIONS = {
    "time": "time",
    "pressure": "absolute_pressure",
    "height": "length",
    "push": "acceleration",
    "battery": "voltage",
    "temperature": "temperature",
}
# Lengths and temperatures are measured of many things: their units do not tell what a column is.
_OF_MANY = {"height", "temperature"}


def _units(role: str) -> dict[str, float]:
    table = {name: unit.factor for name, unit in DIMENSIONS[_DIMENSIONS[role]].units.items()}
    if role == "push":
        table["mg"] = table["g"] / 1e3
    return table | {also: table[name] for also, name in _ALSO[role].items()}


# Role -> unit as written -> factor to SI.
UNITS: dict[str, dict[str, float]] = {role: _units(role) for role in _DIMENSIONS}

# What is added after the factor, SI: temperatures alone have it.
OFFSETS: dict[str, float] = {
    also: DIMENSIONS["temperature"].units[_ALSO["temperature"].get(also, also)].offset
    for also in UNITS["temperature"]
}

# In this order: what is not wanted and sounds like it comes first.
_KINDS = (
    ("index", r"^(sample|index|idx|no|nr|n|row|count|#)$"),
    ("other", r"humid|gyro|veloc|speed|climb|gps|lat$|latitude|lon$|lng|longitude|current"),
    ("time", r"time|zeit|elapsed|^t$|millis|micros|clock|^(sec|secs|seconds|ms|us)$"),
    ("temperature", r"temp"),
    ("height", r"alt(itude)?|height|\bagl\b|höhe|hoehe|^h\d*$"),
    ("pressure", r"press|baro|druck|^p\d*$"),
    ("push", r"acc(el)?|^a[xyz]?$|beschl|push|g[_ -]?force"),
    ("battery", r"batt|volt|vbat|^v$"),
    (
        "state",
        r"state|stage|phase|mode|event|status|channel|output|armed|switch|pad.?line|release|lock"
        r"|servo|relay|beep",
    ),
)
PARTING = re.compile(r"[\s,_]+")
KINDS = tuple((kind, re.compile(words, re.IGNORECASE)) for kind, words in _KINDS)


@dataclass(frozen=True, slots=True)
class LogLabel:
    """A column's name taken apart. ``kind`` is one of ``ROLES``, "state", "index" or "other"."""

    name: str
    kind: str
    unit: str | None


def known_unit(role: str, text: str) -> str | None:
    """Return ``text`` as the units of ``role`` are spelled there, whatever its case; else None."""
    units = UNITS.get(role, {})
    if text in units:
        return text
    return next((unit for unit in units if unit.lower() == text.lower()), None)


def _role_of_unit(text: str) -> str | None:
    """Return the one quantity that a unit belongs to; not one that many things have."""
    roles = [role for role, units in UNITS.items() if text in units]
    return roles[0] if len(roles) == 1 and roles[0] not in _OF_MANY else None


def _kind(name: str) -> str:
    return next((kind for kind, words in KINDS if words.search(name)), "other")


def read_log_label(text: str) -> LogLabel:
    """Take a column's name apart: ``"baro_alt_ft"`` is a height in feet."""
    text = text.strip()
    name, unit, bracketed = _split(text)
    kind = _kind(name)
    if kind in {"other", "index"} and unit and _is_plain(name):
        kind = _role_of_unit(unit) or kind
    if unit and (known_unit(kind, unit) or bracketed):
        return LogLabel(name or unit, kind, known_unit(kind, unit) or unit)
    kind = _kind(text)
    kind = (_role_of_unit(text) or kind) if kind == "other" else kind
    return LogLabel(text, kind, known_unit(kind, text))


def _split(text: str) -> tuple[str, str, bool]:
    """Return name and unit of a label, "" for none, and whether brackets part them."""
    if match := BRACKETED.match(text):
        return match.group(1).strip(), match.group(2).strip(), True
    for parting in PARTING.finditer(text):
        name, unit = text[: parting.start()], text[parting.end() :]
        if name and any(known_unit(role, unit) for role in UNITS):
            return name, unit, False
    return text, "", False


def _is_plain(name: str) -> bool:
    """Whether a name does not say that the column is something else than the unit's quantity."""
    return not KINDS[1][1].search(name)


def known_words(text: str) -> int:
    """How much of a column's name is understood: its kind and its unit count one each."""
    label = read_log_label(text)
    return (label.kind != "other") + (label.unit in UNITS.get(label.kind, {}))
