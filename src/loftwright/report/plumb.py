"""The plumb line beside the vehicle: where it balances, where the air acts, and the lever."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from loftwright.report import svg
from loftwright.report.labels import push_apart
from loftwright.report.quantities import amount, digits
from loftwright.report.scales import Scale
from loftwright.report.svg import Box

__all__ = ["BELOW", "Mark", "draw_plumb", "lever_marks", "plumb_marks", "plumb_room", "words_step"]

BELOW = 20.0  # px by which words may begin below the vehicle's end


@dataclass(frozen=True, slots=True)
class Mark:
    """A tick (``aft`` equal to ``fore``) or a lever on the line, m from the nose, in two lines."""

    words: str
    detail: str
    fore: float
    aft: float
    role: str = "ink"

    @property
    def middle(self) -> float:
        """Where the words want to stand, m from the nose."""
        return (self.fore + self.aft) / 2


def _length(si: float, system: str) -> str:
    return amount(si, "length", system)


def plumb_marks(check: Mapping[str, Any], system: str) -> list[Mark]:
    """Return the ticks: balance full and empty, and where the air acts; unknown ones left out."""
    balance = check.get("balance_from_nose_m") or {}
    places = [
        ("balance, full", balance.get("full")),
        ("balance, empty", balance.get("empty")),
        ("air acts here", check.get("aerodynamic_centre_from_nose_m")),
    ]
    return [
        Mark(words, f"{_length(at, system)} from nose", at, at)
        for words, at in places
        if at is not None and math.isfinite(at)
    ]


def lever_marks(check: Mapping[str, Any], system: str) -> list[Mark]:
    """Return the levers from balance to where the air acts, a warning when below one calibre."""
    balance = check.get("balance_from_nose_m") or {}
    calibres = check.get("stability_calibres") or {}
    acts = check.get("aerodynamic_centre_from_nose_m")
    marks = []
    for state in ("full", "empty"):
        at, margin = balance.get(state), calibres.get(state)
        if at is None or acts is None or margin is None or not math.isfinite(at + acts + margin):
            continue
        weak = margin < 1.0
        words = f"{'! ' if weak else ''}{state}: {amount(abs(acts - at), 'length', system, 2)}"
        size = digits(abs(margin), 2)
        detail = f"{size} calibres" if margin >= 0 else f"{size} cal. ahead"
        marks.append(
            Mark(words, detail, min(at, acts), max(at, acts), "warning" if weak else "vehicle")
        )
    return marks


def words_step(size: float) -> float:
    """Return how far apart the words of two marks stand, px; each has two lines of ``size``."""
    return 2 * size + 10


def _words_left(levers: int) -> float:
    """Where the words begin, px right of the line."""
    return 32.0 + 8.0 * levers


def plumb_room(marks: Sequence[Mark], levers: int, size: float) -> float:
    """Return the room in px that the line, so many levers and the words of all marks take."""
    widths = [svg.text_width(m.words, size, bold=m.role != "ink") for m in marks]
    widths += [svg.text_width(m.detail, size - 1) for m in marks]
    return _words_left(levers) + max(widths, default=0.0)


def draw_plumb(
    ticks: list[Mark],
    levers: list[Mark],
    down: Scale,
    x: float,
    size: float,
    system: str,
    *,
    beside: Sequence[tuple[Mark, float]] = (),
    spare: float = 0.0,
) -> tuple[str, list[Box]]:
    """Return the plumb line at ``x`` and the room of its words; ``down`` maps m to px.

    ``beside`` holds other things to name in the same column, each with the px across at which a
    line from its words ends. Words may use ``spare`` px above and below what they have otherwise.
    """
    parts = [_line(down, x, system)]
    for row, lever in enumerate(levers):
        at = x + 9 + 8 * row
        first, last = down(lever.fore), down(lever.aft)
        box = Box(at - 2.5, first, at + 2.5, max(last, first + 2))
        parts.append(svg.rect(box, fill=f"var(--{lever.role})"))
    for tick in ticks:
        y = down(tick.fore)
        parts.append(svg.line(x - 8, y, x + 9 + 8 * len(levers), y, role="ink", width=2))
    marks = [(tick, x + 9 + 8 * len(levers)) for tick in ticks]
    marks += [(lever, x + 13 + 8 * row) for row, lever in enumerate(levers)]
    within = (down.start - spare, down.end + BELOW + spare)
    words, boxes = _words([*marks, *beside], down, within, x + _words_left(len(levers)), size)
    return "".join(parts) + words, boxes


def _line(down: Scale, x: float, system: str) -> str:
    step = 0.1524 if system == "us" else 0.1
    first, last = math.ceil(down.low / step - 1e-9), math.floor(down.high / step + 1e-9)
    marks = "".join(
        svg.line(x - 4, down(k * step), x, down(k * step), role="quiet")
        for k in range(first, last + 1)
    )
    end = down.end + 12
    bob = f'<path d="M{svg.num(x)},{svg.num(end)}l4,6l-4,10l-4,-10Z" fill="var(--quiet)"/>'
    return svg.line(x, down.start, x, end, role="quiet") + marks + bob


def _words(
    marks: Sequence[tuple[Mark, float]],
    down: Scale,
    within: tuple[float, float],
    left: float,
    size: float,
) -> tuple[str, list[Box]]:
    wanted = [down(mark.middle) for mark, _ in marks]
    places = push_apart(wanted, words_step(size), *within)
    parts, boxes = [], []
    for (mark, edge), y, at in zip(marks, places, wanted, strict=True):
        parts.append(svg.line(edge, at, left - 4, y, role="rule"))
        parts.append(
            svg.text(left, y, mark.words, size=size, role=mark.role, bold=mark.role != "ink")
        )
        parts.append(svg.text(left, y + size + 1, mark.detail, size=size - 1, role="quiet"))
        boxes.append(svg.text_box(left, y, mark.words, size, bold=mark.role != "ink"))
        boxes.append(svg.text_box(left, y + size + 1, mark.detail, size - 1))
    return "".join(parts), boxes
