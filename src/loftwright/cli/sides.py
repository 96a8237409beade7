"""Campaigns flown for the strips that show them side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.documents import Campaign
    from loftwright.report.compare import Side

__all__ = ["BAND", "flown_side"]

BAND = 200  # flights of a band where nobody has asked for a number


def flown_side(label: str, campaign: Campaign, flights: int | None, seed: int) -> Side:
    """Fly a campaign, once or ``flights`` times with this seed, as the side called ``label``."""
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.flight.forecast import forecast
    from loftwright.report.compare import Side

    tell_compiling()
    progress = Progress("flights")
    try:
        if flights is None:
            return Side(label, campaign, forecast(campaign, seed=seed, progress=progress))
        flown = forecast(campaign, flights=flights, seed=seed, progress=progress)
        return Side(label, campaign, flown.nominal, flown)
    finally:
        progress.finish()
