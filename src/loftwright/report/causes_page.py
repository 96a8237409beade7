"""The page of a flight's causes: each with what speaks for it, against it, and what would tell."""

from __future__ import annotations

from collections.abc import Sequence

from loftwright.debrief.causes.results import Causes
from loftwright.documents.campaign import Campaign
from loftwright.report.cause_rows import cause_rows, telling_rows, unlikely_rows
from loftwright.report.cause_words import cause_answer
from loftwright.report.page import shared
from loftwright.report.templating import environment
from loftwright.study.evaluate import Draws, made_by

__all__ = ["causes_page"]


def causes_page(campaign: Campaign, flight: str, causes: Causes, left: Sequence[str]) -> str:
    """Return the page of causes as one self-contained HTML document.

    ``flight`` is what people call it; ``left`` says what was not looked at, and why.
    """
    unlikely, rarer = unlikely_rows(causes)
    context = shared(campaign, made_by(campaign, Draws(causes.flights, causes.seed))) | {
        "flight": flight,
        "answer": cause_answer(causes, flight),
        "warnings": [],
        "strips": [],
        "flights": None,
        "causes": causes,
        "failed": bool(causes.causes and causes.causes[0].faults),
        "cause_rows": cause_rows(causes),
        "unlikely": unlikely,
        "rarer": rarer,
        "tellings": telling_rows(causes),
        "left": left,
    }
    return environment().get_template("causes.html.j2").render(context)
