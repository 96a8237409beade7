"""What speaks against flying on: failures without a cause, what is open, what nobody said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from loftwright.documents.differences import Difference
from loftwright.ledger.entries import Action, Finding

__all__ = [
    "Reason",
    "action_reason",
    "failure_reason",
    "finding_reason",
    "listed",
    "unknown_reason",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One thing that speaks against it, and what to do about it.

    ``kind`` is "flights", "evidence", "record", "failure", "finding", "action", "change" or
    "reliability". ``changes`` are those that a change is about.
    """

    kind: str
    says: str
    do: str
    function: str | None = None
    flight: str | None = None
    changes: tuple[Difference, ...] = ()


def failure_reason(flight: str, function: str) -> Reason:
    """Return the reason of a failure that no finding explains with more than a guess."""
    says = f"the {function} failed in {flight}, and nobody knows why"
    do = f"find the cause, then: ledger finding ... --flight {flight} "
    do += f"--explains {function} --sure likely"
    return Reason(kind="failure", says=says, do=do, function=function, flight=flight)


def finding_reason(each: Finding) -> Reason:
    """Return the reason of a finding that is not settled."""
    do = f"settle it, then: ledger close F{each.number} --flight ... or --why ..."
    says = f"finding F{each.number} is not settled: {each.what}"
    return Reason(kind="finding", says=says, do=do, flight=each.flight)


def action_reason(each: Action, day: date) -> Reason:
    """Return the reason of an action that is open on ``day``."""
    late = each.due is not None and each.due < day.isoformat()
    due = "" if each.due is None else f", {'was' if late else 'is'} due {each.due}"
    says = f"action A{each.number} is open{due}: {each.what}"
    do = f"{each.who or 'somebody'} does it; then: ledger close A{each.number} --flight ..."
    return Reason(kind="action", says=says, do=do)


def unknown_reason(flight: str, functions: list[str]) -> Reason:
    """Return the reason of a flight of which it is not known how functions went."""
    says = f"it is not known how the {listed(functions)} went in {flight}"
    do = f"look at its evidence, then: ledger judge {flight} {functions[0]} worked or failed"
    return Reason(kind="record", says=says, do=do, flight=flight)


def listed(words: list[str]) -> str:
    """Return words as a sentence lists them."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
