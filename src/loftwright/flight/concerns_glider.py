"""What to think twice about before a described glider is let go: whether it trims, how fast."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.campaign import PAYLOADS
from loftwright.documents.finding import Finding
from loftwright.flight.concerns_carried import HIGHEST_LOAD_FACTOR
from loftwright.flight.concerns_pad import concern
from loftwright.flight.facts import Facts
from loftwright.flight.glider import glider_rows, has_wing
from loftwright.flight.steady import Steady, glider_table, steady_glide

__all__ = ["RULES"]


def _glides(facts: Facts) -> Iterator[tuple[str, Steady | None, str]]:
    """Yield each described glider's role, its steady glide, and why it has none."""
    for root in PAYLOADS:
        if facts.words.get(f"{root}.kind") == "glider" and has_wing(facts.values, root):
            rows = glider_rows(facts.values, root)
            table = glider_table(rows, facts.values[f"{root}.mass"], facts.air.density)
            yield root, *steady_glide(table)


def glider_trims(facts: Facts) -> Iterator[Finding]:
    """A glider has an incidence at which it flies steadily."""
    for root, steady, why in _glides(facts):
        if steady is None:
            message, _, mend = why.partition("; ")
            where = (root, "balance", "from_nose")
            yield concern("check-glider-no-trim", where, message, mend or "check its angles")


def described_glider_release(facts: Facts) -> Iterator[Finding]:
    """Its wings do not have to bear many times its weight when it is let go.

    At the trimmed incidence, lift over weight is the square of speed over trim speed.
    """
    for root, steady, _ in _glides(facts):
        climb = facts.values.get(f"{root}.release.climb")
        if steady is None or climb is None:
            continue
        factor = (climb / steady.speed) ** 2
        if factor > HIGHEST_LOAD_FACTOR:
            yield concern(
                "check-release-fast",
                (root, "release", "climb"),
                f"at this speed the opened wings lift {factor:.0f} times the glider's weight",
                "let it go slower, or test the wings to that load",
            )


RULES = (glider_trims, described_glider_release)
