"""Nested documents become flat maps, by the words that stand in the files."""

from __future__ import annotations

from pathlib import Path

import pytest

from loftwright.documents.campaign import Campaign, CampaignFile
from loftwright.documents.flatten import flatten
from loftwright.documents.payload import Carried, Glide, Payload, Release
from loftwright.documents.site import Air, Launch, Place, Site, Wind
from loftwright.documents.vehicle import (
    Body,
    Fill,
    Fins,
    Mass,
    Nose,
    Nozzle,
    Vehicle,
    Vessel,
)
from loftwright.units import Quantity

Q = Quantity


def a_vehicle() -> Vehicle:
    vessel = Vessel(
        volume=Q(2e-3, 1e-5),
        diameter=Q(0.108),
        length=Q(0.3),
        from_nose=Q(0.4),
        wall=Q(3e-4),
    )
    fins = Fins(
        count=3,
        root_chord=Q(0.1),
        tip_chord=Q(0.05),
        span=Q(0.09),
        sweep=Q(0.05),
        thickness=Q(2e-3),
        from_nose=Q(0.6),
    )
    return Vehicle(
        name="Bottle 2",
        mass=Mass(dry=Q(0.186, 1e-3)),
        vessel=(vessel, vessel),
        nozzle=Nozzle(throat_diameter=Q(0.0215)),
        fill=Fill(water_volume=Q(6e-4), gauge_pressure=Q(4e5, 1e4), temperature=Q(288.15)),
        nose=Nose(profile="ogive", length=Q(0.16)),
        body=Body(diameter=Q(0.11), length=Q(0.8)),
        fins=(fins, fins),
    )


def a_payload() -> Payload:
    carried = Carried(from_nose=Q(0.35), length=Q(0.3), width=Q(0.06), thickness=Q(0.02))
    return Payload(
        name="Wren",
        kind="glider",
        mass=Q(0.038),
        carried=carried,
        glide=Glide(wing_area=Q(0.04), glide_ratio=Q(4.5, 0.5)),
        release=Release(when="apogee"),
    )


def a_site() -> Site:
    return Site(
        place=Place(latitude=Q(0.9), longitude=Q(0.08), elevation=Q(10.0)),
        air=Air(temperature=Q(290.15, 1.0)),
        wind=Wind(speed=Q(2.7), coming_from=Q(4.0, 0.2)),
        launch=Launch(elevation=Q(1.5), guide_length=Q(1.0)),
    )


def a_campaign(payload: Payload | None) -> Campaign:
    head = CampaignFile(name="n", question="q", vehicle="vehicle.toml", site="site.toml")
    return Campaign(
        folder=Path("."),
        head=head,
        vehicle=a_vehicle(),
        payload=payload,
        site=a_site(),
        hashes={},
    )


@pytest.mark.parametrize(
    ("path", "value", "sd"),
    [
        ("vehicle.fill.gauge_pressure", 4e5, 1e4),
        ("vehicle.vessel.0.volume", 2e-3, 1e-5),
        ("vehicle.vessel.1.volume", 2e-3, 1e-5),
        ("vehicle.fins.1.span", 0.09, 0.0),
        ("payload.carried.offset", 0.0, 0.0),
        ("payload.glide.glide_ratio", 4.5, 0.5),
        ("site.wind.from", 4.0, 0.2),
    ],
)
def test_a_quantity_stands_under_the_words_of_its_file(path: str, value: float, sd: float) -> None:
    values, sds, _ = flatten(a_campaign(a_payload()))
    assert (values[path], sds[path]) == (value, sd)


def test_words_hold_what_is_not_a_quantity() -> None:
    _, _, words = flatten(a_campaign(a_payload()))
    assert words["vehicle.fins.0.count"] == 3
    assert words["vehicle.nose.profile"] == "ogive"
    assert words["vehicle.fill.gas"] == "moist"
    assert words["payload.release.when"] == "apogee"
    assert words["vehicle.name"] == "Bottle 2"


def test_what_was_left_out_is_absent() -> None:
    values, sds, words = flatten(a_campaign(None))
    everything = set(values) | set(words)
    assert set(values) == set(sds)
    assert not any(path.startswith("payload.") for path in everything)
    assert "vehicle.nozzle.from_nose" not in everything
    assert not any(path.startswith("vehicle.canopy") for path in everything)


def test_a_path_is_either_a_number_or_a_word() -> None:
    values, _, words = flatten(a_campaign(a_payload()))
    assert not set(values) & set(words)


def test_python_spelling_of_a_reserved_word_never_shows() -> None:
    values, _, _ = flatten(a_campaign(a_payload()))
    assert not any("coming_from" in path for path in values)
