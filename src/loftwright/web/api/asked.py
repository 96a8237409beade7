"""What is answered at once: commands that only look, run in this process as ``--json`` would."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["LOOKS", "Look"]


@dataclass(frozen=True, slots=True)
class Look:
    """A command that is asked by GET.

    ``item`` is the argument that the last part of the address gives; ``flags`` are options that
    the query switches on; ``of_campaign`` tells whether it is given DIR.
    """

    words: tuple[str, ...]
    line: str
    item: str = ""
    flags: tuple[str, ...] = ()
    of_campaign: bool = True

    @property
    def schema(self) -> str:
        """The command's name in the schema of its answer."""
        return "-".join(self.words)


# address -> command
LOOKS: Mapping[str, Look] = {
    "/api/check": Look(("check",), "How the vehicle stands on the pad."),
    "/api/ledger": Look(
        ("ledger", "list"), "Flights, what is open, and what was decided.", flags=("closed",)
    ),
    "/api/ledger/{item}": Look(
        ("ledger", "show"), "A flight, or a finding, action or decision.", item="item"
    ),
    "/api/reliability": Look(("ledger", "reliability"), "What the flights show of each function."),
    "/api/readiness": Look(("ledger", "ready"), "What speaks against a costlier vehicle yet."),
    "/api/codes/{code}": Look(
        ("explain",), "The page of a code of a problem.", item="code", of_campaign=False
    ),
}
