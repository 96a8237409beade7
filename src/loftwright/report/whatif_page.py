"""The picture of a what-if, as the part of a page that is changed when the hand moves."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy as np
from markupsafe import Markup

from loftwright.documents.campaign import Campaign
from loftwright.field.shapes import ground_shapes
from loftwright.flight.check import check
from loftwright.report import scatter, strip
from loftwright.report.bodies import in_order, short_names
from loftwright.report.facts import check_facts, warnings_of
from loftwright.report.ground import key_of
from loftwright.report.scatter import Landing
from loftwright.report.strip_model import Strip
from loftwright.report.templating import environment
from loftwright.report.whatif_figures import (
    figure_groups,
    lead,
    rows_at_a_glance,
    with_ground,
)
from loftwright.report.whatif_strip import whatif_strips
from loftwright.study.figures import bodies_down
from loftwright.study.whatif import WhatIfAnswer

__all__ = ["Picture", "Width", "draw_landings", "whatif_at_rest", "whatif_picture"]

Width = Literal["wide", "medium", "narrow"]


class Picture(NamedTuple):
    """What follows the hand: what is seen at a glance and what is drawn, as HTML; its strips."""

    glance: str
    drawn: str
    strips: tuple[Strip, ...]


def whatif_picture(
    answer: WhatIfAnswer,
    pinned: WhatIfAnswer | None = None,
    *,
    against: str = "baseline",
    width: Width = "wide",
    address: str = "",
) -> Picture:
    """Return lead, figures, strips and landings as HTML, drawn for one page width.

    ``pinned`` is the baseline, and ``against`` what it is called.
    ``address`` is where the strips can be asked for closer looks, "" where they cannot.
    """
    columns = with_ground(answer)
    groups = figure_groups(answer, columns, _of_baseline(pinned) if pinned else None)
    strips = whatif_strips(answer, pinned, coarse=not address)
    told = {
        "lead": lead(answer, columns),
        "glance": rows_at_a_glance(groups),
        "groups": groups,
        "pinned": pinned is not None,
        "against": against,
        "flights": answer.flights,
        "seed": answer.seed,
        "address": address,
        "width": width,
        "strips": [
            {
                "title": each.title,
                # Every drawing escapes its own words: what comes out is markup.
                "svg": Markup(strip.draw_strip(each, strip.WIDTHS[width], "live")),
            }
            for each in strips
        ],
        "scatter": _plan(answer, pinned, width),
        "ground_key": key_of(ground_shapes(answer.campaign.site)),
    }
    glance, drawn = (
        environment().get_template(name).render(told)
        for name in ("whatif_glance.html.j2", "whatif.html.j2")
    )
    return Picture(glance, drawn, tuple(strips))


_BASELINE: list[tuple[WhatIfAnswer, dict[str, Any]]] = []  # that of the last picture


def _of_baseline(pinned: WhatIfAnswer) -> dict[str, Any]:
    """Return the baseline's columns: it stands while what is held against it moves."""
    last = _BASELINE[:]
    if last and last[0][0] is pinned:
        return last[0][1]
    columns = with_ground(pinned)
    _BASELINE[:] = [(pinned, columns)]
    return columns


def _plan(answer: WhatIfAnswer, pinned: WhatIfAnswer | None, width: Width) -> Markup:
    kind = "narrow" if width == "narrow" else "wide"
    return draw_landings(answer, pinned, scatter.WIDTHS[kind], "live")


def draw_landings(
    answer: WhatIfAnswer, pinned: WhatIfAnswer | None, width: float, kind: str
) -> Markup:
    """Return where everything comes down, with the outlines of the baseline; "" for nowhere."""
    campaign = answer.campaign
    wind = campaign.site.wind
    bodies = _landings(answer)
    if not any(len(body.points) for body in bodies):
        return Markup("")
    drawn = scatter.draw_scatter(
        bodies,
        {"speed": wind.speed.value, "coming_from": wind.coming_from.value},
        campaign.head.units,
        width,
        kind,
        ground_shapes(campaign.site),
        baseline=[] if pinned is None else _landings(pinned),
    )
    return Markup(drawn)


def _landings(answer: WhatIfAnswer) -> list[Landing]:
    names, found = short_names(answer.campaign), []
    for body in in_order(bodies_down(answer.columns)):
        ways = [answer.columns[f"touchdown_{body}_{way}_m"] for way in ("east", "north")]
        points = np.stack(ways, axis=1)
        found.append(Landing(body, None, points[np.isfinite(points).all(axis=1)],
                             names.get(body, "")))  # fmt: skip
    return found


def whatif_at_rest(campaign: Campaign) -> dict[str, Any]:
    """Return facts of the pad and warnings of the check for the values that were asked."""
    found = check(campaign).as_dict()
    template = environment().get_template("whatif_rest.html.j2")
    html = template.render(
        {"warnings": warnings_of(found), "facts": check_facts(found, campaign.head.units)}
    )
    return {"html": html, "warnings": len(found["warnings"])}
