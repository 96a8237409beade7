"""The page of what recorded flights taught: each field's interval before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from loftwright.debrief.fitting.results import FlightFit
from loftwright.documents.campaign import Campaign
from loftwright.report.fit_words import field_rows, fit_answer
from loftwright.report.page import shared
from loftwright.report.pair import Pair, pairs_context
from loftwright.report.templating import environment
from loftwright.study.evaluate import made_by

__all__ = ["fit_page"]


def fit_page(
    campaign: Campaign, fit: FlightFit, warnings: Sequence[str], pairs: Sequence[Pair] = ()
) -> str:
    """Return the page of a fit, one self-contained HTML file.

    ``pairs`` show records over their forecasts before and after it.
    """
    context = shared(campaign, replace(made_by(campaign), seed=fit.seed)) | {
        "answer": fit_answer(fit),
        "warnings": [],
        "strips": [],
        "flights": None,
        "rows": field_rows(campaign, fit),
        "used": fit.used,
        "told": [*warnings, *fit.warnings],
        "learnt_from": fit.flights,
        **pairs_context(pairs),
    }
    return environment().get_template("fit.html.j2").render(context)
