"""The strict reader of one quantity: ``"<number> <unit>"``, with ``± sd`` where it is uncertain.

What a lenient reader would guess at (a decimal comma, two decimal points, a unit of another
kind, a gauge pressure given as absolute) is refused, with the text that was probably meant.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from typing import NoReturn

from loftwright.units.quantity import Quantity
from loftwright.units.table import DIMENSIONS, HINTS, TWO_MEANINGS, Unit, dimensions_of

__all__ = ["QuantityError", "parse_quantity", "read_quantity"]

LONGEST = 120  # characters; no honest quantity is longer

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3}(?![0-9]))?")
_SPREAD = re.compile(r"±|\+/-")
_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(?:[,_' ][0-9]{3})+(?![0-9])(?:\.[0-9]+)?")
_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+")
_BARE_POINT = re.compile(r"([+-]?)(\.[0-9]+|[0-9]+\.(?![0-9.]))")
_TWO_POINTS = re.compile(r"[+-]?[0-9]*\.[0-9]+\.[0-9.]*")
_LEFT_OVER = re.compile(r"[0-9.,'_/]|[eE][+-]?[0-9]")
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity)\b", re.IGNORECASE)
_BEYOND_ASCII = frozenset("±°µμΩ²³·")


class QuantityError(ValueError):
    """A text that is not the quantity which is needed.

    ``code`` names a page of the catalogue, ``mend`` says what to write instead, and ``at`` and
    ``width`` point at the characters of the text that are to blame.
    """

    def __init__(self, code: str, message: str, mend: str, at: int = 0, width: int = 1) -> None:
        super().__init__(message)
        self.code, self.message, self.mend = code, message, mend
        self.at, self.width = at, max(width, 1)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A number and the unit behind it, as written; ``at`` and ``unit_at`` are their places."""

    number: float
    unit: str
    at: int
    unit_at: int


def parse_quantity(text: str, dimension: str, example: str = "") -> Quantity:
    """Read ``text`` as a quantity of ``dimension`` (a name in ``DIMENSIONS``), in SI.

    ``example`` is shown in messages in place of the dimension's own. Raises ``QuantityError``.
    """
    return read_quantity(text, dimension, example)[0]


def read_quantity(text: str, dimension: str, example: str = "") -> tuple[Quantity, str]:
    """Read like ``parse_quantity``, and return the unit in which the value was written as well."""
    return _Reader(text, dimension, example or DIMENSIONS[dimension].example).read()


