"""The documents as flown, with what was measured on the day in place of what they expected."""

from __future__ import annotations

from dataclasses import replace

from loftwright.documents import Campaign
from loftwright.documents.flight_record import Conditions
from loftwright.documents.reading import findings
from loftwright.documents.site import Air, Wind
from loftwright.documents.vehicle import Fill
from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.recorded_flight import RecordedFlight
from loftwright.units import Quantity

__all__ = ["flown_campaign"]


def flown_campaign(flight: RecordedFlight) -> Campaign:
    """Return the campaign that was flown: its snapshot, with the day's conditions in it.

    Water, gauge pressure, air and wind that were measured stand in place of what the documents
    expected, each with its own uncertainty; what was not measured stays. A gust that the site
    expects scales with the mean wind where a mean was measured and no gust: over one ground the
    deviation of the wind's speed is in proportion to its mean (Kaimal and Finnigan, Atmospheric
    Boundary Layer Flows, 1994, section 1.4, from memory).

    Raises
    ------
    ProblemError
        The conditions do not fit the documents, such as more water than the vessels hold.
    """
    conditions = flight.record.conditions
    if conditions is None:
        return flight.campaign
    campaign = flight.campaign
    flown = replace(
        campaign,
        vehicle=replace(campaign.vehicle, fill=_fill(campaign.vehicle.fill, conditions)),
        site=replace(
            campaign.site,
            air=_air(campaign.site.air, conditions),
            wind=_wind(campaign.site.wind, conditions),
        ),
    )
    _refuse_unfit(flown, flight.name)
    return flown


def _fill(fill: Fill, conditions: Conditions) -> Fill:
    return replace(
        fill,
        water_volume=conditions.water_volume or fill.water_volume,
        gauge_pressure=conditions.gauge_pressure or fill.gauge_pressure,
    )


def _air(air: Air, conditions: Conditions) -> Air:
    return replace(
        air,
        pressure=conditions.pressure or air.pressure,
        temperature=conditions.temperature or air.temperature,
        humidity=conditions.humidity or air.humidity,
    )


def _wind(wind: Wind, conditions: Conditions) -> Wind:
    mean = conditions.wind_speed
    flown = replace(
        wind,
        speed=mean or wind.speed,
        coming_from=conditions.wind_from or wind.coming_from,
        at_height=conditions.wind_at_height or wind.at_height,
        gust=conditions.wind_gust or wind.gust,
    )
    if mean is None or conditions.wind_gust is not None or wind.gust is None:
        return flown
    if wind.speed.value <= 0.0:
        return replace(flown, gust=None)
    share = mean.value / wind.speed.value
    return replace(flown, gust=Quantity(wind.gust.value * share, wind.gust.sd * share))


def _refuse_unfit(flown: Campaign, name: str) -> None:
    """Raise what the rules of reading refuse of the documents with the day's conditions."""
    problems = [
        Problem(
            found.code,
            f"with the conditions of the day: {found.message}",
            Where(
                file=f"flights/{name}/flight.toml",
                field=f"conditions, for {role}.{'.'.join(map(str, found.path))}",
            ),
            found.mend,
        )
        for role, found in findings(flown)
        if found.severity == "error"
    ]
    if problems:
        raise ProblemError(problems)
