"""``loftwright ledger finding``, ``action``, ``decision``, ``close`` and ``judge``."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.ledger_look import numbered
from loftwright.cli.ledger_take_in import opened
from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.ledger.entries import Action, Decision, Finding, Judgement

__all__ = ["action", "close", "decision", "finding", "judge"]

# Written out here, so that --help imports nothing; a test holds them to the ledger's own.
SURE = ("known", "likely", "possible")
FUNCTIONS = ("launch", "release", "canopy", "recovery")
OUTCOMES = ("worked", "failed", "not-tried", "not-known")

_what = click.argument("what", metavar="WHAT")
_who = click.option("--by", "who", metavar="NAME", help="Who found, decided or judged it.")


@click.command("finding")
@campaign_folder
@_what
@click.option("--flight", metavar="FLIGHT", help="The flight that it is from.")
@click.option(
    "--evidence",
    metavar="FILE",
    multiple=True,
    help="A file that shows it: of that flight, or as FLIGHT/FILE; may be repeated.",
)
@click.option(
    "--sure", type=click.Choice(SURE), default="likely", show_default=True, help="How sure it is."
)
@click.option(
    "--explains",
    type=click.Choice(FUNCTIONS),
    help="The function of that flight whose failure it explains.",
)
@click.option("--unsettled", is_flag=True, help="It has to be answered or mended yet.")
@_who
@json_option
def finding(
    folder: Path,
    what: str,
    flight: str | None,
    evidence: tuple[str, ...],
    sure: str,
    explains: str | None,
    unsettled: bool,
    who: str | None,
    as_json: bool,
) -> None:
    """Write down WHAT was found, in the ledger of DIR."""
    with opened(folder) as ledger:
        found = ledger.add_finding(
            what,
            sure=sure,
            flight=flight,
            evidence=evidence,
            explains=explains,
            unsettled=unsettled,
            who=who,
        )
    _tell("finding", found, as_json)


@click.command("action")
@campaign_folder
@_what
@click.option("--who", metavar="NAME", help="Who does it.")
@click.option("--due", metavar="DAY", help="Until when, e.g. 2026-06-01.")
@click.option("--finding", "calls", metavar="NUMBER", help="The finding that calls for it: F2.")
@json_option
def action(
    folder: Path, what: str, who: str | None, due: str | None, calls: str | None, as_json: bool
) -> None:
    """Write down WHAT is to be done, in the ledger of DIR."""
    number = None if calls is None else _number(calls, "F")
    with opened(folder) as ledger:
        found = ledger.add_action(what, who=who, due=due, finding=number)
    _tell("action", found, as_json)


@click.command("decision")
@campaign_folder
@_what
@click.option("--why", metavar="TEXT", required=True, help="Why it was decided so.")
@click.option(
    "--evidence", metavar="FLIGHT/FILE", multiple=True, help="A file it rests on; may be repeated."
)
@_who
@json_option
def decision(
    folder: Path, what: str, why: str, evidence: tuple[str, ...], who: str | None, as_json: bool
) -> None:
    """Write down WHAT was decided, in the ledger of DIR."""
    with opened(folder) as ledger:
        found = ledger.add_decision(what, why=why, who=who, evidence=evidence)
    _tell("decision", found, as_json)


@click.command("close")
@campaign_folder
@click.argument("item", metavar="ITEM")
@click.option("--flight", metavar="FLIGHT", help="The flight that showed it done.")
@click.option("--why", metavar="TEXT", help="Why it is closed.")
@json_option
def close(folder: Path, item: str, flight: str | None, why: str | None, as_json: bool) -> None:
    """Close the action (A3) or the unsettled finding (F2) called ITEM, in the ledger of DIR."""
    if flight is None and why is None:
        raise click.UsageError("say what closes it: --flight FLIGHT, or --why TEXT")
    name = numbered(item)
    if name is None or name[0] == "D":
        raise click.UsageError(f"{item} is no action or finding; they are called A3 or F2")
    letter, number = name
    found: Action | Finding
    with opened(folder) as ledger:
        if letter == "A":
            found = ledger.close_action(number, flight=flight, why=why)
        else:
            found = ledger.close_finding(number, flight=flight, why=why)
    _tell("close", found, as_json)


@click.command("judge")
@campaign_folder
@click.argument("flight", metavar="FLIGHT")
@click.argument("function", type=click.Choice(FUNCTIONS), metavar="FUNCTION")
@click.argument("outcome", type=click.Choice(OUTCOMES), metavar="OUTCOME")
@click.option("--why", metavar="TEXT", help="What shows it.")
@_who
@json_option
def judge(
    folder: Path,
    flight: str,
    function: str,
    outcome: str,
    why: str | None,
    who: str | None,
    as_json: bool,
) -> None:
    """Say how FUNCTION went in FLIGHT of DIR.

    FUNCTION is launch, release, canopy or recovery; OUTCOME is worked, failed, not-tried or
    not-known. It counts before what people saw. Earlier judgements are kept; the last one counts.
    """
    with opened(folder) as ledger:
        found = ledger.judge(flight, function, outcome.replace("-", " "), why=why, who=who)
    _tell("judge", found, as_json)


def _number(item: str, letter: str) -> int:
    name = numbered(item if item[:1].isalpha() else f"{letter}{item}")
    if name is None or name[0] != letter:
        raise click.UsageError(f"{item} is no finding; they are called F2")
    return name[1]


def _tell(command: str, found: Finding | Action | Decision | Judgement, as_json: bool) -> None:
    """Say what stands in the ledger now."""
    if as_json:
        from loftwright.cli.answers import emit

        emit(f"ledger-{command}", {type(found).__name__.lower(): asdict(found)})
        return
    from loftwright.errors.render import printable
    from loftwright.ledger.words import LONGEST

    click.echo(f"Noted: {printable(_line(found), 3 * LONGEST)}")


def _line(found: Any) -> str:
    from loftwright.ledger.entries import Action, Decision, Finding
    from loftwright.report import ledger_words as words

    if isinstance(found, Finding):
        return words.finding_line(found)
    if isinstance(found, Action):
        return words.action_line(found)
    if isinstance(found, Decision):
        return words.decision_line(found)
    return f"{found.flight}: {found.function} {found.outcome}"
