"""The answers of studies in a terminal: the same sentences and tables as on their pages."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TextIO

from loftwright.flight.check import check
from loftwright.report.drivers import known_words
from loftwright.report.study_page import grid_rows, point_rows, shown_points, table_note
from loftwright.report.study_shares import sensitivity_answer, share_rows
from loftwright.report.study_words import (
    best_answer,
    explore_answer,
    figure_rows,
    limit_rows,
    trade_rows,
    value_rows,
)
from loftwright.report.terminal import print_answer, print_caution, print_table, print_warnings
from loftwright.report.words import figure, input_words
from loftwright.study.best import Best
from loftwright.study.explore import Explored
from loftwright.study.sensitivity import Sensitivity
from loftwright.study.spans import placed

__all__ = ["print_best", "print_explored", "print_sensitivity"]

MOST_ROWS = 25


def print_explored(explored: Explored, stream: TextIO | None = None) -> None:
    """Print where each figure is best, and a table of points."""
    out = stream if stream is not None else sys.stdout
    system = explored.campaign.head.units
    print_answer(explore_answer(explored, system), out)
    print_warnings(check(explored.campaign).as_dict(), out)
    if len(explored.spans) > 1:
        for key in explored.shown:
            heads, rows = grid_rows(explored, key, system)
            print_table(heads, rows, out)
        print(f"  {table_note(explored, shown_points(explored, rows))}", file=out)
    else:
        _print_points(explored, system, out)
    print_caution(out)


def _print_points(explored: Explored, system: str, out: TextIO) -> None:
    heads, rows = point_rows(explored, system)
    kept = rows[:: -(-len(rows) // MOST_ROWS)]
    print_table(heads, kept, out)
    if len(kept) < len(rows):
        print(f"  {len(kept)} of {len(rows)} points; --csv writes all.", file=out)


def print_best(best: Best, stream: TextIO | None = None) -> None:
    """Print the best point, what holds it back, and what flying it means."""
    out = stream if stream is not None else sys.stdout
    system = best.question.campaign.head.units
    print_answer(best_answer(best, system), out)
    print_warnings(check(placed(best.question.campaign, best.values)).as_dict(), out)
    print_table(
        ["varied", "as written", "best", "range"],
        [(row.words, row.now, row.best, row.note) for row in value_rows(best)], out,
    )  # fmt: skip
    limits = limit_rows(best, system)
    if limits:
        print_table(
            ["limit", "as written", "best", "room"],
            [(row.text, row.now, row.value, row.room) for row in limits], out,
        )  # fmt: skip
    if len(best.trade) > 1:
        heads = [figure(aim.figure).words for aim in best.question.aims]
        heads += [input_words(span.path) for span in best.question.spans]
        rows = trade_rows(best, system)
        step = -(-len(rows) // MOST_ROWS)
        print_table(heads, rows[::step], out)
    print_table(
        ["figure", "as written", "best"],
        [(row.words, row.now, row.best) for row in figure_rows(best, system)], out,
    )  # fmt: skip
    print_caution(out)


def print_sensitivity(found: Sequence[Sensitivity], stream: TextIO | None = None) -> None:
    """Print what the spread of each figure comes from."""
    out = stream if stream is not None else sys.stdout
    campaign = found[0].campaign
    known = known_words(campaign)
    for each in found:
        print_answer(sensitivity_answer(each, campaign.head.units), out)
        rows = [
            (row.words, row.known, row.total_words, row.first_words)
            for row in share_rows(each, known)
        ]
        print_table(["input", "known", "share of the variance", "alone"], rows, out)
    print_caution(out)
