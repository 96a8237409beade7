"""What the payload asks of its hold, against what the recorded flight says it must."""

from __future__ import annotations

import numpy as np
import pytest
from flight.campaigns import example, with_fields

from loftwright.documents.flatten import flatten
from loftwright.flight.air import air_at_pad
from loftwright.flight.forecast import forecast

GRAVITY = 9.80665
STILL = {"site.wind.speed": 0.0, "site.wind.gust": None}


def asked(flight, mass: float, drag_area: float, density: float) -> float:
    """The largest of mass times felt acceleration plus drag, until the payload is let go."""
    track = flight.tracks["vehicle"]
    held = track.time <= track.events["release"]
    felt = np.linalg.norm(track.acceleration[held] + [0.0, 0.0, GRAVITY], axis=1)
    speed = np.linalg.norm(track.velocity[held], axis=1)
    return float((mass * felt + 0.5 * density * drag_area * speed**2).max())


@pytest.mark.parametrize("coefficient", [0.0, 0.8, 3.0])
def test_it_is_inertia_plus_drag_at_the_worst_moment(coefficient):
    campaign = with_fields(
        example("sedge-lift"), {**STILL, "payload.carried.drag_coefficient": coefficient}
    )
    flight = forecast(campaign)
    carried = campaign.payload.carried
    area = coefficient * carried.width.value * carried.thickness.value
    density = air_at_pad(flatten(campaign)[0]).density
    expected = asked(flight, campaign.payload.mass.value, area, density)
    assert flight.figures["hold_load_n"] == pytest.approx(expected, rel=0.01)


def test_a_heavier_payload_asks_more():
    light, heavy = (
        forecast(with_fields(example("sedge-lift"), {"payload.mass": mass})).figures["hold_load_n"]
        for mass in (0.02, 0.04)
    )
    assert light < heavy < 2.0 * light


def test_without_a_payload_nothing_is_asked():
    campaign = with_fields(example("sedge-lift"), {"payload": None})
    assert forecast(campaign).figures["hold_load_n"] is None
