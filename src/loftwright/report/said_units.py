"""Sentences that were made in SI, said again in the person's units."""

from __future__ import annotations

import re
from typing import Final

from loftwright.report.quantities import NO_BREAK, digits, unit_of

__all__ = ["in_units", "sentence"]

# A length or a speed in metres, as debriefs write them; "m" alone is never a word here.
_METRES: Final = re.compile(
    r"(?P<sign>[+\-−]?)(?P<number>\d+(?:\.\d+)?)(?P<gap>[ \u00a0])(?P<unit>m/s|m)(?![\w/²³^])"
)
_MINUS: Final = re.compile(r"(?<![\w-])-(?=\d)")
_KINDS: Final = {"m": "height", "m/s": "speed"}


def in_units(words: str, system: str) -> str:
    """Return a sentence with its metres in feet where the system is ``"us"``.

    >>> in_units("it reads up to 1.4 m too low", "us").replace(chr(160), " ")
    'it reads up to 4.6 ft too low'
    """
    words = _METRES.sub(_unsigned_nought, _MINUS.sub("−", words))
    return words if system == "metric" else _METRES.sub(lambda found: _shown(found, system), words)


def _unsigned_nought(found: re.Match[str]) -> str:
    said = found.group()
    return said if float(found["number"]) else said.removeprefix(found["sign"])


def _shown(found: re.Match[str], system: str) -> str:
    unit = unit_of(_KINDS[found["unit"]], system)
    value = float(found["number"]) / unit.size
    known = max(2, len(found["number"].replace(".", "").lstrip("0")))
    return f"{found['sign']}{digits(value, known)}{NO_BREAK}{unit.symbol}"


def sentence(words: str, system: str) -> str:
    """Return words as a sentence: units of the person, a capital first, a full stop last."""
    said = in_units(words.strip(), system)
    if not said:
        return ""
    end = "" if said.endswith((".", "!", "?", "”", "…")) else "."
    return f"{said[:1].upper()}{said[1:]}{end}"
