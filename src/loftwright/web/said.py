"""Figures as the pages say them, in the campaign's units."""

from __future__ import annotations

from loftwright.errors import ProblemError
from loftwright.web.bench import Bench

__all__ = ["height_words", "units_of"]


def units_of(bench: Bench) -> str:
    """Return the units that the campaign is shown in; metric where its head does not read."""
    from loftwright.documents.named import head_units

    try:
        return bench.read_campaign().head.units
    except ProblemError:  # said where the documents are described; the head may be sound
        return head_units(bench.home)


def height_words(height_m: float | None, units: str) -> str:
    """Return a height in words; empty where it is not known."""
    from loftwright.report.quantities import stated

    return "" if height_m is None else stated(height_m, "height", units)
