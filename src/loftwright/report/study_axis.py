"""Axes of a study: a varied quantity in the unit its range was written in, a figure in ours."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.report import svg
from loftwright.report.quantities import digits, unit_of
from loftwright.report.scales import Scale, nice_ticks, tick_texts
from loftwright.report.words import figure, input_words
from loftwright.study.spans import Span
from loftwright.units import DIMENSIONS

__all__ = ["Axis", "figure_axis", "hatching", "span_axis"]

ROOM = 0.06  # of a range of figures left free above and below


@dataclass(frozen=True, slots=True)
class Axis:
    """A quantity along one side of a drawing, on the page by `at`; ``unit`` may be empty."""

    words: str
    unit: str
    size: float  # SI of one unit
    zero: float
    scale: Scale  # in the shown unit
    whole: bool = False

    def at(self, si: float) -> float:
        """Return the place of an SI value."""
        return self.scale((si - self.zero) / self.size)

    def shown(self, si: float) -> str:
        """Return an SI value with its unit."""
        value = (si - self.zero) / self.size
        number = f"{value:.0f}" if self.whole else digits(value)
        return f"{number}\u00a0{self.unit}".rstrip("\u00a0")

    def ticks(self, about: int) -> list[tuple[float, str]]:
        """Return places and words of round values."""
        values = nice_ticks(self.scale.low, self.scale.high, about)
        if self.whole:
            values = [value for value in values if value == round(value)]
        return [
            (self.scale(value), text)
            for value, text in zip(values, tick_texts(values), strict=True)
        ]

    @property
    def title(self) -> str:
        """Return what is shown and in which unit."""
        return f"{self.words}, {self.unit}" if self.unit else self.words

    def along(self, y: float, about: int, size: float) -> str:
        """Draw the axis from left to right below ``y``, its title beneath."""
        parts = [svg.line(self.scale.start, y, self.scale.end, y)]
        for x, words in self.ticks(about):
            parts.append(svg.line(x, y, x, y + 5))
            parts.append(svg.text(x, y + 19, words, size=size, role="quiet", anchor="middle"))
        middle = 0.5 * (self.scale.start + self.scale.end)
        parts.append(svg.text(middle, y + 38, self.title, size=size, anchor="middle"))
        return "".join(parts)

    def upwards(self, left: float, right: float, about: int, size: float) -> str:
        """Draw the axis from bottom to top with hairlines to ``right``."""
        parts = []
        for y, words in self.ticks(about):
            parts.append(svg.line(left, y, right, y))
            parts.append(svg.text(left - 7, y + 4, words, size=size, role="quiet", anchor="end"))
        return "".join(parts)


def span_axis(span: Span, start: float, end: float) -> Axis:
    """Return the axis of a varied quantity in the unit that its range was written in."""
    if span.whole:
        return Axis(_words(span), "", 1.0, 0.0, Scale(span.low, span.high, start, end), True)
    known = DIMENSIONS[span.rule.dimension or "number"].units[span.unit]
    low, high = ((end_ - known.offset) / known.factor for end_ in (span.low, span.high))
    return Axis(_words(span), span.unit, known.factor, known.offset, Scale(low, high, start, end))


def _words(span: Span) -> str:
    words = input_words(span.path)
    return words[:1].upper() + words[1:]


def figure_axis(key: str, low: float, high: float, start: float, end: float, system: str) -> Axis:
    """Return the axis of a figure from ``low`` to ``high``, SI, with a little room around."""
    known = figure(key)
    unit = unit_of(known.kind, system)
    low, high = unit.of(low), unit.of(high)
    room = ROOM * (high - low) or 0.05 * abs(high) or 1.0
    words = known.words[:1].upper() + known.words[1:]
    scale = Scale(low - room, high + room, start, end)
    return Axis(words, unit.symbol, unit.size, unit.zero, scale)


def hatching(name: str) -> str:
    """Return a definition of hatching in the colour of warnings, for ``url(#name)``."""
    return (
        f'<defs><pattern id="{name}" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="7" '
        'stroke="var(--warning)" stroke-width="1.4" stroke-opacity="0.55"/></pattern></defs>'
    )
