"""The pages of studies: one self-contained HTML file each."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

import numpy as np

from loftwright.documents.campaign import Campaign
from loftwright.flight.check import check
from loftwright.flight.results import Provenance
from loftwright.report import study_curve, study_front, study_map
from loftwright.report.answer import Answer
from loftwright.report.compare import Side
from loftwright.report.drivers import known_words
from loftwright.report.facts import warnings_of
from loftwright.report.page import all_widths, shared
from loftwright.report.pair import pairs_context, side_pairs
from loftwright.report.quantities import amount, digits, unit_of
from loftwright.report.study_shares import sensitivity_answer, share_rows
from loftwright.report.study_words import (
    best_answer,
    explore_answer,
    figure_rows,
    limit_rows,
    trade_rows,
    value_rows,
)
from loftwright.report.templating import environment
from loftwright.report.words import figure, input_words
from loftwright.study.best import Best
from loftwright.study.evaluate import Draws, made_by
from loftwright.study.explore import Explored
from loftwright.study.figures import is_chance
from loftwright.study.sensitivity import Sensitivity
from loftwright.study.spans import Span, placed, shown

__all__ = [
    "best_page",
    "explore_page",
    "grid_rows",
    "point_rows",
    "sensitivity_page",
    "shown_points",
    "table_note",
]

MOST_ROWS = 60
ENDS = "What counts most, as if it were known exactly: at its 5 %, and at its 95 %."


def _study(campaign: Campaign, provenance: Provenance, answer: Answer) -> dict[str, Any]:
    return shared(campaign, provenance) | {
        "answer": answer, "warnings": [], "strips": [], "pairs": [], "flights": None,
    }  # fmt: skip


def _render(template: str, context: dict[str, Any]) -> str:
    return environment().get_template(template).render(context)


# ---------------------------------------------------------------- explore


def explore_page(explored: Explored, sides: Sequence[Side] = ()) -> str:
    """Return the page of an exploration: curves or maps, then the points.

    ``sides`` are flown at points that its strips show side by side.
    """
    campaign, system = explored.campaign, explored.campaign.head.units
    names = [input_words(span.path) for span in explored.spans]
    single = len(names) == 1
    tables = _tables(explored, system)
    context = _study(
        campaign, made_by(campaign, explored.draws), explore_answer(explored, system)
    ) | {
        "varied": " and ".join(names),
        "drawings": _curves(explored, system) if single else _maps(explored, system),
        "tables": tables,
        "note": table_note(explored, shown_points(explored, tables[0]["rows"])),
        "warnings": warnings_of(check(campaign).as_dict()),
        **pairs_context(side_pairs(sides, system)),
    }
    return _render("explore.html.j2", context)


def _tables(explored: Explored, system: str) -> list[dict[str, Any]]:
    if len(explored.spans) > 1:
        tables = [grid_rows(explored, key, system) for key in explored.shown]
        return [{"heads": heads, "rows": rows} for heads, rows in tables]
    heads, rows = point_rows(explored, system)
    return [{"heads": heads, "rows": rows[:: -(-len(rows) // MOST_ROWS)]}]


def shown_points(explored: Explored, rows: Sequence[Sequence[str]]) -> int:
    """Return how many points the rows of a table show."""
    return len(rows) * (len(rows[0]) - 1 if len(explored.spans) > 1 else 1)


def table_note(explored: Explored, shown_rows: int) -> str:
    """Say how to read the table of points, and what it leaves out."""
    most = "" if shown_rows == explored.refused.size else " Some of the points; --csv writes all."
    if len(explored.spans) > 1:
        return (
            f"Along: {input_words(explored.spans[0].path)}; down: "
            f"{input_words(explored.spans[1].path)}. In brackets: a limit is broken. A dash: the "
            f"documents refuse it, or it does not happen.{most}"
        )
    return most.strip()


def _curves(explored: Explored, system: str) -> list[dict[str, Any]]:
    drawn = all_widths(
        study_curve.WIDTHS,
        lambda frame, kind: study_curve.draw_curves(explored, system, frame, kind),
    )
    said = ["The dotted line is the campaign as it is written."]
    if explored.draws:
        said.append("Shaded: 5 to 95 % of the flights at each point; line: their median.")
    if not explored.allowed.all():
        said.append("Hatched: a limit is broken there, or the documents refuse it.")
    title = f"Varied: {input_words(explored.spans[0].path)}"
    return [{"title": title, "svg": drawn, "caption": " ".join(said)}]


def _maps(explored: Explored, system: str) -> list[dict[str, Any]]:
    said = "More colour is more."
    if not explored.allowed.all():
        said += " Hatched: a limit is broken there, or the documents refuse it."
    return [
        {
            "title": figure(key).words[:1].upper() + figure(key).words[1:],
            "svg": all_widths(study_map.WIDTHS, partial(study_map.draw_map, explored, key, system)),
            "caption": said,
        }
        for key in explored.shown
    ]


def point_rows(explored: Explored, system: str) -> tuple[list[str], list[tuple[str, ...]]]:
    """Return heads and cells of a table of all points of one range, in the person's units."""
    span, grid = explored.spans[0], explored.grid[0]
    heads = [input_words(span.path)]
    for key in explored.shown:
        band = "may be" if is_chance(key) else "5 to 95 %"
        heads += [figure(key).words, *([band] if explored.bands else [])]
    if explored.limits or (explored.refused != "").any():
        heads.append("limits")
    rows = []
    for k, value in enumerate(grid.tolist()):
        cells = [shown(span, value)]
        for key in explored.shown:
            kind = figure(key).kind
            cells.append(amount(float(explored.figures[key][k]), kind, system))
            if explored.bands:
                low, high = explored.bands[key][k].tolist()
                cells.append(f"{amount(low, kind, system)} to {amount(high, kind, system)}")
        rows.append((*cells, _verdict(explored, (k,)))[: len(heads)])
    return heads, rows


