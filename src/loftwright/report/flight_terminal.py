"""A debriefed flight in a terminal: the answer, moments, figures and causes, short."""

from __future__ import annotations

import sys
from typing import TextIO

from loftwright.errors import as_dict
from loftwright.report.cause_rows import cause_rows, telling_rows
from loftwright.report.clock_words import clock_lines, sight_lines
from loftwright.report.flight_answer import flight_answer
from loftwright.report.flight_report import named, several_clocks
from loftwright.report.flight_rows import bias_sentences, event_rows
from loftwright.report.flight_told import FlightReport
from loftwright.report.left_out import left_out
from loftwright.report.said_units import sentence
from loftwright.report.score_words import (
    BIAS_HEADS,
    SCORE_HEADS,
    bias_rows,
    score_notes,
    score_rows,
)
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
    _people(report, out)
    _left_out(report, out)
    print_caution(out)


def _events(report: FlightReport, out: TextIO) -> None:
    rows = [(each.words, each.when, each.due, each.inside) for each in event_rows(report)]
    if rows and report.expected is not None:
        print_table(("moment", "when", "forecast, 5 to 95 %", "inside?"), rows, out)
    elif rows:
        print_table(("moment", "when"), [row[:2] for row in rows], out)


def _score(report: FlightReport, out: TextIO) -> None:
    if report.score is not None and report.score.figures:
        print_table(SCORE_HEADS, score_rows(report.score, report.units), out)
        print_lines(list(score_notes(report.score)), out)
    if report.bias:
        print_text("\nThe model over this campaign", out)
        print_table(BIAS_HEADS, bias_rows(report.bias, report.units), out)
        print_lines(bias_sentences(report.bias), out)


def _people(report: FlightReport, out: TextIO) -> None:
    said = list(sight_lines(report.sighted, report.units))
    if several_clocks(report) and report.clocks is not None:
        said += clock_lines(report.clocks)
    if said:
        print_text("\nSightings and clocks", out)
        print_lines(said, out)


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
    found = left_out(report.reconstruction.artefacts)
    if found:
        print_text("\nLeft out of the log", out)
        print_lines([f"{each.kind}: {sentence(each.says, report.units)}" for each in found], out)
    for head, words in (
        ("Taken as given", report.reconstruction.assumed),
        ("Besides", (*report.reconstruction.notes, *report.notes)),
    ):
        if words:
            print_text(f"\n{head}", out)
            print_lines([sentence(each, report.units) for each in words], out)
