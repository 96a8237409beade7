"""The list to go over on the pad, in a terminal."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from loftwright.ledger.next_step import beside_the_check
from loftwright.report.cautions import DEFERENCE
from loftwright.report.terminal import print_lead, print_lines

if TYPE_CHECKING:
    from loftwright.ledger.standing import Standing
    from loftwright.report.pad_list import PadPart

__all__ = ["print_pad"]

BOX = "[ ]"


def print_pad(found: Standing, parts: Sequence[PadPart], stream: TextIO | None = None) -> None:
    """Print what speaks against flying, then the list, each line with a box to tick on paper."""
    out = stream if stream is not None else sys.stdout
    assert found.campaign is not None  # there is a list
    begun = f", for {found.begun.title}" if found.begun else ""
    print_lead(f"The list on the pad: {found.campaign.vehicle.name}{begun}.", out)
    for file in found.examples:
        said = f"{file} is still mostly the example of a new campaign: this is not of your vehicle."
        print_lead(said, out, warns=True)
    for each in (*found.broken, *found.doubts):
        print_lead(f"{each.message[:1].upper()}{each.message[1:]}.", out, warns=True)
    for reason in beside_the_check(found):
        print_lead(f"{reason.says[:1].upper()}{reason.says[1:]}.", out, warns=True)
    for action in found.actions:
        print_lead(f"Action A{action.number} is open: {action.what}", out, warns=True)
    for part in parts:
        print(f"\n{part.head}", file=out)
        print_lines([f"{BOX} {line}" for line in part.lines], out, hang=len(BOX) + 1)
    print(file=out)
    print_lines([DEFERENCE], out)
