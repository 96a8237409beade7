"""The page of a recorded flight: what was asked, what happened, how sure that is, and why."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from loftwright import __version__
from loftwright.errors import as_dict
from loftwright.field.shapes import ground_shapes
from loftwright.flight.results import Provenance
from loftwright.report.cause_rows import cause_rows, telling_rows, unlikely_rows
from loftwright.report.cautions import CAUTIONS, DEFERENCE
from loftwright.report.clock_words import clock_lines
from loftwright.report.drawn import drawn_strip, strips_of_page
from loftwright.report.estimates import day_words, moment
from loftwright.report.facts import warnings_of
from loftwright.report.flight_answer import flight_answer
from loftwright.report.flight_lanes import reported_strips, stay_words
from loftwright.report.flight_rows import (
    bias_sentences,
    descent_rows,
    event_rows,
    score_rows,
)
from loftwright.report.flight_told import FlightReport
from loftwright.report.found_places import found_drawn, found_rows
from loftwright.report.ground import key_of
from loftwright.report.left_out import left_out
from loftwright.report.people_rows import seen_sentences, sighted_rows
from loftwright.report.said_units import sentence
from loftwright.report.score_words import BIAS_HEADS, bias_rows
from loftwright.report.sources import law_sources
from loftwright.report.strip_model import Strip
from loftwright.report.templating import environment
from loftwright.report.theme import DARK, LIGHT, css_variables

__all__ = ["FlightReport", "flight_page", "named", "several_clocks"]


def flight_page(report: FlightReport) -> str:
    """Return the report of a recorded flight as one self-contained HTML document.

    Every part of `FlightReport` but the reconstruction may lack; the page then says nothing of it.
    It needs no network, font or script, and prints.
    """
    strips = reported_strips(report)
    context = _shared(report) | _told(report) | {
        "answer": flight_answer(report),
        "strips": [_drawn(spec) for spec in strips],
        "readout": strips_of_page(strips),
    }  # fmt: skip
    return environment().get_template("flight.html.j2").render(context)


def _drawn(spec: Strip) -> dict[str, Any]:
    return {"title": spec.title, "svg": drawn_strip(spec)}


def _shared(report: FlightReport) -> dict[str, Any]:
    made = _provenance(report)
    campaign, record = report.campaign, report.record
    asked = (record.asked if record else None) or (campaign.head.question if campaign else None)
    warnings = [as_dict(each) for each in report.warnings]
    return {
        "light": Markup(css_variables(LIGHT)),
        "dark": Markup(css_variables(DARK)),
        "name": named(report),
        "question": asked,
        "vehicle": campaign.vehicle.name if campaign else "",
        "place": campaign.site.place.name if campaign else "",
        "cautions": CAUTIONS,
        "deference": DEFERENCE,
        "provenance": made,
        "documents": made.documents,
        "sources": law_sources(made.laws),
        "warnings": warnings_of({"warnings": warnings}),
    }


def named(report: FlightReport) -> str:
    """Return what a flight is called: by its people, else by its folder, else by its log."""
    if report.record is not None:
        return report.record.name
    return report.flight or report.reconstruction.log


def _provenance(report: FlightReport) -> Provenance:
    """What made the page; the log alone where nobody says more."""
    if report.provenance is not None:
        return report.provenance
    found = report.reconstruction
    documents = {found.log: found.sha256}
    if report.campaign is not None:
        documents |= report.campaign.hashes
    return Provenance(documents, f"loftwright {__version__}")


def _told(report: FlightReport) -> dict[str, Any]:
    """The parts below the strips, each empty where there is nothing to tell."""
    found, record, campaign = report.reconstruction, report.record, report.campaign
    system = report.units
    unlikely, rarer = unlikely_rows(report.causes)
    return {
        "flown": day_words(record.flown) if record and record.flown else None,
        "note": record.note if record else None,
        "log": found.log,
        "banded": bool(report.expected and report.expected.band),
        "forecast": report.expected,
        "stays": stay_words(report.stays),
        "events": event_rows(report),
        "artefacts": [
            (each.kind, moment(each.time_s), sentence(each.says, system))
            for each in left_out(found.artefacts)
        ],
        "descents": descent_rows(report),
        "checks": [(each.agrees, each.name, sentence(each.says, system)) for each in found.checks],
        "scored": score_rows(report),
        "score": report.score,
        "bias": bias_rows(report.bias, system),
        "bias_heads": BIAS_HEADS,
        "bias_notes": bias_sentences(report.bias),
        "causes": report.causes,
        "failed": bool(report.causes and report.causes.causes and report.causes.causes[0].faults),
        "cause_rows": cause_rows(report.causes),
        "unlikely": unlikely,
        "rarer": rarer,
        "tellings": telling_rows(report.causes),
        "seen": seen_sentences(report),
        "sighted": sighted_rows(report),
        "scatter": found_drawn(report),
        "found": found_rows(report),
        "ground_key": key_of(ground_shapes(campaign.site)) if campaign else "",
        "clocks": _clocks(report),
        "findings": report.findings,
        "actions": report.actions,
        "learnt": report.fit,
        "used": report.used,
        "assumed": [sentence(words, system) for words in found.assumed],
        "notes": [sentence(words, system) for words in (*found.notes, *report.notes)],
    }  # fmt: skip


def several_clocks(report: FlightReport) -> bool:
    """Whether there is more than one clock, so that something can be compared."""
    clocks = report.clocks
    return clocks is not None and len(clocks.clocks) + len(clocks.untied) > 1


def _clocks(report: FlightReport) -> list[str]:
    if report.clocks is None or not several_clocks(report):
        return []
    return list(clock_lines(report.clocks))
