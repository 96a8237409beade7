"""How to mend on the page what keeps a file from being read; a command's words name its options."""

from __future__ import annotations

from dataclasses import replace

from loftwright.errors import Problem

__all__ = ["on_the_page"]

LAYOUT = "say below how it is written: what stands between columns, and the decimal mark"
UNIT = "choose the unit of the column; of raw counts also say what to multiply them by"
FORCE = "say below which column is force, and its unit"
MENDS = {
    "log-no-rows": LAYOUT,
    "log-decimal-unclear": LAYOUT,
    "log-too-damaged": LAYOUT,
    "log-no-pressure": "say of a column that it is pressure or height",
    "log-no-time": "say of a column that it is time; where rows are evenly spaced, give the time "
    "from row to row under how it is written",
    "log-column-unclear": "keep one of these columns, and say of the others that they are not used",
    "log-unit-missing": UNIT,
    "log-unit-unknown": UNIT,
    "log-pressure-range": UNIT,
    "log-height-range": UNIT,
    "log-several-flights": "choose the flight below",
    "log-no-such-flight": "choose the flight below",
    "log-clock-back": "choose another column of time, or the flight if there are several",
    "log-clock-coarse": "give the time from row to row under how it is written",
    "evidence-no-rows": LAYOUT,
    "evidence-decimal-unclear": LAYOUT,
    "evidence-column-unclear": FORCE,
    "evidence-unit-missing": FORCE,
    "evidence-rate-missing": "say which column is time, or give the time from row to row under how "
    "it is written",
}  # fmt: skip
ALONE = "correct what is said of its columns below"
ELSE = "correct what is said of the file below; or say that it is something else: it is kept unread"


def on_the_page(problem: Problem, *, alone: bool = False) -> Problem:
    """Return a problem of a file with what mends it on the page.

    ``alone`` is a file that is only read: it cannot be kept as something else.
    """
    mend = MENDS.get(problem.code)
    if mend is None:
        plain = (problem.mend or "").removesuffix("; or keep it unread: --as other")
        told = ALONE if alone else ELSE
        mend = told if "--" in plain or not plain else plain
    return replace(problem, mend=mend)
