"""The page of single flights of a rehearsal: each on the strip, beside itself without the fault."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.flight.results import Provenance
from loftwright.rehearsal.one_flight import WatchedAgain
from loftwright.rehearsal.results import Watched
from loftwright.report.answer import Answer, KeyFigure
from loftwright.report.drawn import strips_of_page
from loftwright.report.page import shared
from loftwright.report.quantities import NO_BREAK
from loftwright.report.rehearse_page import drawn_flights
from loftwright.report.strip_model import Strip
from loftwright.report.templating import environment
from loftwright.report.watched_rows import became_words, flight_table, moment_rows

__all__ = ["watched_answer", "watched_context", "watched_page"]


def watched_page(campaign: Campaign, seen: Sequence[WatchedAgain], provenance: Provenance) -> str:
    """Return flights that were flown again as one self-contained HTML document."""
    context, strips = watched_context(campaign, seen)
    context |= shared(campaign, provenance) | {"readout": strips_of_page(strips)}
    return environment().get_template("watched.html.j2").render(context)


def watched_context(
    campaign: Campaign, seen: Sequence[WatchedAgain]
) -> tuple[dict[str, Any], list[Strip]]:
    """Return what the page of some flights says, and its strips in order."""
    system = campaign.head.units
    watched = [w for each in seen for w in (each.watched, each.plain_watched) if w is not None]
    strips, drawn = drawn_flights(watched, system)
    found, place = [], 0
    for each in seen:
        several = 1 if each.plain_watched is None else 2
        found.append(_flight(each, drawn[place : place + several]))
        place += several
    heads, rows = flight_table([each.flown for each in seen], campaign, system)
    context = {
        "answer": watched_answer(seen[0], campaign),
        "warnings": [],
        "case": seen[0].flown.case,
        "seen": found,
        "heads": heads,
        "rows": [(flown.flight, cells) for flown, cells in rows],
    }
    return context, strips


def watched_answer(seen: WatchedAgain, campaign: Campaign) -> Answer:
    """Say what became of a flight, and of the same one without the fault."""
    flown = seen.flown
    lead = f"Flight {flown.flight}, {flown.case}: {became_words(flown)}."
    if seen.plain is not None:
        lead += f" Without the fault: {became_words(seen.plain)}."
    heads, rows = flight_table([flown], campaign, campaign.head.units)
    cells = [(head, cell) for head, cell in zip(heads, rows[0][1], strict=True)]
    keys = [KeyFigure(head, cell.words, "") for head, cell in cells if cell.value == cell.value]
    return Answer(lead, tuple(keys[-4:]), (flown.says,) if seen.plain is not None else (), ())


def _flight(seen: WatchedAgain, drawn: Sequence[dict[str, Any]]) -> dict[str, Any]:
    said = [
        f"{name} ends in stage {stays[-1].stage}"
        for name, stays in seen.watched.stays.items()
        if stays
    ]
    return {
        "number": seen.flown.flight,
        "flight": drawn[0],
        "plain": drawn[1] if len(drawn) > 1 else None,
        "moments": moment_rows(seen.watched, seen.plain_watched),
        "ends": f"{', '.join(said)}." if said else "",
        "switched": _switched(seen.watched),
    }


def _switched(watched: Watched) -> list[str]:
    """Return a sentence for each output: when it was on."""
    return [
        f"{name}: on "
        + ", ".join(
            f"from {begin:.2f} to {end:.2f}{NO_BREAK}s".replace("-", "−") for begin, end in spans
        )
        + "."
        for name, spans in watched.levels.items()
    ]
