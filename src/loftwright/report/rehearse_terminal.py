"""A rehearsal in a terminal: the same answer, the faults by risk, what hangs on one thing."""

from __future__ import annotations

import sys
from typing import TextIO

from loftwright.rehearsal.beside import Beside
from loftwright.rehearsal.results import Rehearsal
from loftwright.report.beside_words import beside_lead, beside_rows, how_compared
from loftwright.report.rehearse_rows import CaseRow, case_row, cut_rows, mend_rows
from loftwright.report.rehearse_words import rehearse_answer
from loftwright.report.terminal import (
    print_answer,
    print_caution,
    print_lines,
    print_table,
    print_text,
)

__all__ = ["print_beside", "print_rehearsal"]

ROOMY = 110  # columns from which the table tells outcomes too


def print_rehearsal(rehearsal: Rehearsal, system: str, stream: TextIO | None = None) -> None:
    """Print the answer, the table of faults, cut sets and mends, in the units of ``system``."""
    out = stream if stream is not None else sys.stdout
    print_answer(rehearse_answer(rehearsal, system), out)
    _print_faults(rehearsal, out)
    cuts = cut_rows(rehearsal)
    if cuts:
        heads = ("smallest set that loses it or endangers people", "of a flight", "its part")
        print_table(heads, cuts, out)
    for words, how, rows in mend_rows(rehearsal):
        # The interval that tells is that of the difference.
        cells = [
            (row.case, row.what, _count(row.before), _count(row.after), row.difference)
            for row in rows
        ]
        print(file=out)
        print_lines([f"Mend: {words}"], out)
        print_table(("fault", "counted", "before", "after", "difference"), cells, out)
        print(file=out)
        print_text(how, out)
    print_caution(out)


def print_beside(found: Beside, stream: TextIO | None = None) -> None:
    """Print what differs from an earlier rehearsal; what is the same in both is left out."""
    out = stream if stream is not None else sys.stdout
    print(file=out)
    print_lines(["Beside the earlier rehearsal:", beside_lead(found)], out)
    rows = [row for row in beside_rows(found) if row.told != "the same"]
    if rows:
        cells = [
            (row.case, row.what, _count(row.before), _count(row.after), row.difference, row.told)
            for row in rows
        ]
        print_table(("fault", "counted", "before", "after", "difference", ""), cells, out)
    print_lines([how_compared(found)], out)


def _print_faults(rehearsal: Rehearsal, out: TextIO) -> None:
    rows = [case_row(case, {}) for case in (rehearsal.nominal, *rehearsal.faults)]
    cells: list[tuple[str, ...]]
    if _columns(out) < ROOMY:
        cells = [
            (_named(row), row.happens, row.lost[0], row.endangers[0], _risk(row)) for row in rows
        ]
        print_table(("fault", "happens", "lost", "endangers", "risk"), cells, out)
    else:
        cells = [
            (_named(row), row.happens, _most(row), _pair(row.lost), _pair(row.endangers),
             _risk(row))
            for row in rows
        ]  # fmt: skip
        print_table(("fault", "happens", "most often", "lost", "endangers", "risk"), cells, out)
    print_lines(["Shares in 100 flights in which it has happened. !: a single point of failure."],
                out)  # fmt: skip


def _columns(out: TextIO) -> int:
    from shutil import get_terminal_size

    return get_terminal_size().columns if out.isatty() else 100


def _named(row: CaseRow) -> str:
    return f"! {row.name}" if row.warns else row.name


def _count(words: str) -> str:
    return words.partition(" (")[0]


def _pair(chance: tuple[str, str]) -> str:
    return " ".join(chance)


def _risk(row: CaseRow) -> str:
    return f"{row.risk} ({row.severity}, {row.likelihood})" if row.risk else ""


def _most(row: CaseRow) -> str:
    """Return the most frequent outcome of the payload, and of the vehicle."""
    shown = [f"{each[0].value} {each[0].words}" for each in (row.payload, row.vehicle) if each]
    return ", ".join(shown)
