"""What one aim of a program costs another: a trade-off with its intervals, and what was chosen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.flight.results import Provenance
from loftwright.report import svg
from loftwright.report.answer import Answer
from loftwright.report.chance_axis import chance_axis
from loftwright.report.page import all_widths, shared
from loftwright.report.pair import Pair, pairs_context
from loftwright.report.quantities import amount, span, unit_of
from loftwright.report.reading import hundredths
from loftwright.report.scales import Scale
from loftwright.report.study_axis import Axis
from loftwright.report.study_front import WIDTHS, Frame
from loftwright.report.svg import Box
from loftwright.report.templating import environment

__all__ = ["Aim", "TradeOff", "TradePoint", "draw_trade", "trade_rows", "tune_page"]

CHANCE = "chance"
ROOM = 0.07  # of a range left free above and below
SMALL = 12.5


@dataclass(frozen=True, slots=True)
class Aim:
    """What is traded: its words, its kind of figure (``"height"``, ``"chance"``), which is better.

    A chance is a share from 0 to 1.
    """

    words: str
    kind: str
    most: bool


@dataclass(frozen=True, slots=True)
class TradePoint:
    """A setting that was tried: both aims, SI, each with its 95 % interval."""

    settings: dict[str, str]  # what is set, and to what, in words
    aims: tuple[float, float]
    low: tuple[float, float]
    high: tuple[float, float]
    is_on_front: bool = False
    is_chosen: bool = False
    is_written: bool = False  # as the documents have it now
    words: str = ""


@dataclass(frozen=True, slots=True)
class TradeOff:
    """Points between two aims: the first one is drawn upwards, the second one along."""

    aims: tuple[Aim, Aim]
    points: tuple[TradePoint, ...]
    lead: str  # what was chosen, and why, in a sentence or two
    sentences: tuple[str, ...] = ()


def tune_page(
    campaign: Campaign, found: TradeOff, provenance: Provenance, pairs: Sequence[Pair] = ()
) -> str:
    """Return the report of a tuned program as one self-contained HTML document.

    ``pairs`` show flights of two settings side by side.
    """
    system = campaign.head.units
    heads, rows = trade_rows(found, system)
    context: dict[str, Any] = shared(campaign, provenance) | {
        "answer": Answer(found.lead, (), found.sentences, ()),
        "warnings": [],
        "strips": [],
        "flights": provenance.flights,
        "drawing": all_widths(WIDTHS, lambda frame, kind: draw_trade(found, system, frame, kind)),
        "heads": heads,
        "rows": rows,
        **pairs_context(pairs),
    }
    return environment().get_template("tune.html.j2").render(context)


def _shown(value: float, aim: Aim, system: str) -> str:
    if aim.kind == CHANCE:
        return "none" if value <= 0.0 else "all" if value >= 1.0 else hundredths(value)
    return amount(value, aim.kind, system)


def _with_range(point: TradePoint, which: int, aim: Aim, system: str) -> str:
    value = _shown(point.aims[which], aim, system)
    low, high = (_shown(ends[which], aim, system) for ends in (point.low, point.high))
    if point.aims[which] <= 0.0 and aim.kind == CHANCE:
        return f"none (up to {high})"
    if point.aims[which] >= 1.0 and aim.kind == CHANCE:
        return f"all (at least {low})"
    if low == high:
        return value
    if aim.kind == CHANCE:
        return f"{value} ({low} to {high})"
    return f"{value} ({span(point.low[which], point.high[which], aim.kind, system, 3)})"


def trade_rows(found: TradeOff, system: str) -> tuple[list[str], list[dict[str, Any]]]:
    """Return heads and rows of all points, those that nothing beats first, best aim first."""
    names = list(dict.fromkeys(name for point in found.points for name in point.settings))
    heads = [*names, *(_title(aim) for aim in found.aims), "is"]
    sign = -1.0 if found.aims[0].most else 1.0
    ordered = sorted(found.points, key=lambda point: (not point.is_on_front, sign * point.aims[0]))
    rows = [
        {
            "cells": [
                *(point.settings.get(name, "–") for name in names),
                *(_with_range(point, k, aim, system) for k, aim in enumerate(found.aims)),
                _verdict(point),
            ],
            "chosen": point.is_chosen,
            "rest": not point.is_on_front and not point.is_written,
        }
        for point in ordered
    ]
    return heads, rows


def _title(aim: Aim) -> str:
    return f"{aim.words}, in 100 flights" if aim.kind == CHANCE else aim.words


def _verdict(point: TradePoint) -> str:
    said = [words for true, words in (
        (point.is_chosen, "chosen"), (point.is_written, "as written"),
        (not point.is_on_front, "beaten by another"),
    ) if true]  # fmt: skip
    return ", ".join([*said, *([point.words] if point.words else [])])


# ---------------------------------------------------------------- the drawing


def draw_trade(found: TradeOff, system: str, frame: Frame, kind: str = "") -> str:
    """Return the trade-off as inline SVG for one page width."""
    box = Box(frame.left, 28.0, frame.width - 18.0, 28.0 + frame.tall)
    up = _axis(found, 0, system, box.bottom, box.top)
    across = _axis(found, 1, system, box.left, box.right)
    front = sorted((p for p in found.points if p.is_on_front), key=lambda p: p.aims[::-1])
    line = [(across.at(point.aims[1]), up.at(point.aims[0])) for point in front]
    parts = [
        up.upwards(box.left, box.right, 6, SMALL),
        across.along(box.bottom, frame.ticks, SMALL),
        svg.text(0, 13, up.title, size=SMALL),
        *(_whiskers(point, up, across) for point in found.points),
        f'<path d="{svg.polyline(line)}" fill="none" stroke="var(--vehicle)" stroke-width="2"/>',
        *(_mark(point, up, across) for point in found.points),
        *_names(found, up, across, box),
    ]
    return svg.document(
        frame.width, box.bottom + 48, "".join(parts),
        title="What one aim costs the other",
        description=_described(found, system),
        kind=f"strip {kind}".strip(),
    )  # fmt: skip


def _described(found: TradeOff, system: str) -> str:
    said = [f"{len(found.points)} settings between {found.aims[0].words} and "
            f"{found.aims[1].words}."]  # fmt: skip
    for point in found.points:
        if point.is_chosen or point.is_written:
            values = [_with_range(point, k, aim, system) for k, aim in enumerate(found.aims)]
            said.append(f"{_verdict(point)}: {', '.join(values)}.")
    return " ".join(said)


def _axis(found: TradeOff, which: int, system: str, start: float, end: float) -> Axis:
    aim = found.aims[which]
    values = [v for p in found.points for v in (p.aims[which], p.low[which], p.high[which])]
    words = f"{aim.words[:1].upper()}{aim.words[1:]}"
    if aim.kind == CHANCE:
        # Where an interval ends far below what was counted does not stretch the axis.
        return chance_axis(words, [v for p in found.points for v in (p.aims[which], p.high[which])],
                           start, end)  # fmt: skip
    unit = unit_of(aim.kind, system)
    low, high = unit.of(min(values, default=0.0)), unit.of(max(values, default=1.0))
    room = ROOM * (high - low) or 0.05 * abs(high) or 1.0
    return Axis(
        words, unit.symbol, unit.size, unit.zero, Scale(low - room, high + room, start, end)
    )


def _whiskers(point: TradePoint, up: Axis, across: Axis) -> str:
    x, y = across.at(point.aims[1]), up.at(point.aims[0])
    role = "ink" if point.is_chosen else "quiet"
    return svg.line(across.at(point.low[1]), y, across.at(point.high[1]), y, role=role) + svg.line(
        x, up.at(point.low[0]), x, up.at(point.high[0]), role=role
    )


def _mark(point: TradePoint, up: Axis, across: Axis) -> str:
    x, y = across.at(point.aims[1]), up.at(point.aims[0])
    half = 6.0 if point.is_chosen else 3.5
    box = Box(x - half, y - half, x + half, y + half)
    if point.is_on_front or point.is_chosen:
        return svg.rect(box, fill="var(--vehicle)")
    inner = Box(x - half + 1.3, y - half + 1.3, x + half - 1.3, y + half - 1.3)
    return svg.rect(box, fill="var(--quiet)") + svg.rect(inner, fill="var(--paper)")


def _names(found: TradeOff, up: Axis, across: Axis, box: Box) -> Iterator[str]:
    """Name what was chosen and what is written, each where no mark or name is in the way."""
    taken = [_around(point, up, across) for point in found.points]
    for point in sorted(found.points, key=lambda each: not each.is_chosen):
        if not (point.is_chosen or point.is_written):
            continue
        words = "chosen" if point.is_chosen else "as written"
        if point.is_chosen and point.is_written:
            words = "chosen, as written"
        x, y = across.at(point.aims[1]), up.at(point.aims[0])
        at_x, at_y, anchor, room = _free(x, y, words, taken, box)
        taken.append(room)
        yield svg.text(at_x, at_y, words, size=13, bold=True, anchor=anchor, kind="halo")


def _around(point: TradePoint, up: Axis, across: Axis) -> Box:
    x, y = across.at(point.aims[1]), up.at(point.aims[0])
    return Box(x - 6, y - 6, x + 6, y + 6)


def _free(
    x: float, y: float, words: str, taken: Sequence[Box], box: Box
) -> tuple[float, float, str, Box]:
    places = [
        (x + dx, y + dy, anchor)
        for dy in (18.0, -9.0, 32.0, -24.0, 46.0)
        for dx, anchor in ((10.0, "start"), (-10.0, "end"))
    ]
    for at_x, at_y, anchor in places:
        room = svg.text_box(at_x, at_y, words, 13, anchor=anchor, bold=True)
        inside = box.left <= room.left and room.right <= box.right and room.bottom <= box.bottom
        if inside and not any(room.overlaps(other) for other in taken):
            return at_x, at_y, anchor, room
    at_x, at_y, anchor = places[0]
    return at_x, at_y, anchor, svg.text_box(at_x, at_y, words, 13, anchor=anchor, bold=True)
