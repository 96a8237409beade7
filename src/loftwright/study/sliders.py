"""Quantities as sliders: in the unit of the document, over a range worth looking at."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from loftwright.documents.campaign import Campaign
from loftwright.documents.examples import example_in
from loftwright.documents.fields import FieldRule
from loftwright.errors import ProblemError
from loftwright.study.asked import asked_campaign
from loftwright.study.spans import variable
from loftwright.units import (
    DIMENSIONS,
    QuantityError,
    display_units,
    format_quantity,
    from_si,
    read_quantity,
)

__all__ = [
    "Slider",
    "default_paths",
    "knob_slider",
    "readable",
    "slider",
    "sliders",
    "written_values",
]

AROUND: Final = 0.5  # of the value, to either side, where nothing tells a better range
SPREADS: Final = 6.0  # standard uncertainties to either side, at least
STEPS: Final = 100  # about so many from end to end
TURN: Final = 2.0 * math.pi
# Shown first, where the campaign has them: what is turned on the pad and on the bench.
DEFAULTS: Final[tuple[str, ...]] = (
    "vehicle.fill.water_volume",
    "vehicle.fill.gauge_pressure",
    "payload.mass",
    "site.wind.speed",
    "site.wind.from",
    "payload.release.climb",
    "payload.release.time",
    "vehicle.canopy.climb",
    "vehicle.canopy.time",
    "boosters.fill.water_volume",
    "upper.fill.gauge_pressure",
)
MOST_SHOWN: Final = 6
# Of what is zero: as far as is worth looking at, SI.
FROM_NOTHING: Final = {"length": 0.1, "angle": math.radians(10.0), "speed": 5.0, "mass": 0.1}
# Any direction is worth looking at.
BEARINGS: Final = ("site.wind.from", "site.launch.azimuth")


@dataclass(frozen=True, slots=True)
class Slider:
    """A quantity that can be slid; numbers are in ``unit``.

    ``text`` is the value without its spread; ``spread`` what stands behind ± in the document, or
    "". ``stands`` tells whether the document has the field at all.
    """

    path: str
    doc: str
    dimension: str
    unit: str
    number: float
    spread: str
    low: float
    high: float
    step: float
    whole: bool
    stands: bool = True

    @property
    def places(self) -> int:
        """Decimals of a step."""
        return max(0, -math.floor(math.log10(self.step) + 1e-9))

    @property
    def text(self) -> str:
        """The value as it is written, without its spread."""
        return self.written(self.number)

    def written(self, number: float) -> str:
        """Return a number of this slider as a person writes it."""
        shown = f"{number:.{self.places + 2}f}"
        shown = shown.rstrip("0").rstrip(".") if "." in shown else shown
        return f"{shown} {self.unit}".strip()

    def written_si(self, value: float) -> str:
        """Return an SI value as a person writes it."""
        if self.whole:
            return f"{value:.0f}"
        return self.written(float(from_si(value, self.dimension, self.unit)))

    def full(self, text: str) -> str:
        """Return ``text`` with the document's spread behind it, as the document would have it."""
        return f"{text} ± {self.spread}" if self.spread and "±" not in text else text


def default_paths(campaign: Campaign) -> list[str]:
    """Return the quantities that are worth sliding first, at most six."""
    known = variable(campaign)
    there = [path for path in DEFAULTS if path in known and known[path][1] is not None]
    return there[:MOST_SHOWN]


def written_values(folder: Path, campaign: Campaign) -> dict[str, str]:
    """Return what stands in the documents at each path of a number, as it is written.

    A document that cannot be read any more is left out: whoever reads the campaign tells why.
    """
    found: dict[str, str] = {}
    for role in campaign.documents:
        name = getattr(campaign.head, role)
        try:
            data = tomllib.loads((folder / name).read_text(encoding="utf-8-sig"))
        except (OSError, ValueError):
            continue
        found |= dict(_texts(data, role))
    return found


def _texts(data: Any, path: str) -> Iterator[tuple[str, str]]:
    parts = data.items() if isinstance(data, dict) else enumerate(data)
    for word, value in parts:
        here = f"{path}.{word}"
        if isinstance(value, dict) or (
            isinstance(value, list) and value and isinstance(value[0], dict)
        ):
            yield from _texts(value, here)
        elif isinstance(value, str | int | float) and not isinstance(value, bool):
            yield here, str(value)


def sliders(campaign: Campaign, folder: Path) -> dict[str, Slider]:
    """Return every number of the documents as a slider, by path."""
    written = written_values(folder, campaign)
    system = campaign.head.units
    return {
        path: slider(path, rule, now, written.get(path, ""), system)
        for path, (rule, now) in variable(campaign).items()
    }


