"""The page of a comparison: two strips and two plans with the same scales, then the table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

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
from loftwright.report.drawn import all_widths
from loftwright.report.ground import key_of
from loftwright.report.page import shared
from loftwright.report.pair import pairs_context, side_pairs
from loftwright.report.scatter import Landing
from loftwright.report.templating import environment

__all__ = ["compare_page"]

AS_WRITTEN = "as written"
SHORT = 16  # characters that a phone has room for beside two others


def compare_page(compared: Compared) -> str:
    """Return the report of a comparison as one self-contained HTML document."""
    sides = (compared.one, compared.other)
    flies = bool(compared.documents)
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
        "strips": [],
        **pairs_context(side_pairs(sides if flies else (), compared.system, AS_WRITTEN)),
        "plans": [
            {"side": side.label, "svg": plan} for side, plan in _plans(compared) if flies and plan
        ],
        "ground_key": key_of(ground_shapes(compared.one.campaign.site)),
    }
    return environment().get_template("compare.html.j2").render(context)


def _kept_together(value: str) -> str:
    """Keep a value with its spread and unit on one line, where that is short enough."""
    return value.replace(" ", "\u00a0") if len(value) <= SHORT else value


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
