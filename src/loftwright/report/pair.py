"""Two strips or more side by side, on one clock and with one scale for all lanes of a name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from loftwright.report.bodies import short_names
from loftwright.report.compare import Side
from loftwright.report.drawn import BESIDE, drawn_strip, strips_of_page
from loftwright.report.lanes import whole_strip
from loftwright.report.strip_model import Lane, Strip

__all__ = ["SCALE", "TITLE", "Pair", "on_one_clock", "pairs_context", "side_pairs", "side_strips"]

TITLE: Final = "The whole flight"
SCALE: Final = "One clock and one scale for both."
AS_SET: Final = "as set"  # the flight of the values themselves, with nothing drawn


@dataclass(frozen=True, slots=True)
class Pair:
    """Strips that a page shows side by side: a heading, a label for each, and a caption."""

    title: str
    labels: tuple[str, ...]
    strips: tuple[Strip, ...]
    caption: str


def on_one_clock(strips: Sequence[Strip]) -> Iterator[Strip]:
    """Yield strips from the first start to the last end, lanes of one name and unit alike high."""
    start, end = min(each.start for each in strips), max(each.end for each in strips)
    reach: dict[tuple[str, str], tuple[float, ...]] = {}
    for lane in (lane for strip in strips for lane in strip.lanes):
        key = (lane.name, lane.unit)
        reach[key] = _both(reach.get(key, ()), _reach(lane))
    for each in strips:
        lanes = tuple(replace(lane, reach=reach[lane.name, lane.unit]) for lane in each.lanes)
        yield replace(each, start=start, end=end, lanes=lanes, close_up=None)


def _both(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    every = (*one, *other)
    return (min(every), max(every)) if every else ()


def _reach(lane: Lane) -> tuple[float, ...]:
    """Return the least and the largest number that a lane shows."""
    columns = [curve.drawn for curve in lane.curves]
    columns += [spread.percentiles.ravel() for spread in lane.spreads]
    numbers = np.concatenate([np.zeros(0), *columns])
    numbers = numbers[np.isfinite(numbers)]
    return (float(numbers.min()), float(numbers.max())) if numbers.size else ()


def side_strips(sides: Sequence[Side], system: str, ink: str = AS_SET) -> list[Strip]:
    """Return the whole flight of each side; ``ink`` names the one flight where there is a band."""
    strips = []
    for side in sides:
        names = short_names(side.campaign)
        strip = whole_strip(side.flight, side.ensemble, system, names, ink)
        strips.append(replace(strip, title=f"{TITLE}, {side.label}"))
    return list(on_one_clock(strips)) if strips else []


def side_pairs(sides: Sequence[Side], system: str, ink: str = AS_SET, said: str = "") -> list[Pair]:
    """Return the flights of sides as the one pair that there is, or none without sides.

    ``said`` goes before the rest of the caption.
    """
    if not sides:
        return []
    labels = tuple(side.label for side in sides)
    caption = f"{said} {_caption(sides, ink)}".lstrip()
    return [Pair(TITLE, labels, tuple(side_strips(sides, system, ink)), caption)]


def _caption(sides: Sequence[Side], ink: str) -> str:
    band = sides[0].ensemble
    if band is None:
        return f"{SCALE} One flight each, {ink}."
    made = band.provenance
    return (
        f"{SCALE} Shaded: 5 to 95 % of {made.flights} flights (seed {made.seed}), the darker "
        f"middle 25 to 75 %. Thin coloured line: the median. Ink: {ink}."
    )


def pairs_context(pairs: Sequence[Pair]) -> dict[str, Any]:
    """Return what `pairs.html.j2` shows, and what the cursor reads; called once a page."""
    shown: list[dict[str, Any]] = []
    strips: list[Strip] = []
    for pair in pairs:
        figures = []
        for label, strip in zip(pair.labels, pair.strips, strict=True):
            drawn = drawn_strip(strip, BESIDE)
            figures.append({"side": label, "svg": drawn, "index": len(strips)})
            strips.append(strip)
        shown.append({"title": pair.title, "figures": figures, "caption": pair.caption})
    return {"pairs": shown, "readout": strips_of_page(strips)}
