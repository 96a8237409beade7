"""The page of a what-if that a command flew: one self-contained HTML file."""

from __future__ import annotations

from markupsafe import Markup

from loftwright.field.shapes import ground_shapes
from loftwright.flight.check import check
from loftwright.report import scatter
from loftwright.report.answer import Answer, KeyFigure
from loftwright.report.drawn import drawn_strip, strips_of_page
from loftwright.report.ground import key_of
from loftwright.report.page import all_widths, on_the_pad, shared
from loftwright.report.templating import environment
from loftwright.report.whatif_figures import (
    FigureGroup,
    figure_groups,
    lead,
    rows_at_a_glance,
    with_ground,
)
from loftwright.report.whatif_page import draw_landings
from loftwright.report.whatif_strip import whatif_strips
from loftwright.study.evaluate import Draws, made_by
from loftwright.study.whatif import WhatIfAnswer

__all__ = ["whatif_report"]


def whatif_report(
    answer: WhatIfAnswer,
    pinned: WhatIfAnswer | None,
    *,
    against: str,
    decided_by: str,
) -> str:
    """Return the page: lead, strips, the pad, landings, and every figure beside the baseline.

    ``pinned`` is the baseline and ``against`` what it is called; ``decided_by`` is what decides
    when things go and open, the documents or the programs.
    """
    campaign = answer.campaign
    columns = with_ground(answer)
    groups = figure_groups(answer, columns, None if pinned is None else with_ground(pinned))
    strips = whatif_strips(answer, pinned, coarse=False)
    made = made_by(campaign, Draws(answer.flights, answer.seed))
    told = {
        "answer": Answer(lead(answer, columns), _keys(groups), (), ()),
        "groups": groups,
        "pinned": pinned is not None,
        "against": against,
        "decided_by": decided_by,
        "changed": [f"{path} = {text}" for path, text in answer.values.items()],
        "baseline": [] if pinned is None else [f"{p} = {t}" for p, t in pinned.values.items()],
        "flights": answer.flights,
        "strips": [
            {"title": each.title, "description": each.description, "svg": drawn_strip(each)}
            for each in strips
        ],
        "readout": strips_of_page(strips),
        "scatter": _landings(answer, pinned),
        "ground_key": key_of(ground_shapes(campaign.site)),
    }
    context = shared(campaign, made) | on_the_pad(campaign, check(campaign).as_dict()) | told
    return environment().get_template("whatif_report.html.j2").render(context)


def _keys(groups: list[FigureGroup]) -> tuple[KeyFigure, ...]:
    rows = rows_at_a_glance(groups)
    return tuple(
        KeyFigure(row.words, row.value, f"{row.spread}; {row.beside}" if row.beside else row.spread)
        for row in rows
    )


def _landings(answer: WhatIfAnswer, pinned: WhatIfAnswer | None) -> Markup:
    return all_widths(
        scatter.WIDTHS, lambda width, kind: draw_landings(answer, pinned, width, kind)
    )
