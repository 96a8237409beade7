"""Causes in a terminal."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TextIO

from loftwright.debrief.causes.results import Causes
from loftwright.report.cause_words import cause_answer, chance_of, name_of, shown_causes
from loftwright.report.terminal import print_answer, print_lines, print_table

__all__ = ["print_causes"]


def print_causes(
    found: Causes, flight: str, left: Sequence[str] = (), stream: TextIO | None = None
) -> None:
    """Print the answer and the table of causes; ``left`` says what was not looked at, and why."""
    out = stream if stream is not None else sys.stdout
    print_answer(cause_answer(found, flight), out)
    rows = [
        (
            name_of(each),
            chance_of(each.probability),
            f"{chance_of(each.low)} to {chance_of(each.high)}",
            str(each.alike or ""),
        )
        for each in shown_causes(found)
    ]
    print_table(("cause", "probability", "90 % of it", "alike"), rows, out)
    print_lines(
        [
            f"{found.flights} flights of each of {found.cases} causes. The range is from the "
            "finite number of flights alone. Causes of one group under alike: this evidence "
            "cannot tell them apart."
        ],
        out,
    )
    if left:
        print_lines([f"Left out: {each}." for each in left], out)