class _Reader:
    """One reading of one text."""

    def __init__(self, text: str, dimension: str, example: str) -> None:
        self.text, self.name, self.example = text, dimension, example
        self.dimension = DIMENSIONS[dimension]
        self.eg = f'e.g. "{example}"'

    def read(self) -> tuple[Quantity, str]:
        self._refuse_odd_characters()
        signs = list(_SPREAD.finditer(self.text))
        if len(signs) > 1:
            self._refuse("quantity-unreadable", "there is more than one ±", signs[1].start())
        if not signs:
            value = self._piece(0, len(self.text))
            unit = self._unit(value)
            return Quantity(self._si(value, unit)), value.unit
        sign = signs[0]
        value = self._piece(0, sign.start())
        spread = self._piece(sign.end(), len(self.text))
        if spread.number < 0 or math.copysign(1.0, spread.number) < 0:
            self._refuse("quantity-negative-spread", "an uncertainty cannot be negative", spread.at)
        return self._uncertain(value, spread)

    def _uncertain(self, value: _Piece, spread: _Piece) -> tuple[Quantity, str]:
        if self.name == "number":
            return self._uncertain_number(value, spread)
        if spread.unit == "%":
            unit = self._unit(value)
            return Quantity(self._si(value, unit), self._share(value, unit, spread)), value.unit
        if not spread.unit and value.unit:
            mend = f'write "{self.text.strip()} {value.unit}"'
            self._refuse("quantity-no-unit", "the uncertainty has no unit", spread.at, mend=mend)
        spread_unit = self._unit(spread)
        if not value.unit:
            value = _Piece(value.number, spread.unit, value.at, spread.unit_at)
        unit = self._unit(value)
        sd = self._finite(spread_unit.difference(spread.number), spread.at)
        return Quantity(self._si(value, unit), sd), value.unit

    def _uncertain_number(self, value: _Piece, spread: _Piece) -> tuple[Quantity, str]:
        if value.unit != spread.unit and {value.unit, spread.unit} <= {"", "%"}:
            message = "it is not clear whether the % is meant for both numbers"
            self._refuse(
                "quantity-unclear-percent",
                message,
                spread.at,
                mend='write "0.95 ± 0.04" or "95 % ± 4 %"',
            )
        unit = self._unit(value)
        sd = self._unit(spread).difference(spread.number)
        return Quantity(self._si(value, unit), self._finite(sd, spread.at)), value.unit

    def _share(self, value: _Piece, unit: Unit, spread: _Piece) -> float:
        """Return an uncertainty that was given as a percentage of the value."""
        if unit.offset or self.name == "temperature":
            self._refuse(
                "quantity-unclear-percent", "a percentage of a temperature means nothing", spread.at
            )
        if value.number == 0.0:
            self._refuse(
                "quantity-unclear-percent", "a percentage of nothing is nothing", spread.at
            )
        return self._finite(unit.difference(abs(value.number)) * spread.number / 100.0, spread.at)

    def _piece(self, start: int, end: int) -> _Piece:
        """Split ``text[start:end]`` into its number and its unit."""
        while start < end and self.text[start] in " \t":
            start += 1
        found = _NUMBER.match(self.text, start, end)
        if found is None:
            self._refuse_number(start, end)
        rest = self.text[found.end() : end]
        unit = " ".join(rest.split())
        if _LEFT_OVER.match(unit):
            self._refuse_number(start, end)
        unit_at = found.end() + len(rest) - len(rest.lstrip())
        number = self._finite(float(found.group()), start)
        return _Piece(number, unit, start, unit_at)

    def _unit(self, piece: _Piece) -> Unit:
        unit = self.dimension.units.get(piece.unit)
        if unit is None:
            self._refuse_unit(piece)
        return unit

    def _si(self, piece: _Piece, unit: Unit) -> float:
        return self._finite(unit.to_si(piece.number), piece.at)

    def _finite(self, number: float, at: int) -> float:
        if not math.isfinite(number):
            self._refuse("quantity-not-finite", "this is not a finite number", at)
        return number

    def _refuse(self, code: str, message: str, at: int, width: int = 1, mend: str = "") -> NoReturn:
        mend = mend or f"write it like this, {self.eg}"
        raise QuantityError(code, message, mend, at, width)

    def _refuse_odd_characters(self) -> None:
        if len(self.text) > LONGEST:
            self._refuse("quantity-unreadable", f"this is longer than {LONGEST} characters", 0)
        for at, char in enumerate(self.text):
            if (char.isascii() and char.isprintable()) or char == "\t" or char in _BEYOND_ASCII:
                continue
            name = unicodedata.name(char, "unnamed").lower()
            message = f"the character U+{ord(char):04X} ({name}) cannot stand in a quantity"
            plain = self.text.translate(
                {0x2212: "-", 0x2013: "-", 0xA0: " ", 0x202F: " ", 0x2009: " "}
            )
            mend = f'write "{plain}"' if plain != self.text else ""
            self._refuse("quantity-odd-character", message, at, mend=mend)

    def _refuse_number(self, start: int, end: int) -> NoReturn:
        """Say what is wrong with a number that cannot be read."""
        piece = self.text[start:end]
        width = len(piece.rstrip())
        if not self.text.strip():
            self._refuse("quantity-unreadable", "there is nothing here", 0)
        if not piece.strip():
            at = max(0, min(start, len(self.text) - 1))
            self._refuse("quantity-unreadable", "the number is missing", at)
        if _NOT_FINITE.match(piece):
            self._refuse("quantity-not-finite", "this is not a finite number", start, width)
        if found := _THOUSANDS.match(piece):
            self._refuse_separators(found.group(), start)
        if found := _COMMA.match(piece):
            mend = f'write "{self.text.replace(",", ".").strip()}"'
            message = "a comma stands where a decimal point is needed"
            self._refuse("quantity-decimal-comma", message, start, len(found.group()), mend)
        if found := _TWO_POINTS.match(piece):
            message = "there are two decimal points in this number"
            self._refuse("quantity-unreadable", message, start, len(found.group()))
        if found := _BARE_POINT.match(piece):
            digits = found.group(2)
            whole = f"0{digits}" if digits[0] == "." else f"{digits}0"
            mended = self.text[:start] + found.group(1) + whole + piece[found.end() :]
            message = "digits are needed on both sides of the decimal point"
            self._refuse("quantity-unreadable", message, start, width, f'write "{mended.strip()}"')
        self._refuse("quantity-unreadable", "no number can be read here", start, width)

    def _refuse_separators(self, number: str, start: int) -> NoReturn:
        plain = self.text.replace(number, re.sub(r"[,_' ]", "", number), 1).strip()
        mend = f'write "{plain}"'
        if number.count(",") == 1 and "." not in number:
            pointed = self.text.replace(number, number.replace(",", "."), 1).strip()
            mend = f'write "{plain}" or "{pointed}", whichever is meant'
        message = "a separator stands between the digits"
        self._refuse("quantity-separator", message, start, len(number), mend)

    def _refuse_unit(self, piece: _Piece) -> NoReturn:
        """Say what is wrong with a unit that the dimension does not accept."""
        unit, at, width = piece.unit, piece.unit_at, len(piece.unit)
        need = self.dimension.words
        if not unit:
            message = f"the unit is missing; {need} is needed"
            self._refuse(
                "quantity-no-unit",
                message,
                piece.at,
                mend=f"put the unit behind the number, {self.eg}",
            )
        if homes := dimensions_of(unit):
            self._refuse_dimension(unit, homes[0], at)
        if unit in TWO_MEANINGS:
            mend = f"{TWO_MEANINGS[unit]}, {self.eg}"
            self._refuse(
                "quantity-unclear-unit", f'"{unit}" means different things', at, width, mend
            )
        first = unit.split()[0]
        if first != unit and first in self.dimension.units:
            extra = unit[len(first) :].strip()
            self._refuse(
                "quantity-trailing",
                f'"{extra}" stands behind the quantity',
                at + len(first) + 1,
                len(extra),
            )
        meant = self._nearest(unit)
        plain = [known for known in self.dimension.units if known.isascii() and "*" not in known]
        mend = f'did you mean "{meant}"?' if meant else f"use one of: {', '.join(plain)}"
        message = f'"{unit[:30]}" is not a known unit; {need} is needed'
        self._refuse("quantity-unknown-unit", message, at, width, mend)

    def _refuse_dimension(self, unit: str, home: str, at: int) -> NoReturn:
        given, need = DIMENSIONS[home].words, self.dimension.words
        if home == "number":
            given = "a percentage" if unit == "%" else given
        mend = f"write {need}, {self.eg}"
        if {home, self.name} == {"gauge_pressure", "absolute_pressure"}:
            mend = f"write it as {self.name.split('_')[0]}, {self.eg}"
        if self.name == "number":
            mend = f"write a plain number, {self.eg}"
        message = f"{given} stands where {need} is needed"
        self._refuse("quantity-wrong-dimension", message, at, len(unit), mend)

    def _nearest(self, unit: str) -> str | None:
        """Return the accepted unit that was probably meant, or None."""
        units = self.dimension.units
        for guess in (HINTS.get(unit), HINTS.get(unit.lower())):
            if guess in units:
                return guess
        for known in units:
            if known and known.lower() == unit.lower():
                return known
        from difflib import get_close_matches  # only when something is wrong already

        close = get_close_matches(unit[:30], [known for known in units if known], n=1, cutoff=0.6)
        return close[0] if close else None
