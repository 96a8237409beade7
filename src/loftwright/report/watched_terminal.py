"""Flights of a rehearsal that are flown again, in a terminal."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TextIO

from loftwright.documents.campaign import Campaign
from loftwright.rehearsal.one_flight import FlownAgain, WatchedAgain
from loftwright.report.terminal import print_caution, print_lines, print_table, print_text
from loftwright.report.watched_lanes import stay_sentences
from loftwright.report.watched_rows import became_words, flight_table, moment_rows

__all__ = ["print_flights", "print_watched"]


def print_flights(
    flown: Sequence[FlownAgain], campaign: Campaign, system: str, stream: TextIO | None = None
) -> None:
    """Print a row for each of some flights of one case."""
    out = stream if stream is not None else sys.stdout
    print_lines([f"{flown[0].case}: {flown[0].says}"], out)
    heads, rows = flight_table(flown, campaign, system)
    cells = [(str(each.flight), *(cell.words for cell in row)) for each, row in rows]
    print_table(("flight", *heads), cells, out)


def print_watched(seen: WatchedAgain, campaign: Campaign, system: str,
                  stream: TextIO | None = None) -> None:  # fmt: skip
    """Print what became of one flight, what happened when, and what the controllers did."""
    out = stream if stream is not None else sys.stdout
    flown = seen.flown
    print_lines([f"Flight {flown.flight}, {flown.case}: {became_words(flown)}."], out)
    print_lines([flown.says], out)
    if seen.plain is not None:
        print_lines([f"The same flight without a fault: {became_words(seen.plain)}."], out)
    heads, rows = flight_table([flown], campaign, system)
    said = [(head, cell.words) for head, cell in zip(heads, rows[0][1], strict=True)]
    print_table(("figure", "is"), said, out)
    moments = moment_rows(seen.watched, seen.plain_watched)
    if seen.plain is None:
        print_table(("what", "when"), [(row.what, row.when.words) for row in moments], out)
    else:
        cells = [(row.what, row.when.words, row.plain.words, row.later) for row in moments]
        print_table(("what", "with the fault", "without", ""), cells, out)
    print_text("\n".join(stay_sentences(seen.watched, system)), out)
    print_caution(out)
