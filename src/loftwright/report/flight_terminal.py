"""A debriefed flight in a terminal: the answer, moments, figures and causes, short."""

from __future__ import annotations

import sys
from typing import TextIO

from loftwright.errors import as_dict
from loftwright.report.cause_rows import cause_rows, telling_rows
from loftwright.report.flight_answer import flight_answer
from loftwright.report.flight_report import named
from loftwright.report.flight_rows import event_rows, score_rows
from loftwright.report.flight_told import FlightReport
from loftwright.report.said_units import sentence
from loftwright.report.terminal import (
    print_caution,
    print_lines,
    print_table,
    print_text,
    print_warnings,
)

__all__ = ["print_flight_report"]

ARGUED, HEAVIEST = 2, 3  # causes and pieces of evidence that are shown; the page has them all


def print_flight_report(report: FlightReport, stream: TextIO | None = None) -> None:
    """Print what is told of a recorded flight, the answer first."""
    out = stream if stream is not None else sys.stdout
    answer = flight_answer(report)
    print_text(f"{named(report)}: {answer.lead}", out)
    if report.record is not None and report.record.note:
        print_text(report.record.note, out)
    print_warnings({"warnings": [as_dict(each) for each in report.warnings]}, out)
    for verdict in answer.verdicts:
        head = f"! {verdict.question}" if verdict.warn else verdict.question
        print_text(f"\n{head}", out)
        print_lines(list(verdict.sentences), out)
    _events(report, out)
    _score(report, out)
    _causes(report, out)
    _left_out(report, out)
    print_caution(out)


def _events(report: FlightReport, out: TextIO) -> None:
    rows = [(each.words, each.when, each.due, each.inside) for each in event_rows(report)]
    if rows and report.expected is not None:
        print_table(("moment", "when", "forecast, 5 to 95 %", "inside?"), rows, out)
    elif rows:
        print_table(("moment", "when"), [row[:2] for row in rows], out)


def _score(report: FlightReport, out: TextIO) -> None:
    rows = [
        (each.words, f"{each.low} to {each.high} {each.unit}", each.measured, each.inside)
        for each in score_rows(report)
    ]
    if rows:
        print_table(("figure", "forecast, 5 to 95 %", "measured", "inside?"), rows, out)


def _causes(report: FlightReport, out: TextIO) -> None:
    """Print what speaks for and against the first causes; the answer has named them all."""
    for row in cause_rows(report.causes)[:ARGUED]:
        said = [f"for it: {says}" for says, _ in row.speaks_for[:HEAVIEST]]
        said += [f"against it: {says}" for says, _ in row.speaks_against[:HEAVIEST]]
        if said:
            print_text(f"\n{row.number}. {row.says}", out)
            print_lines(said, out)
    for says, between, resolved in telling_rows(report.causes):
        print_text(f"\nWould tell {between} apart {resolved}: {says}.", out)


def _left_out(report: FlightReport, out: TextIO) -> None:
    found = report.reconstruction.artefacts
    if found:
        print_text("\nLeft out of the log", out)
        print_lines([f"{each.kind}: {sentence(each.says, report.units)}" for each in found], out)
