"""What a debrief found, put into the campaign's ledger: its figures, and why it failed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.cli.debriefed import Debriefed
    from loftwright.debrief.causes.results import Cause, Causes
    from loftwright.debrief.results import Estimate
    from loftwright.ledger.ledger import Ledger

__all__ = ["InWords", "keep_found"]

MADE_BY = "debrief"
LIKELY, POSSIBLE = 0.9, 0.5  # probability from which on a cause is a finding, and how sure


@dataclass(frozen=True, slots=True)
class InWords:
    """A finding as a person says it; see `loftwright.ledger.ledger.Ledger.add_finding`."""

    what: str
    sure: str = "likely"
    explains: str | None = None
    unsettled: bool = False
    who: str | None = None


def keep_found(folder: Path, found: Debriefed, words: InWords | None = None) -> list[str]:
    """Put figures, and the most probable cause where one was looked for, into the ledger.

    ``words`` take the place of that cause. Figures take the place of those that an earlier debrief
    kept; what is written down already is not written again. Returns what was kept, in sentences.

    Raises ``ProblemError`` as the ledger does: nothing is kept where not all can be.
    """
    from loftwright.cli.ledger_take_in import opened

    name = found.kept.name
    figures = {word: (each.value, each.sd) for word, each in _figures(found).items()}
    with opened(folder) as ledger:
        ledger.keep_figures(name, figures, made_by=MADE_BY)
        told = [f"Kept in the ledger: {len(figures)} figures of {name}."]
        cause = _to_tell(found.report.causes)
        if words is not None:
            told.append(_keep_words(ledger, name, words))
        elif cause is not None:
            told.append(_keep_cause(ledger, name, cause))
    return told


def _figures(found: Debriefed) -> dict[str, Estimate]:
    from loftwright.debrief.scoring.landing_places import pad_of
    from loftwright.debrief.scoring.measured_figures import measured_figures

    report = found.report
    return measured_figures(
        report.reconstruction, found.kept.record, pad_of(found.campaign.site), report.clocks
    )


def _to_tell(causes: Causes | None) -> Cause | None:
    """Return the cause that is worth writing down: a fault, more likely than all else."""
    if causes is None or causes.stopped or not causes.fits:
        return None
    first = causes.causes[0]
    return first if first.faults and first.probability >= POSSIBLE else None


def _keep_words(ledger: Ledger, name: str, words: InWords) -> str:
    what = words.what.strip()
    known = next((each for each in ledger.findings(name) if each.what == what), None)
    if known is not None:
        return f"This is finding F{known.number} already."
    kept = ledger.add_finding(
        what,
        sure=words.sure,
        flight=name,
        explains=words.explains,
        unsettled=words.unsettled,
        who=words.who,
    )
    return f"Kept in the ledger as finding F{kept.number}: {kept.what.rstrip(chr(46))}."


def _keep_cause(ledger: Ledger, name: str, cause: Cause) -> str:
    from loftwright.ledger.functions import FAILED
    from loftwright.ledger.history import flown
    from loftwright.report.cause_words import chance_of

    what = cause.says.rstrip(".")
    known = next((each for each in ledger.findings(name) if each.what.startswith(what)), None)
    if known is not None:
        return f"The cause is finding F{known.number} already."
    failed = [
        function
        for function, each in flown(ledger, name).outcomes.items()
        if each.outcome == FAILED
    ]
    kept = ledger.add_finding(
        f"{what}: {chance_of(cause.probability)} by what the flight left behind",
        sure="likely" if cause.probability >= LIKELY else "possible",
        flight=name,
        explains=failed[0] if len(failed) == 1 else None,
        unsettled=True,
    )
    return f"Kept in the ledger as finding F{kept.number}: {kept.what}."
