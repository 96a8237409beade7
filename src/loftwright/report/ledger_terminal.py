"""The ledger in a terminal: what was flown, what is open, what it shows."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from loftwright.errors.render import printable
from loftwright.ledger.functions import FUNCTIONS
from loftwright.ledger.history import flown_flights
from loftwright.report import ledger_words as words
from loftwright.report.estimates import day_words
from loftwright.report.terminal import print_caution, print_lines, print_table

if TYPE_CHECKING:
    from loftwright.documents.differences import Difference
    from loftwright.ledger.contents import Contents
    from loftwright.ledger.history import Flown
    from loftwright.ledger.readiness import Readiness
    from loftwright.ledger.reliability import Reliability

__all__ = ["print_flight", "print_ledger", "print_readiness", "print_reliability", "print_two"]


LONGEST = 500  # characters of the line that names a flight


def print_ledger(ledger: Contents, *, closed: bool = False, stream: TextIO | None = None) -> None:
    """Print all flights, then what is open; with ``closed``, what is not open too."""
    out = stream if stream is not None else sys.stdout
    flights = flown_flights(ledger)
    if flights:
        print_table(("flight", "flown", "went", *FUNCTIONS), words.flight_rows(flights), out)
    else:
        print_lines(["No flight is in the ledger yet: each is a folder below flights/."], out)
    findings = ledger.findings(open_only=not closed)
    actions = ledger.actions(open_only=not closed)
    decisions = ledger.decisions()
    heads = ("findings", "actions") if closed else ("findings not settled", "actions open")
    _section(heads[0], [words.finding_line(each) for each in findings], out)
    _section(heads[1], [words.action_line(each) for each in actions], out)
    _section("decisions", [words.decision_line(each) for each in decisions], out)


def _section(head: str, lines: Sequence[str], out: TextIO) -> None:
    if lines:
        print(f"\n{head}", file=out)
        print_lines(lines, out)


def print_flight(ledger: Contents, flown: Flown, system: str, stream: TextIO | None = None) -> None:
    """Print one flight: how its functions went, its figures, evidence, findings, what it closed."""
    out = stream if stream is not None else sys.stdout
    entry, name = flown.entry, flown.entry.name
    day = f", flown {day_words(entry.flown)}" if entry.flown else ""
    head = f"{entry.title} ({name}){day}: {entry.outcome}"
    print(printable(head, LONGEST), file=out)
    build = f"build {entry.build[:12]}" if entry.build else "the documents that flew are not kept"
    print_lines([f"asked: {entry.asked}"] if entry.asked else [], out)
    print_lines([build, *([entry.note] if entry.note else [])], out)
    print_table(("function", "went", "says who"), words.outcome_rows(flown), out)
    rows = words.figure_rows([(flown.record, ledger.figures(name))], system)
    if rows:
        print_table(("figure", "value"), rows, out)
    evidence = ledger.evidence(name)
    if evidence:
        cells = [(each.file, each.kind, str(each.size), each.sha256[:12]) for each in evidence]
        print_table(("evidence", "kind", "bytes", "sha-256"), cells, out)
    _section("findings", [words.finding_line(each) for each in ledger.findings(name)], out)
    done = [words.action_line(each) for each in ledger.actions() if each.closed_by == name]
    _section("actions that it closed", done, out)


def print_two(
    ledger: Contents,
    pair: tuple[Flown, Flown],
    changes: Sequence[Difference],
    system: str,
    stream: TextIO | None = None,
) -> None:
    """Print two flights side by side: what differs in their builds, how they went, figures."""
    out = stream if stream is not None else sys.stdout
    names = [each.entry.name for each in pair]
    if not all(each.documents for each in pair):
        print_lines(["The documents that flew are not kept of both: builds are not compared."], out)
    elif changes:
        print_table(("what differs in the build", *names), words.change_rows(changes), out)
    else:
        print_lines([f"{names[0]} and {names[1]} flew the same build."], out)
    rows = [
        (function, *(each.outcomes[function].outcome for each in pair)) for function in FUNCTIONS
    ]
    rows.append(("as a whole", *(each.entry.outcome for each in pair)))
    print_table(("function", *names), rows, out)
    figures = words.figure_rows(
        [(each.record, ledger.figures(each.entry.name)) for each in pair], system
    )
    if figures:
        print_table(("figure", *names), figures, out)


def print_reliability(found: Reliability, stream: TextIO | None = None) -> None:
    """Print what counts, what it shows for each function, and how many more flights show more."""
    out = stream if stream is not None else sys.stdout
    print_lines([words.counting_sentence(found.asked)], out)
    heads = ("flight", *(each.function for each in found.functions))
    print_table(heads, words.counted_rows(found.functions), out)
    a, b = found.asked.prior
    heads = (
        "function",
        "in full",
        "exact 95 %",
        "weighted",
        "Jeffreys 95 %",
        f"Beta({a:g}, {b:g})",
    )
    print_table(heads, words.reliability_rows(found.functions), out)
    for each in found.functions:
        print(file=out)
        print_lines(words.reliability_sentences(each, found.asked), out)
    print_caution(out)


def print_readiness(found: Readiness, stream: TextIO | None = None) -> None:
    """Print what speaks against it with what to do, or what it rests on; then the cautions."""
    out = stream if stream is not None else sys.stdout
    print(found.lead, file=out)
    for reason in found.reasons:
        print(file=out)
        print_lines([f"! {_sentence(reason.says)}"], out)
        if reason.changes:
            heads = ("what differs", "flew", "is now")
            print_table(heads, words.change_rows(reason.changes), out)
        print_lines([f"To do: {_sentence(reason.do)}"], out)
    print("\nWhat there is so far", file=out)
    print_lines(found.rests_on, out)
    print(file=out)
    print_lines(found.cautions, out)
    print_caution(out)


def _sentence(said: str) -> str:
    begun = said[:1].upper() + said[1:]
    return begun if begun.endswith(("?", ".", "!")) else f"{begun}."
