"""Sentences that were made in SI, said again in the person's units."""

from __future__ import annotations

import re
from typing import Final

from loftwright.report.quantities import NO_BREAK, digits, unit_of

__all__ = ["in_units", "sentence"]

# A length, a speed or how it changes in metres, as debriefs write them; "m" alone is never a word.
_METRES: Final = re.compile(
    r"(?P<sign>[+\-−]?)(?P<number>\d+(?:\.\d+)?)(?P<gap>[ \u00a0])(?P<unit>m/s²|m/s|m)(?![\w/²³^])"
)
_MINUS: Final = re.compile(r"(?<![\w-])-(?=\d)")
_KINDS: Final = {"m": "height", "m/s": "speed"}
# Degrees with how far they may be off, or of a difference that something goes with.
_CELSIUS: Final = re.compile(r"(?P<about>\d+) ± (?P<off>\d+) °C|(?<=each )(?P<step>\d+) °C")


def in_units(words: str, system: str) -> str:
    """Return a sentence with its metres in feet, and degrees, where the system is ``"us"``.

    Pascals stay: they are the barometer's own, as its maker gives them.

    >>> in_units("it reads up to 1.4 m too low", "us").replace(chr(160), " ")
    'it reads up to 4.6 ft too low'
    """
    words = _METRES.sub(_unsigned_nought, _MINUS.sub("−", words))
    if system == "metric":
        return words
    return _METRES.sub(lambda found: _shown(found, system), _CELSIUS.sub(_fahrenheit, words))


def _unsigned_nought(found: re.Match[str]) -> str:
    said = found.group()
    return said if float(found["number"]) else said.removeprefix(found["sign"])


def _fahrenheit(found: re.Match[str]) -> str:
    if found["step"]:
        return f"{1.8 * float(found['step']):.0f}{NO_BREAK}°F"
    about, off = float(found["about"]), float(found["off"])
    return f"{1.8 * about + 32.0:.0f} ± {1.8 * off:.0f}{NO_BREAK}°F"


def _shown(found: re.Match[str], system: str) -> str:
    unit = unit_of(_KINDS.get(found["unit"], "speed"), system)  # its change goes as a speed does
    value = float(found["number"]) / unit.size
    square = "²" if found["unit"].endswith("²") else ""
    known = max(2, len(found["number"].replace(".", "").lstrip("0")))
    return f"{found['sign']}{digits(value, known)}{NO_BREAK}{unit.symbol}{square}"


def sentence(words: str, system: str) -> str:
    """Return words as a sentence: units of the person, a capital first, a full stop last."""
    said = in_units(words.strip(), system)
    if not said:
        return ""
    end = "" if said.endswith((".", "!", "?", "”", "…")) else "."
    return f"{said[:1].upper()}{said[1:]}{end}"
