"""A campaign at a glance in a terminal."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from loftwright.report.glance_words import command_words
from loftwright.report.terminal import print_caution, print_lead, print_lines, print_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from loftwright.report.glance_words import Glance

__all__ = ["print_glance"]


def print_glance(glance: Glance, folder: Path, stream: TextIO | None = None) -> None:
    """Print readiness and the next step first, then the last flight and what is open."""
    out = stream if stream is not None else sys.stdout
    asked = f": {glance.question}" if glance.question else ""
    print_lead(f"{glance.name}{asked}", out)
    print_lines([glance.carries] if glance.carries else [], out)
    print(file=out)
    print_lead(glance.lead, out, warns=not glance.is_ready)
    print_lines([each.says for each in glance.against], out)
    print_lines([f"and {glance.left_out} more"] if glance.left_out else [], out)
    step = glance.step
    print(file=out)
    print_lead(f"Next: {step.says}", out)
    print_lines([f"{step.why[:1].upper()}{step.why[1:]}."], out)
    command = command_words(step, str(folder))
    if command:
        print_text(f"$ {command}", out)
    height = f" It went {glance.height} high." if glance.height else ""
    _section("Last flight", [f"{glance.last}{height}"], out)
    _section("Open actions", glance.actions, out)
    _section("Findings not settled", glance.findings, out)
    said = [f"{each.what}, {each.when}: {each.says}" for each in glance.worked]
    _section("Worked out so far", [*said, *([glance.changed] if glance.changed else [])], out)
    print_caution(out)


def _section(head: str, lines: Sequence[str], out: TextIO) -> None:
    if lines:
        print(f"\n{head}", file=out)
        print_lines(lines, out)
