"""Campaigns flown for the strips that show them side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeVar

import click

if TYPE_CHECKING:
    from loftwright.documents import Campaign
    from loftwright.report.compare import Side

__all__ = ["BAND", "flown_side", "flown_sides", "unless_stopped"]

BAND = 200  # flights of a band where nobody has asked for a number
T = TypeVar("T")
U = TypeVar("U")


def unless_stopped(fly: Callable[[], T], otherwise: U) -> T | U:
    """Return what ``fly`` flies for strips, or ``otherwise`` where the user breaks it off.

    What was asked for is known by then, and must not be lost.
    """
    try:
        return fly()
    except KeyboardInterrupt:
        click.echo("Broken off: the strips are left out.", err=True)
        return otherwise


def flown_sides(points: Mapping[str, Campaign], flights: int, seed: int) -> Sequence[Side]:
    """Fly campaigns, by their labels, as `flown_side` does; none where the user breaks it off."""
    return unless_stopped(
        lambda: [flown_side(label, point, flights, seed) for label, point in points.items()], ()
    )


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
