"""``loftwright ledger list``, ``show`` and ``compare``."""

from __future__ import annotations

import re
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.ledger_take_in import opened
from loftwright.cli.options import campaign_folder, json_option
from loftwright.documents.named import head_units

if TYPE_CHECKING:
    from loftwright.ledger.entries import Action, Decision, Finding
    from loftwright.ledger.history import Flown
    from loftwright.ledger.ledger import Ledger

__all__ = ["compare", "list_flights", "numbered", "show"]


@click.command("list")
@campaign_folder
@click.option("--closed", is_flag=True, help="With what is closed, and every finding.")
@json_option
def list_flights(folder: Path, closed: bool, as_json: bool) -> None:
    """List the flights of DIR with how each function went, then what is open, and decisions."""
    from loftwright.ledger.history import flown_flights

    with opened(folder) as ledger:
        if as_json:
            from loftwright.cli.answers import emit

            answer = {
                "flights": [_flight(each) for each in flown_flights(ledger)],
                "findings": [asdict(each) for each in ledger.findings(open_only=not closed)],
                "actions": [asdict(each) for each in ledger.actions(open_only=not closed)],
                "decisions": [asdict(each) for each in ledger.decisions()],
            }
            emit("ledger-list", answer)
            return
        from loftwright.report.ledger_terminal import print_ledger

        print_ledger(ledger, closed=closed)


@click.command("show")
@campaign_folder
@click.argument("item", metavar="ITEM")
@json_option
def show(folder: Path, item: str, as_json: bool) -> None:
    """Show ITEM of the ledger in DIR: a flight, a finding (F2), an action (A3), a decision (D1)."""
    with opened(folder) as ledger:
        number = numbered(item)
        if number is not None and not any(each.name == item for each in ledger.flights()):
            _show_entry(ledger, *number, as_json=as_json)
        else:
            _show_flight(ledger, item, head_units(ledger.folder), as_json=as_json)


def numbered(item: str) -> tuple[str, int] | None:
    """Return the letter and the number of an entry's name, None where it is no such name."""
    found = re.fullmatch(r"([AFDafd])([0-9]{1,9})", item.strip())
    return None if found is None else (found[1].upper(), int(found[2]))


def _show_entry(ledger: Ledger, letter: str, number: int, *, as_json: bool) -> None:
    from loftwright.report import ledger_words as words

    entry: Finding | Action | Decision
    if letter == "F":
        entry = ledger.finding(number)
        line = words.finding_line(entry)
    elif letter == "A":
        entry = ledger.action(number)
        line = words.action_line(entry)
    else:
        entry = ledger.decision(number)
        line = words.decision_line(entry)
    if as_json:
        from loftwright.cli.answers import emit

        emit("ledger-show", {type(entry).__name__.lower(): asdict(entry)})
    else:
        from loftwright.errors.render import printable
        from loftwright.ledger.words import LONGEST

        click.echo(f"{printable(line, 3 * LONGEST)}\n    noted {printable(entry.noted)}")


def _show_flight(ledger: Ledger, item: str, system: str, *, as_json: bool) -> None:
    from loftwright.ledger.history import flown

    found = flown(ledger, item)
    name = found.entry.name
    if as_json:
        from loftwright.cli.answers import emit

        build = found.entry.build
        answer = {
            "flight": _flight(found),
            "build": None if build is None else ledger.build(build).documents,
            "evidence": [asdict(each) for each in ledger.evidence(name)],
            "figures": [asdict(each) for each in ledger.figures(name)],
            "judgements": [asdict(each) for each in ledger.judgements(name)],
            "findings": [asdict(each) for each in ledger.findings(name)],
        }
        emit("ledger-show", answer)
        return
    from loftwright.report.ledger_terminal import print_flight

    print_flight(ledger, found, system)


def _flight(each: Flown) -> dict[str, Any]:
    """Return a flight as plain data."""
    outcomes = {
        name: {"outcome": own.outcome, "says": own.says, "judged": own.judged}
        for name, own in each.outcomes.items()
    }
    return {**asdict(each.entry), "functions": outcomes}


@click.command("compare")
@campaign_folder
@click.argument("one", metavar="ONE")
@click.argument("other", metavar="OTHER")
@json_option
def compare(folder: Path, one: str, other: str, as_json: bool) -> None:
    """Compare the flights ONE and OTHER of DIR: what differs in what flew, and in how it went."""
    from loftwright.ledger.changes import build_changes
    from loftwright.ledger.history import flown

    with opened(folder) as ledger:
        pair = flown(ledger, one), flown(ledger, other)
        known = all(each.documents for each in pair)
        changes = build_changes(*(each.documents for each in pair)) if known else []
        if as_json:
            from loftwright.cli.answers import emit

            answer = {
                "flights": [_flight(each) for each in pair],
                "differs": [asdict(each) for each in changes] if known else None,
                "figures": [
                    [asdict(each) for each in ledger.figures(flight.entry.name)] for flight in pair
                ],
            }
            emit("ledger-compare", answer)
            return
        from loftwright.report.ledger_terminal import print_two

        print_two(ledger, pair, changes, head_units(ledger.folder))
