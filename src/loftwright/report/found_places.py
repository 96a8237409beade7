"""Where bodies lay after a flight, over where the forecast had them come down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from markupsafe import Markup

from loftwright.debrief.scoring.landing_places import LandingPlace
from loftwright.field.shapes import ground_shapes
from loftwright.report import scatter
from loftwright.report.bodies import in_order, short_names
from loftwright.report.estimates import plus_minus
from loftwright.report.flight_told import FlightReport
from loftwright.report.page import all_widths
from loftwright.report.quantities import span
from loftwright.report.scatter import Landing

__all__ = ["found_drawn", "found_landings", "found_rows"]


def found_landings(report: FlightReport) -> list[Landing]:
    """Return each body with its forecast touchdowns and where it was found, if any of it is known.

    What the forecast has come down and nobody has found is left to the forecast's own page.
    """
    names = short_names(report.campaign) if report.campaign else {}
    found = {each.of: each for each in report.landed}
    forecast = report.expected.places if report.expected else {}
    landings = []
    for body in in_order(set(found)):
        points = forecast.get(body, np.zeros((0, 2)))
        place = found[body].place
        if place is not None:
            landings.append(Landing(body, None, points, names.get(body, ""), place))
    return landings


def found_drawn(report: FlightReport) -> Markup:
    """Return the plan of it, nothing where no place is known."""
    bodies = found_landings(report)
    if not bodies:
        return Markup("")
    ground = ground_shapes(report.campaign.site) if report.campaign else ()
    return all_widths(
        scatter.WIDTHS,
        lambda width, kind: scatter.draw_scatter(
            bodies, _air(report), report.units, width, kind, ground
        ),
    )


def _air(report: FlightReport) -> Mapping[str, float]:
    """The wind as it was measured, else as the documents have it, else a calm."""
    measured = report.record.conditions if report.record else None
    written = report.campaign.site.wind if report.campaign else None
    speed = (measured and measured.wind_speed) or (written and written.speed)
    towards = (measured and measured.wind_from) or (written and written.coming_from)
    return {
        "speed": speed.value if speed else 0.0,
        "coming_from": towards.value if towards else 0.0,
    }


def found_rows(report: FlightReport) -> list[tuple[str, str, str, str]]:
    """Return body, distance from the pad as forecast and as found, and how that is known."""
    names = short_names(report.campaign) if report.campaign else {}
    forecast = report.expected.places if report.expected else {}
    return [_row(each, names, forecast, report.units) for each in report.landed]


def _row(
    each: LandingPlace,
    names: Mapping[str, str],
    forecast: Mapping[str, Sequence[Sequence[float]]] | Mapping[str, np.ndarray],
    system: str,
) -> tuple[str, str, str, str]:
    points = np.asarray(forecast.get(each.of, ()), dtype=float).reshape(-1, 2)
    due = ""
    if len(points):
        low, high = np.percentile(np.hypot(*points.T), (5.0, 95.0)).tolist()
        due = span(low, high, "distance", system)
    far = plus_minus(each.distance, each.distance_sd, "distance", system)
    return names.get(each.of, each.of), due, far, each.how
