"""The faults that a campaign's parts can have, known once for each state of its documents."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.instruments.cases import Happening
    from loftwright.web.bench import Bench

__all__ = ["known_faults"]


def known_faults(bench: Bench) -> list[Happening]:
    """Return every fault of the library at every part.

    Raises ``ProblemError`` where the campaign cannot be read or rehearsed.
    """
    from loftwright.rehearsal.cases import known_happenings
    from loftwright.rehearsal.plan import plan_of

    campaign = bench.read_campaign()
    return bench.memory.recall(
        "faults", lambda: known_happenings(plan_of(campaign, 1)), of=campaign.hashes
    )
