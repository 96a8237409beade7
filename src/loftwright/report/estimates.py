"""What was measured, in words: a value and how sure it is, rounded to what is known."""

from __future__ import annotations

import math
from datetime import datetime
from typing import TYPE_CHECKING

from loftwright.report.quantities import NO_BREAK, amount, digits, unit_of

if TYPE_CHECKING:  # whoever only writes a day needs no numbers
    from loftwright.debrief.results import Estimate

__all__ = ["day_here", "day_words", "hundred", "moment", "plus_minus", "within"]

LEAD = 2.0  # below it a first digit is worth a second one


def plus_minus(value: float, sd: float, kind: str, system: str) -> str:
    """Return ``"36.1 ± 0.4 m"``: SI figures, rounded to one digit of what is not known.

    A standard deviation that begins with 1 keeps two digits, so that rounding never takes more
    than a third of it. Without one the value stands alone.
    """
    if not (math.isfinite(sd) and sd > 0.0):
        return amount(value, kind, system)
    if not math.isfinite(value):
        return "–"
    unit = unit_of(kind, system)
    shown, spread = unit.of(value), sd / unit.size
    magnitude = math.floor(math.log10(spread))
    decimals = -magnitude + (1 if spread / 10.0**magnitude < LEAD else 0)
    glue = "" if unit.symbol in ("°", "") else NO_BREAK
    numbers = f"{_fixed(shown, decimals)}{NO_BREAK}±{NO_BREAK}{_fixed(spread, decimals)}"
    return f"{numbers}{glue}{unit.symbol}"


def _fixed(value: float, decimals: int) -> str:
    """Round at a decimal place, which may lie before the point; a nought has no sign."""
    rounded = round(value, decimals)
    if rounded == 0.0:
        rounded = 0.0
    return f"{rounded:.{max(decimals, 0)}f}".replace("-", "−")


def within(estimate: Estimate | None, kind: str, system: str) -> str:
    """Return an estimate as value and standard deviation; a dash where there is none."""
    return "–" if estimate is None else plus_minus(estimate.value, estimate.sd, kind, system)


def moment(seconds: float) -> str:
    """Return a time by first motion to a hundredth, such as ``"6.42 s"``."""
    return f"{seconds:.2f}{NO_BREAK}s".replace("-", "−")


def hundred(share: float) -> str:
    """Return a probability in hundredths: ``"84 %"``, ``"0.3 %"``, ``"more than 99.9 %"``."""
    percent = 100.0 * share
    if not math.isfinite(percent):
        return "–"
    if percent > 99.9:
        return f"more than 99.9{NO_BREAK}%"
    if percent < 0.1:
        return f"less than 0.1{NO_BREAK}%"
    # Two digits would have 99.6 read as a certainty.
    return f"{digits(percent, 3 if percent > 99.0 else 2)}{NO_BREAK}%"


def day_here(moment: str) -> str:
    """Return the day of a moment of ISO 8601 by the clock of this machine: ``"2026-05-08"``.

    The ledger notes moments in UTC. What is no such moment, or a day alone, is returned so far as
    it may be a day.
    """
    try:
        found = datetime.fromisoformat(moment)
        return f"{found.astimezone():%Y-%m-%d}" if found.tzinfo is not None else moment[:10]
    except (ValueError, OverflowError, OSError):
        return moment[:10]


def day_words(moment: str) -> str:
    """Return a moment of ISO 8601 as people write it: ``"2026-05-08, 20:15"``.

    What is no such moment is returned as it is.
    """
    try:
        found = datetime.fromisoformat(moment)
    except ValueError:
        return moment
    if len(moment) <= len("2026-05-08"):
        return moment
    zone = f" {found.tzname()}" if found.tzinfo is not None else ""
    return f"{found:%Y-%m-%d, %H:%M}{zone}"
