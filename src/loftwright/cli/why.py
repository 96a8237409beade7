"""Finding causes at the command line: with progress, and words while things are compiled."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.debrief.causes.results import Causes
    from loftwright.documents import Campaign
    from loftwright.documents.flight_record import FlightRecord
    from loftwright.evidence.flight_log import FlightLog

__all__ = ["causes_of"]


def causes_of(
    campaign: Campaign,
    record: FlightRecord,
    logs: Mapping[str, FlightLog],
    *,
    flights: int,
    seed: int,
    pairs: bool = False,
) -> Causes:
    """Find the causes of a flight, with progress. Raises ``ProblemError`` as `find_causes`."""
    from loftwright.cli.progress import Progress, tell_compiling_rehearsal
    from loftwright.debrief.causes.find import find_causes

    tell_compiling_rehearsal()
    progress = Progress("flights")
    try:
        return find_causes(
            campaign, record, logs, flights=flights, seed=seed, pairs=pairs, progress=progress
        )
    finally:
        progress.finish()
