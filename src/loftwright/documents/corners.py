"""Corners of a shape on the ground: ``"40 m, -20 m"`` or ``"40.00012 deg, -100.00045 deg"``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from loftwright.documents.examples import quantity_in
from loftwright.documents.source import Source, UnreadError
from loftwright.documents.spans import Path
from loftwright.errors import Problem
from loftwright.units import QuantityError, read_quantity

__all__ = ["Corner", "Geographic", "Local", "read_corners"]

MOST = 200  # corners of a shape; keeps every check's time bounded


def _example(source: Source) -> str:
    return ", ".join(quantity_in(each, "length", source.system) for each in ("40 m", "-20 m"))


def _forms(source: Source) -> str:
    east_north = _example(source)
    return (
        f'east and north of the pad, "{east_north}", or latitude and longitude, "52.1 deg, 4.9 deg"'
    )


@dataclass(frozen=True, slots=True)
class Local:
    """A corner in metres east and north of the pad."""

    east: float
    north: float


@dataclass(frozen=True, slots=True)
class Geographic:
    """A corner in radians of latitude (north positive) and longitude (east positive)."""

    latitude: float
    longitude: float


Corner = Local | Geographic


def read_corners(value: Any, source: Source, path: Path) -> tuple[Corner, ...]:
    """Return the corners that stand at ``path``; every one that cannot be read is reported.

    Raises ``UnreadError`` after reporting.
    """
    if not isinstance(value, list):
        mend = f'write a list of corners, corners = ["{_example(source)}", ...]'
        source.report("doc-wrong-kind", path, "a list of corners is needed here", mend)
        raise UnreadError
    if len(value) > MOST:
        message = f"a shape takes {MOST} corners at most; {len(value)} stand here"
        source.report("site-corner", path, message, "leave out those that change little")
        raise UnreadError
    found = [_corner(each, source, (*path, number)) for number, each in enumerate(value)]
    read = tuple(corner for corner in found if corner is not None)
    if len(read) < len(found):
        raise UnreadError
    return read


def _corner(value: Any, source: Source, path: Path) -> Corner | None:
    number = int(path[-1]) + 1
    if not isinstance(value, str):
        mend = f'put both numbers into one text, "{_example(source)}"'
        source.report("site-corner", path, f"corner {number} is not a text", mend)
        return None
    parts = value.split(",")
    if len(parts) != 2:
        message = f"corner {number} is not two numbers with one comma between them"
        mend = f"write {_forms(source)}; decimals take a point"
        source.report("site-corner", path, message, mend)
        return None
    first = _number(parts[0], number, 0, source, path)
    second = _number(parts[1], number, len(parts[0]) + 1, source, path)
    if first is None or second is None:
        return None
    return _joined(first, second, number, source, path)


def _number(
    text: str, corner: int, at: int, source: Source, path: Path
) -> tuple[str, float] | None:
    """Read one of the two numbers as a length, or else as an angle."""
    try:
        dimension = _dimension(text)
        found, _ = read_quantity(text, dimension)
    except QuantityError as error:
        where = source.where(path, at=at + error.at, width=error.width)
        message = f"corner {corner}: {error.message}"
        mend = error.mend if error.mend.startswith("write") else f"write {_forms(source)}"
        source.problems.append(Problem(error.code, message, where, mend))
        return None
    if found.sd:
        message = f"corner {corner} has an uncertainty; corners are taken as they stand"
        mend = "leave it out; move the corner to the careful side instead"
        source.report("site-corner", path, message, mend)
        return None
    return dimension, found.value


def _dimension(text: str) -> str:
    try:
        read_quantity(text, "length", "40 m")
    except QuantityError as error:
        try:
            read_quantity(text, "angle", "52.1 deg")
        except QuantityError:
            raise error from None
        return "angle"
    return "length"


def _joined(
    first: tuple[str, float], second: tuple[str, float], number: int, source: Source, path: Path
) -> Corner | None:
    (one, a), (other, b) = first, second
    if one != other:
        message = f"corner {number} mixes a length with an angle"
        source.report("site-corner-mixed", path, message, f"write {_forms(source)}")
        return None
    if one == "length":
        return Local(a, b)
    if abs(a) > 1.5707964 or abs(b) > 3.1415927:
        message = f"corner {number} lies beyond the pole or once around the earth"
        mend = 'write latitude first, then longitude, "52.1 deg, 4.9 deg"'
        source.report("site-corner", path, message, mend)
        return None
    return Geographic(a, b)
