"""The page of a comparison: two strips and two plans with the same scales, then the table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
from markupsafe import Markup

from loftwright.field.shapes import ground_shapes
from loftwright.report import scatter
from loftwright.report.compare import Compared, Side
from loftwright.report.compare_words import (
    change_rows,
    compare_answer,
    compare_note,
    moved_rows,
    warned_only,
)
from loftwright.report.drawn import BESIDE, all_widths, drawn_strip, strips_of_page
from loftwright.report.ground import key_of
from loftwright.report.lanes import whole_strip
from loftwright.report.page import shared
from loftwright.report.scatter import Landing
from loftwright.report.strip_model import Lane, Strip
from loftwright.report.templating import environment

__all__ = ["compare_page", "strips_beside"]

SHORT = 16  # characters that a phone has room for beside two others


def compare_page(compared: Compared) -> str:
    """Return the report of a comparison as one self-contained HTML document."""
    sides = (compared.one, compared.other)
    flies = bool(compared.documents)
    strips = list(strips_beside(compared)) if flies else []
    provenance = (compared.one.ensemble or compared.one.flight).provenance
    documents = {
        f"{side.label}: {file}": hashed
        for side in sides
        for file, hashed in side.campaign.hashes.items()
    }
    context: dict[str, Any] = shared(compared.one.campaign, provenance) | {
        "documents": documents,
        "answer": compare_answer(compared),
        "warnings": [],
        "sides": [side.label for side in sides],
        "vehicles": " and ".join(dict.fromkeys(side.campaign.vehicle.name for side in sides)),
        "changes": [
            (words, _kept_together(one), _kept_together(other))
            for words, one, other in change_rows(compared)
        ],
        "warned": [(side.label, warned) for side, warned in warned_only(compared)],
        "rows": moved_rows(compared),
        "notes": compare_note(compared),
        "flights": compared.flights,
        "strips": [
            {"side": side.label, "svg": drawn_strip(spec, BESIDE)}
            for side, spec in zip(sides, strips, strict=False)
        ],
        "readout": strips_of_page(strips),
        "plans": [
            {"side": side.label, "svg": plan} for side, plan in _plans(compared) if flies and plan
        ],
        "ground_key": key_of(ground_shapes(compared.one.campaign.site)),
    }
    return environment().get_template("compare.html.j2").render(context)


def _kept_together(value: str) -> str:
    """Keep a value with its spread and unit on one line, where that is short enough."""
    return value.replace(" ", "\u00a0") if len(value) <= SHORT else value


# ---------------------------------------------------------------- strips


def strips_beside(compared: Compared) -> Iterator[Strip]:
    """Yield the strip of each side, on one clock and with one scale a lane."""
    specs = [
        whole_strip(side.flight, side.ensemble, compared.system)
        for side in (compared.one, compared.other)
    ]
    end = max(spec.end for spec in specs)
    for spec, side in zip(specs, (compared.one, compared.other), strict=True):
        lanes = tuple(
            replace(lane, reach=_reach(other))
            for lane, other in zip(spec.lanes, _beside(spec, specs).lanes, strict=True)
        )
        title = f"The whole flight, {side.label}"
        yield replace(spec, title=title, end=end, lanes=lanes, close_up=None)


def _beside(spec: Strip, specs: list[Strip]) -> Strip:
    return specs[1] if spec is specs[0] else specs[0]


def _reach(lane: Lane) -> tuple[float, ...]:
    """Return the least and the largest number that a lane shows."""
    columns = [curve.value for curve in lane.curves]
    columns += [spread.percentiles.ravel() for spread in lane.spreads]
    numbers = np.concatenate([np.zeros(0), *columns])
    numbers = numbers[np.isfinite(numbers)]
    return (float(numbers.min()), float(numbers.max())) if numbers.size else ()


# ---------------------------------------------------------------- plans


def _plans(compared: Compared) -> Iterator[tuple[Side, Markup]]:
    """Yield where each side comes down, both in one frame."""
    sides = (compared.one, compared.other)
    landed = [scatter.landings(side.flight, side.ensemble) for side in sides]
    yield sides[0], _plan(compared, sides[0], landed[0], landed[1], "")
    # The word keeps the patterns of the two drawings apart.
    yield sides[1], _plan(compared, sides[1], landed[1], landed[0], " other")


def _plan(
    compared: Compared, side: Side, bodies: list[Landing], beside: list[Landing], word: str
) -> Markup:
    wind, ground = side.campaign.site.wind, ground_shapes(side.campaign.site)
    air = {"speed": wind.speed.value, "coming_from": wind.coming_from.value}
    if not any(len(body.points) or body.nominal is not None for body in bodies):
        return Markup("")
    return all_widths(
        scatter.WIDTHS,
        lambda width, kind: scatter.draw_scatter(
            bodies, air, compared.system, width, kind + word, ground, beside=beside
        ),
    )