def slider(path: str, rule: FieldRule, now: float | None, written: str, system: str) -> Slider:
    """Return one number as a slider.

    Parameters
    ----------
    now : float, optional
        SI; None for a field that is left out, which begins at the example of its declaration.
    written : str
        As it stands in the document, spread and all; "" where it does not.
    system : str
        Of units, for what stands nowhere: its example, as somebody writes it who thinks in them.
    """
    if rule.kind == "whole":
        return _whole(path, rule, now)
    dimension = rule.dimension or "number"
    unit, sd = display_units(system)[dimension], 0.0
    for text in (written, example_in(rule, system)):
        try:
            quantity, own = read_quantity(text, dimension)
        except QuantityError:
            continue
        if text == written or not written:
            unit, sd = own, quantity.sd
        now = quantity.value if now is None or text == written else now
        break
    value = 0.0 if now is None else now
    low, high = _range(path, rule, value, sd)
    ends = sorted((from_si(low, dimension, unit), from_si(high, dimension, unit)))
    step = _step(ends[1] - ends[0])
    number = float(from_si(value, dimension, unit))
    return Slider(
        path,
        rule.doc,
        dimension,
        unit,
        _tidy(number),
        _spread_of(written),
        _inside(math.floor(ends[0] / step) * step, rule, dimension, unit, step),
        _inside(math.ceil(ends[1] / step) * step, rule, dimension, unit, -step),
        step,
        whole=False,
        stands=bool(written),
    )


def readable(campaign: Campaign, one: Slider) -> Slider:
    """Return a slider of the documents that ends where they begin to refuse its values.

    Such as a fill beyond what the vessel was tested to. Its range keeps whole steps.
    """
    ends = [_reach(campaign, one, end) for end in (one.low, one.high)]
    return replace(one, low=ends[0], high=ends[1])


def _reach(campaign: Campaign, one: Slider, end: float) -> float:
    """Halve the way from an end to the slider's own value, in steps, until it can be read."""

    def reads(steps: int) -> bool:
        try:
            asked_campaign(campaign, {one.path: one.written(end + way * steps * one.step)})
        except ProblemError:
            return False
        return True

    way = 1 if end < one.number else -1
    if reads(0):
        return end
    outside, inside = 0, max(math.floor(abs(one.number - end) / one.step), 0)
    while inside - outside > 1:
        middle = (inside + outside) // 2
        outside, inside = (outside, middle) if reads(middle) else (middle, inside)
    return _tidy(end + way * inside * one.step)


def _whole(path: str, rule: FieldRule, now: float | None) -> Slider:
    number = float(rule.example) if now is None else now
    low = max(rule.at_least or 0, number - 5)
    high = number + 5 if rule.at_most is None else min(rule.at_most, number + 5)
    return Slider(
        path, rule.doc, "number", "", number, "", low, high, 1.0, whole=True, stands=now is not None
    )


def _range(path: str, rule: FieldRule, value: float, sd: float) -> tuple[float, float]:
    """Return a range around a value, SI, within the bounds of its field."""
    if path in BEARINGS:
        return 0.0, TURN
    reach = max(AROUND * abs(value), SPREADS * sd)
    if rule.dimension == "temperature":
        reach = max(15.0, SPREADS * sd)  # of kelvin a share says nothing
    if reach == 0.0:
        reach = FROM_NOTHING.get(
            rule.dimension or "", 1.0 if rule.at_most is None else rule.at_most
        )
    low, high = value - reach, value + reach
    least = rule.at_least if rule.at_least is not None else rule.above
    if least is not None:
        low = max(low, least)
    elif value > 0.0 and reach == AROUND * value:
        low = max(low, 0.0)
    if rule.at_most is not None:
        high = min(high, rule.at_most)
    return low, high


def _inside(end: float, rule: FieldRule, dimension: str, unit: str, inward: float) -> float:
    """Move an end that rounding has put outside the field's bounds back in, by a step."""
    known = DIMENSIONS[dimension].units[unit]
    value = known.to_si(end)
    low = rule.at_least if rule.at_least is not None else -math.inf
    above = rule.above if rule.above is not None else -math.inf
    high = rule.at_most if rule.at_most is not None else math.inf
    outside = value < low - 1e-12 or value <= above or value > high * (1.0 + 1e-12)
    return _tidy(end + inward if outside else end)


def _tidy(number: float) -> float:
    return float(f"{number:.9g}")


def _step(reach: float) -> float:
    """Return a round step: 1, 2 or 5 times a power of ten."""
    about = max(reach, 1e-12) / STEPS
    power = 10.0 ** math.floor(math.log10(about))
    return next(_tidy(size * power) for size in (1, 2, 5, 10) if size * power >= about * 0.999)


def _spread_of(written: str) -> str:
    for sign in ("±", "+/-", "+-"):
        if sign in written:
            return written.partition(sign)[2].strip()
    return ""


def knob_slider(path: str, words: str, dimension: str, now: float, system: str) -> Slider:
    """Return a number of a release program as a slider; it has no spread."""
    shown = format_quantity(now, dimension, system, digits=4)
    unit = shown.unit
    value = float(from_si(now, dimension, unit))
    step = _step(2.0 * AROUND * abs(value) or 1.0)
    low, high = value - AROUND * abs(value), value + AROUND * abs(value)
    return Slider(
        path, words, dimension, unit, _tidy(value), "",
        _tidy(math.floor(low / step) * step), _tidy(math.ceil(high / step) * step or step),
        step, whole=False,
    )  # fmt: skip
