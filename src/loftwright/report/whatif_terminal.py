"""A what-if in a terminal: the same figures as on its page."""

from __future__ import annotations

import sys
from typing import TextIO

from loftwright.flight.check import check
from loftwright.report.terminal import print_caution, print_lead, print_table, print_warnings
from loftwright.report.whatif_figures import figure_groups, lead, with_ground
from loftwright.study.whatif import WhatIfAnswer

__all__ = ["print_whatif"]


def print_whatif(
    answer: WhatIfAnswer,
    pinned: WhatIfAnswer | None,
    *,
    against: str,
    stream: TextIO | None = None,
) -> None:
    """Print the lead, then the figures by question, each beside the baseline if there is one."""
    out = stream if stream is not None else sys.stdout
    columns = with_ground(answer)
    print_lead(lead(answer, columns), out)
    print_warnings(check(answer.campaign).as_dict(), out)
    beside = None if pinned is None else with_ground(pinned)
    for group in figure_groups(answer, columns, beside):
        heads = [group.words, "median", "5 to 95 %"]
        rows = [[row.words, row.value, row.spread] for row in group.rows]
        if pinned is not None:
            heads.append(f"beside {against}")
            rows = [[*cells, row.beside] for cells, row in zip(rows, group.rows, strict=True)]
        print_table(heads, rows, out)
    print_caution(out)
