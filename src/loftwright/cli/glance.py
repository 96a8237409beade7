"""``loftwright glance``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.documents.worked import Worked
    from loftwright.ledger.standing import FlightSeen, Standing

__all__ = ["command", "glance_answer"]


@click.command("glance")
@campaign_folder
@click.option("--pad", is_flag=True, help="Show the list to go over on the pad instead.")
@json_option
def command(folder: Path, pad: bool, as_json: bool) -> None:
    """Say where the campaign in DIR stands: whether it is ready, what is open, what to do next.

    Looks at documents, flights and ledger, and at what was worked out of them so far; writes
    nothing. Documents that do not read are said to be so, with everything else.
    """
    from loftwright.ledger.standing import standing

    found = standing(folder)
    if pad:
        _tell_pad(found, as_json=as_json)
        return
    if as_json:
        from loftwright.cli.answers import emit

        emit("glance", glance_answer(found))
        return
    from loftwright.report.glance_terminal import print_glance
    from loftwright.report.glance_words import glance_words

    print_glance(glance_words(found), folder)


def _tell_pad(found: Standing, *, as_json: bool) -> None:
    """Tell the list to go over on the pad. Raises ``ProblemError`` where documents do not read."""
    from loftwright.report.pad_list import pad_list

    if found.campaign is None or found.checked is None:
        from loftwright.errors import ProblemError

        raise ProblemError(found.broken)
    parts = pad_list(found.campaign, found.checked)
    if as_json:
        from dataclasses import asdict

        from loftwright.cli.answers import emit
        from loftwright.errors import as_dict
        from loftwright.ledger.next_step import beside_the_check

        emit("glance-pad", {
            "name": found.campaign.head.name,
            "vehicle": found.campaign.vehicle.name,
            "parts": [asdict(each) for each in parts],
            "examples": found.examples,
            "warnings": [as_dict(each) for each in (*found.broken, *found.doubts)],
            "against": [asdict(each) for each in beside_the_check(found)],
            "actions": [asdict(each) for each in found.actions],
        })  # fmt: skip
        return
    from loftwright.report.pad_terminal import print_pad

    print_pad(found, parts)


def glance_answer(found: Standing) -> dict[str, Any]:
    """Return where a campaign stands as plain data; amounts in SI, days as ISO 8601."""
    from dataclasses import asdict

    from loftwright.errors import as_dict
    from loftwright.ledger.next_step import against, next_step

    step = next_step(found)
    reasons = against(found)
    last = found.last_flight
    return {
        "name": None if found.head is None else found.head.name,
        "question": None if found.head is None else found.head.question,
        "vehicle": None if found.campaign is None else found.campaign.vehicle.name,
        "site": None if found.campaign is None else found.campaign.site.place.name,
        "nothing_against": not reasons,
        "against": [asdict(each) for each in reasons],
        "next": {
            "kind": step.kind,
            "says": step.says,
            "why": step.why,
            "command": step.command,
            "flight": step.flight,
            "entry": step.entry,
        },
        "problems": [as_dict(each) for each in found.broken],
        "last_flight": None if last is None else _flight(last),
        "flights": len(found.flights),
        "actions": [asdict(each) for each in found.actions],
        "findings": [asdict(each) for each in found.findings],
        "changed_since": found.changed,
        "forecast": _worked(found.forecast),
        "rehearsal": _worked(found.rehearsal),
        "firing": _worked(found.firing),
    }


def _flight(last: FlightSeen) -> dict[str, Any]:
    height = next((each for each in last.figures if each.name == "apogee_m"), None)
    return {
        "name": last.name,
        "title": last.title,
        "flown": last.flown,
        "outcome": last.outcome,
        "functions": {name: each.outcome for name, each in last.outcomes.items()},
        "apogee_m": None if height is None else height.value,
        "apogee_sd_m": None if height is None else height.sd,
        "is_debriefed": last.is_debriefed,
    }


def _worked(note: Worked | None) -> dict[str, Any] | None:
    if note is None:
        return None
    return {"when": note.when, "says": note.says, "flights": note.flights}
