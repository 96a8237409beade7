"""What is aimed at and what must hold, in short phrases: ``least reach``, ``apogee > 60 m``.

An aim is ``[most|least] [p05|median|p95] FIGURE``, or ``FIGURE near VALUE``. A limit is
``[p05|median|p95] FIGURE < VALUE`` or ``>``. Figures come from a fixed table, values are read by
the documents' own strict reader; nothing is ever evaluated as code. A chance, such as
``tree_risk < 5 %``, is counted over all flights of a point.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, NoReturn

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.study import figures
from loftwright.units import QuantityError, format_quantity, read_quantity

__all__ = ["CHANCE", "STATISTICS", "Aim", "Limit", "read_aim", "read_limit", "statistic", "usual"]

Floats = NDArray[np.float64]

STATISTICS: Final = {"p05": 5.0, "median": 50.0, "p95": 95.0}
CHANCE: Final = "chance"  # the share of flights, of what happens or does not
# A figure that happens in fewer flights than this is not spoken of.
OFTEN: Final = 0.5
# How far beyond a limit counts as having kept it: less than any model of this kind can tell.
SLACK: Final = 1e-4
NOTHING: Final = 1e-9  # SI; no figure has a limit this near to zero but zero
# The violation of a limit on a figure that did not happen at all.
NEVER: Final = 1e3

_LIMIT = re.compile(r"(?P<figure>[^<>=]+?)\s*(?P<sign><=?|>=?)\s*(?P<value>[^<>=]+)")
_NEAR = re.compile(r"(?P<figure>.+?)\s+near\s+(?P<value>.+)")


def usual(key: str) -> str:
    """Return the statistic that stands for a figure of many flights."""
    return CHANCE if figures.is_chance(key) else "median"


def statistic(column: Floats, name: str) -> Floats:
    """Return one number a point: the column itself, or a percentile or share over its flights.

    Of flights in which it did not happen nothing is taken; NaN where it happened in under half,
    and of a share where it happened in none.
    """
    if column.ndim == 1:
        return column
    happened = np.isfinite(column)
    often = happened.mean(axis=1) >= OFTEN
    found = np.full(len(column), np.nan)
    if name == CHANCE:
        often = happened.any(axis=1)
        found[often] = np.nanmean(column[often], axis=1)
    elif often.any():
        found[often] = np.nanpercentile(column[often], STATISTICS[name], axis=1)
    return found


@dataclass(frozen=True, slots=True)
class Aim:
    """A figure to make as large, as small, or as near to a value as can be."""

    text: str
    figure: str  # a column
    statistic: str
    direction: str  # "most", "least" or "near"
    target: float = 0.0

    def value(self, column: Floats) -> Floats:
        """Return the figure itself at each point."""
        return statistic(column, self.statistic)

    def cost(self, column: Floats) -> Floats:
        """Return what is to be made small at each point; NaN where the figure did not happen."""
        value = self.value(column)
        if self.direction == "near":
            return np.abs(value - self.target)
        return -value if self.direction == "most" else value


@dataclass(frozen=True, slots=True)
class Limit:
    """A figure that must stay on one side of a value."""

    text: str
    figure: str
    statistic: str
    at_most: bool
    bound: float

    def value(self, column: Floats) -> Floats:
        """Return the figure itself at each point."""
        return statistic(column, self.statistic)

    def excess(self, column: Floats) -> Floats:
        """Return by how much the limit is broken, as a share of it; negative is room left."""
        over = self.value(column) - self.bound
        over = (over if self.at_most else -over) / self.scale
        return np.where(np.isfinite(over), over, NEVER)

    @property
    def scale(self) -> float:
        """Return what an excess is a share of: the value itself, or one where that is nothing."""
        return abs(self.bound) if abs(self.bound) > NOTHING else 1.0

    def loosened(self, share: float) -> Limit:
        """Return the limit moved outwards by a share of its value."""
        step = share * abs(self.bound)
        return replace(self, bound=self.bound + (step if self.at_most else -step))


def read_aim(campaign: Campaign, text: str, *, spread: bool) -> Aim:
    """Read an aim; ``spread`` tells whether there will be many flights a point.

    Without ``most`` or ``least`` the better direction of the figure is taken; without a statistic
    the median.
    """
    words = text.split()
    direction = words.pop(0) if words and words[0] in ("most", "least") else ""
    rest, chosen = _statistic(words, text, "--aim", spread)
    near = _NEAR.fullmatch(rest)
    key = _figure(campaign, near["figure"] if near else rest, text, "--aim")
    _refuse_percentile(chosen, key, text, "--aim")
    if near and direction:
        message = "an aim is most, least or near, not two of them"
        _refuse(message, text, 'write "apogee near 60 m"', "--aim")
    if near:
        target = _value(near["value"], key, "--aim")
        return Aim(text, key, chosen or usual(key), "near", target)
    if figures.two_sided(key):
        message = f"{figures.short_name(key)} has two sides, and neither is better"
        name = figures.short_name(key).replace("_", " ")
        _refuse(message, text, f'aim at least reach, or write "{name} near 0 m"', "--aim")
    if figures.is_chance(key) and not spread:
        message = "a chance is counted over many flights, and each point is flown once"
        other = ", or aim at field_margin" if key.endswith("inside_field") else ""
        _refuse(message, text, f"add --flights 200{other}", "--aim")
    better = "least" if figures.less_is_better(key) else "most"
    return Aim(text, key, chosen or usual(key), direction or better)


def read_limit(campaign: Campaign, text: str, *, spread: bool) -> Limit:
    """Read a limit. Without a statistic the careful side is held: p95 under, p05 over a value."""
    found = _LIMIT.fullmatch(text.strip())
    if found is None:
        message = "this is not FIGURE < VALUE or FIGURE > VALUE"
        _refuse(message, text, 'write it like "max_acceleration < 60 g"', "--limit")
    rest, chosen = _statistic(found["figure"].split(), text, "--limit", spread)
    key = _figure(campaign, rest, text, "--limit")
    _refuse_percentile(chosen, key, text, "--limit")
    at_most = found["sign"].startswith("<")
    careful = "p95" if at_most else "p05"
    careful = CHANCE if figures.is_chance(key) else careful
    return Limit(text, key, chosen or careful, at_most, _value(found["value"], key, "--limit"))


def _refuse_percentile(chosen: str, key: str, text: str, option: str) -> None:
    if chosen and figures.is_chance(key):
        message = "a chance is counted over all flights: it has no percentiles"
        _refuse(message, text, f"leave {chosen} out", option)


def _figure(campaign: Campaign, words: str, text: str, option: str) -> str:
    if not words.strip():
        _refuse("no figure is named", text, 'name one, such as "apogee"', option)
    return figures.figure_key(words, figures.known_keys(campaign), option)


def _statistic(words: Sequence[str], text: str, option: str, spread: bool) -> tuple[str, str]:
    """Split a leading statistic off; it needs flights to be taken over."""
    chosen = words[0] if words and words[0] in STATISTICS else ""
    if chosen and not spread:
        message = f"{chosen} is of many flights, and each point is flown once"
        _refuse(message, text, "add --flights 200, or leave it out", option)
    return " ".join(words[1:] if chosen else words), chosen


def _value(text: str, key: str, option: str) -> float:
    kind = figures.dimension(key)
    if kind == "impulse":
        # A force for a time: what stands before the seconds is read as a force.
        stem = text.strip()
        text, kind = (stem.removesuffix("s").strip() if stem.endswith(" s") else stem), "force"
        if text == stem:
            _refuse("an impulse is needed", stem, 'write it like "12 N s"', option)
    try:
        quantity, unit = read_quantity(text.strip(), kind)
    except QuantityError as error:
        where = Where(field=option, value=text.strip())
        raise ProblemError([Problem(error.code, error.message, where, error.mend)]) from None
    if quantity.sd:
        shown = format_quantity(quantity.value, kind, unit=unit)
        _refuse("a limit has no ±", text.strip(), f"write {shown}", option)
    return figures.in_column(key, quantity.value)


def _refuse(message: str, value: str, mend: str, option: str) -> NoReturn:
    where = Where(field=option, value=value.strip()[:80])
    raise ProblemError([Problem("study-phrase", message, where, mend)])
