"""The page of a rehearsal: what fails, what that does, and what hangs on one thing alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from loftwright.documents.campaign import Campaign
from loftwright.rehearsal.results import Case, Rehearsal, Watched
from loftwright.report import stages, wiring
from loftwright.report.drawn import all_widths, drawn_strip, strips_of_page
from loftwright.report.page import shared
from loftwright.report.reading import listed, often
from loftwright.report.rehearse_means import definitions, wanted_rows
from loftwright.report.rehearse_rows import anchor, case_row, cut_rows, energy_rows, mend_rows
from loftwright.report.rehearse_words import (
    cause_words,
    level_words,
    rehearse_answer,
    whole,
)
from loftwright.report.stage_words import StagePicture
from loftwright.report.strip_model import Strip
from loftwright.report.templating import environment
from loftwright.report.watched_lanes import stay_sentences, watched_strips
from loftwright.report.wiring_picture import WiringPicture

__all__ = ["Pictures", "drawn_flights", "drawn_programs", "rehearse_page"]


@dataclass(frozen=True, slots=True)
class Pictures:
    """What is drawn beside the figures: the wiring, and the program of each controller."""

    wiring: WiringPicture | None = None
    programs: tuple[StagePicture, ...] = ()


def rehearse_page(
    campaign: Campaign, rehearsal: Rehearsal, pictures: Pictures | None = None
) -> str:
    """Return the report of a rehearsal as one self-contained HTML document.

    The worst flight of each fault is one click from its row; nothing of that needs a script.
    """
    system, drawn = campaign.head.units, pictures or Pictures()
    strips, flights = drawn_flights(rehearsal.watched, system)
    anchors = {flight["title"]: flight["anchor"] for flight in flights}
    bodies, energies = energy_rows((rehearsal.nominal, *rehearsal.single_points), campaign, system)
    context: dict[str, Any] = shared(campaign, rehearsal.provenance) | {
        "answer": rehearse_answer(rehearsal, system),
        "warnings": [],
        "electronics": drawn.wiring.title if drawn.wiring else "",
        "heads": {
            "payload": bool(rehearsal.nominal.payload),
            "field": bool(rehearsal.nominal.field),
        },
        "level": level_words(rehearsal.level),
        "each": whole(rehearsal.flights),
        "singles": [_single(case, rehearsal, anchors) for case in rehearsal.single_points],
        "nominal": case_row(rehearsal.nominal, anchors),
        "rows": [case_row(case, anchors) for case in rehearsal.faults],
        "flights": flights,
        "causes": [
            {"words": cause_words(cause), "warns": cause.leaves_no_way_down}
            for cause in rehearsal.common_causes
        ],
        "wiring": _wiring(drawn.wiring),
        "wiring_key": wiring.KEY,
        "pairs": [case_row(case, anchors) for case in rehearsal.pairs],
        "cuts": cut_rows(rehearsal),
        "mends": mend_rows(rehearsal),
        "programs": drawn_programs(drawn.programs),
        "bodies": bodies,
        "energies": energies,
        "wanted": wanted_rows(rehearsal.wanted, campaign),
        "definitions": definitions(rehearsal),
        "truth_from": rehearsal.truth_from,
        "readout": strips_of_page(strips),
    }
    return environment().get_template("rehearse.html.j2").render(context)


def drawn_flights(
    watched: Sequence[Watched], system: str
) -> tuple[list[Strip], list[dict[str, Any]]]:
    """Return the strips of watched flights in order, and for each flight what its page says."""
    strips: list[Strip] = []
    flights: list[dict[str, Any]] = []
    for each in watched:
        shown = []
        for spec in watched_strips(each, system):
            shown.append({"title": spec.title, "svg": drawn_strip(spec), "index": len(strips)})
            strips.append(spec)
        flights.append({
            "title": each.case,
            "number": each.flight,
            "anchor": anchor(each.case, each.flight),
            "outcome": each.outcome,
            "strips": shown,
            "stays": stay_sentences(each, system),
        })  # fmt: skip
    return strips, flights


def _wiring(picture: WiringPicture | None) -> Markup:
    if picture is None or not picture.nodes:
        return Markup("")
    return all_widths(wiring.WIDTHS, lambda frame, kind: wiring.draw_wiring(picture, frame, kind))


def drawn_programs(programs: Sequence[StagePicture]) -> list[dict[str, Any]]:
    """Return each program with its stages drawn."""
    return [{"name": picture.table.name, "svg": _stages(picture)} for picture in programs]


def _stages(picture: StagePicture) -> Markup:
    return all_widths(stages.WIDTHS, lambda frame, kind: stages.draw_stages(picture, frame, kind))


def _single(case: Case, rehearsal: Rehearsal, anchors: dict[str, str]) -> dict[str, Any]:
    row = case_row(case, anchors)
    along = next(
        (cause.takes_along for cause in rehearsal.common_causes if cause.part == case.part), ()
    )
    return {
        "name": row.name, "says": row.says, "lost": often(case.lost),
        "endangers": often(case.endangers) if case.endangers else "",
        "happens": _happens(row.happens), "flight": row.flight,
        "along": listed(list(along)) if along else "",
    }  # fmt: skip


def _happens(words: str) -> str:
    return "It always happens." if words == "always" else f"It happens in {words} flights."