def grid_rows(
    explored: Explored, key: str, system: str, columns: int = 8, lines: int = 12
) -> tuple[list[str], list[tuple[str, ...]]]:
    """Return heads and cells of a table of one figure over two ranges, thinned to fit.

    The first range runs along, the second down, its greatest value first. A value that breaks a
    limit stands in brackets, one that the documents refuse is a dash.
    """
    along, down = (
        _thinned(len(grid), most)
        for grid, most in zip(explored.grid, (columns, lines), strict=True)
    )
    unit = unit_of(figure(key).kind, system)
    heads = [f"{figure(key).words}, {unit.symbol}".rstrip(", ")]
    heads += [_tied(explored.spans[0], float(explored.grid[0][i])) for i in along]
    rows = []
    for j in reversed(down):
        cells = [_tied(explored.spans[1], float(explored.grid[1][j]))]
        for i in along:
            value = digits(unit.of(float(explored.figures[key][i, j])))
            cells.append(value if explored.allowed[i, j] or value == "–" else f"({value})")
        rows.append(tuple(cells))
    return heads, rows


def _tied(span: Span, value: float) -> str:
    """Return a value whose unit stays on its line."""
    return shown(span, value).replace(" ", "\u00a0")


def _thinned(count: int, most: int) -> list[int]:
    """Return indices from the first to the last, evenly if that can be, ``most`` at the most."""
    least = -(-(count - 1) // (most - 1)) or 1
    even = [step for step in range(least, 2 * least + 1) if (count - 1) % step == 0]
    kept = list(range(0, count, even[0] if even else least))
    return kept if kept[-1] == count - 1 else [*kept, count - 1]


def _verdict(explored: Explored, at: tuple[int, ...]) -> str:
    if explored.refused[at]:
        return "refused"
    broken = [limit.text for limit, kept in zip(explored.limits, explored.kept, strict=True)
              if not kept[at]]  # fmt: skip
    if broken:
        return "breaks " + ", ".join(broken)
    return "kept" if explored.limits else ""


# ---------------------------------------------------------------- best


def best_page(best: Best, sides: Sequence[Side] = ()) -> str:
    """Return the page of a search: the point, what holds it back, what it trades.

    ``sides`` are flown at points that its strips show side by side.
    """
    campaign, system = best.question.campaign, best.question.campaign.head.units
    front = ""
    if len(best.trade) > 1 and np.isfinite([trade.aims for trade in best.trade]).all():
        front = all_widths(
            study_front.WIDTHS,
            lambda frame, kind: study_front.draw_front(best, system, frame, kind),
        )
    context = _study(
        campaign, made_by(campaign, best.question.draws), best_answer(best, system)
    ) | {
        "warnings": warnings_of(check(placed(campaign, best.values)).as_dict()),
        "front": front,
        "trade_heads": [
            *(figure(aim.figure).words for aim in best.question.aims),
            *(input_words(span.path) for span in best.question.spans),
        ],
        "trade": trade_rows(best, system),
        "values": value_rows(best),
        "limits": limit_rows(best, system),
        "rows": figure_rows(best, system),
        **pairs_context(side_pairs(sides, system)),
    }
    return _render("best.html.j2", context)


# ---------------------------------------------------------------- sensitivity


def sensitivity_page(found: Sequence[Sensitivity], sides: Sequence[Side] = ()) -> str:
    """Return the page of what the spread of each figure comes from.

    ``sides`` are flown with what counts most at either end of what it may be.
    """
    first, campaign = found[0], found[0].campaign
    system, known = campaign.head.units, known_words(campaign)
    answers = [sensitivity_answer(each, system) for each in found]
    provenance = made_by(campaign, Draws(first.flights, first.seed))
    context = _study(campaign, provenance, answers[0]) | {
        "parts": [
            {
                "figure": figure(each.figure).words,
                "answer": answer,
                "rows": share_rows(each, known),
            }
            for each, answer in zip(found, answers, strict=True)
        ],
        **pairs_context(side_pairs(sides, system, said=ENDS)),
    }
    return _render("sensitivity.html.j2", context)
