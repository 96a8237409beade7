"""The reports: one self-contained HTML file each, readable offline, on a phone and on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from loftwright.documents.campaign import Campaign
from loftwright.field.shapes import ground_shapes
from loftwright.flight.results import Band, Ensemble, Firing, Flight, Provenance
from loftwright.report import cutaway, scatter
from loftwright.report.answer import forecast_answer
from loftwright.report.bodies import body_names, short_names
from loftwright.report.carrying_words import causes
from loftwright.report.cautions import CAUTIONS, DEFERENCE
from loftwright.report.drawn import all_widths, drawn_strip, strips_of_page
from loftwright.report.drivers import driver_tables
from loftwright.report.facts import check_facts, warnings_of
from loftwright.report.figures_table import firing_rows, flight_rows
from loftwright.report.firing_answer import firing_answer, fit_rows, record_rows
from loftwright.report.firing_lanes import ThrustRecord, firing_strip
from loftwright.report.glider_words import glides
from loftwright.report.ground import key_of
from loftwright.report.ground_words import ground_words
from loftwright.report.landed import landed_table
from loftwright.report.lanes import flight_strips
from loftwright.report.parting_words import holds_table
from loftwright.report.reading import Reading, listed
from loftwright.report.sources import law_sources
from loftwright.report.strip_model import Strip
from loftwright.report.templating import environment
from loftwright.report.theme import DARK, LIGHT, css_variables

__all__ = ["all_widths", "firing_page", "forecast_page", "on_the_pad", "shared"]


def _strip(spec: Strip) -> dict[str, Any]:
    return {"title": spec.title, "description": spec.description, "svg": drawn_strip(spec)}


def shared(campaign: Campaign, provenance: Provenance) -> dict[str, Any]:
    """Return what every page says: names, cautions, and what made it."""
    return {
        "light": Markup(css_variables(LIGHT)),
        "dark": Markup(css_variables(DARK)),
        "name": campaign.head.name,
        "question": campaign.head.question,
        "vehicle": campaign.vehicle.name,
        "place": campaign.site.place.name,
        "cautions": CAUTIONS,
        "deference": DEFERENCE,
        "provenance": provenance,
        "documents": provenance.documents or campaign.hashes,
        "sources": law_sources(provenance.laws),
    }


def on_the_pad(campaign: Campaign, check: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return the cutaway, what the check found, and its warnings."""
    known = check or {}
    return {
        "cutaway": all_widths(
            cutaway.WIDTHS, lambda frame, kind: cutaway.draw_cutaway(campaign, known, frame, kind)
        ),
        "standing": _standing(campaign),
        "ruled": "6 in" if campaign.head.units == "us" else "10 cm",
        "facts": check_facts(known, campaign.head.units),
        "warnings": warnings_of(check),
    }


def _standing(campaign: Campaign) -> str:
    """Name what stands on the pad."""
    names = [campaign.vehicle.name]
    if campaign.boosters is not None:
        names.append(f"{campaign.boosters.attach.count} {campaign.boosters.name}")
    if campaign.upper is not None:
        names.append(campaign.upper.name)
    return listed(names)


def _landing(campaign: Campaign, flight: Flight, ensemble: Ensemble | None) -> Markup:
    wind = campaign.site.wind
    air = {"speed": wind.speed.value, "coming_from": wind.coming_from.value}
    bodies, ground = (
        scatter.landings(flight, ensemble, short_names(campaign)),
        ground_shapes(campaign.site),
    )
    if not any(len(b.points) or b.nominal is not None for b in bodies):
        return Markup("")
    return all_widths(
        scatter.WIDTHS,
        lambda width, kind: scatter.draw_scatter(
            bodies, air, campaign.head.units, width, kind, ground
        ),
    )


def forecast_page(
    campaign: Campaign,
    flight: Flight,
    ensemble: Ensemble | None = None,
    check: Mapping[str, Any] | None = None,
) -> str:
    """Return the report of a forecast as one self-contained HTML document.

    ``check`` holds the figures and warnings of the check, as ``CheckResult.as_dict`` has them;
    without it the cutaway has no plumb marks. The text needs no network, font or script.
    """
    system = campaign.head.units
    strips = flight_strips(flight, ensemble, system, short_names(campaign))
    read = Reading(campaign, flight, ensemble)
    return (
        environment()
        .get_template("forecast.html.j2")
        .render(
            shared(campaign, (ensemble or flight).provenance)
            | on_the_pad(campaign, check)
            | {
                "answer": forecast_answer(campaign, flight, ensemble),
                "strips": [_strip(spec) for spec in strips],
                "readout": strips_of_page(strips),
                "causes": causes(read),
                "holds": holds_table(read),
                "glides": glides(read),
                "landed": landed_table(campaign, flight, ensemble),
                "scatter": _landing(campaign, flight, ensemble),
                "ground_key": key_of(ground_shapes(campaign.site)),
                "ground": ground_words(campaign, ensemble),
                "drivers": driver_tables(ensemble.drivers, campaign) if ensemble else [],
                "rows": flight_rows(flight, ensemble, system, body_names(campaign)),
                "flights": _flights(ensemble),
            }
        )
    )


def _flights(ensemble: Ensemble | None) -> int | None:
    if ensemble is None:
        return None
    return max((column.size for column in ensemble.columns.values()), default=0)


def firing_page(
    campaign: Campaign,
    firing: Firing,
    records: Sequence[ThrustRecord] | None = None,
    fit: Mapping[str, Any] | None = None,
    check: Mapping[str, Any] | None = None,
) -> str:
    """Return the report of a static firing as one self-contained HTML document.

    ``records`` are measured firings, drawn in ink over the prediction. ``fit`` may hold
    ``fitted`` (a mapping of coefficient to ``value`` and ``sd``), ``band`` (a
    ``flight.results.Band`` with the lane ``thrust_n``, the prediction after fitting),
    ``impulse_n_s`` (5 and 95 % of a new firing's impulse after it) and ``notes`` (sentences).
    """
    system, measured = campaign.head.units, list(records or ())
    found = fit or {}
    band: Band | None = found.get("band")
    strips = [firing_strip(firing, measured, system, band)]
    return (
        environment()
        .get_template("firing.html.j2")
        .render(
            shared(campaign, firing.provenance)
            | on_the_pad(campaign, check)
            | {
                "answer": firing_answer(firing, measured, system, found),
                "strips": [_strip(spec) for spec in strips],
                "readout": strips_of_page(strips),
                "records": record_rows(firing, measured, system),
                "fitted": fit_rows(found.get("fitted") or {}, system),
                "fit_notes": found.get("notes") or (),
                "banded": band is not None,
                "rows": firing_rows(firing, system),
                "flights": None,
            }
        )
    )
