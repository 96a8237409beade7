"""Two settings of a program flown side by side: the same flights, but for what was turned."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from loftwright.documents import read_campaign
from loftwright.rehearsal.flown_settings import MOST, fly_settings
from loftwright.rehearsal.knobs import read_knobs, turned
from loftwright.rehearsal.one_flight import watch_again
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.results import NO_FAULT

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift-mended"
FLIGHTS = 24


@pytest.fixture(scope="module")
def campaign():
    return read_campaign(EXAMPLE)


@pytest.fixture(scope="module")
def later(campaign):
    (knob,) = read_knobs(campaign.programs, ["board.climbing.climb=20 ft/s..60 ft/s"])
    return turned(campaign.programs, {knob: knob.low}, to_be_read=True)


@pytest.fixture(scope="module")
def flown(campaign, later):
    return fly_settings(campaign, [campaign.programs, later], flights=FLIGHTS, seed=3)


def test_the_flight_that_is_watched_goes_as_in_a_rehearsal(campaign, flown):
    written = flown[0].watched
    again = watch_again(plan_of(campaign, 3), NO_FAULT, written.flight).watched
    assert written.commands == again.commands
    assert written.acts == again.acts
    assert np.array_equal(written.truth["height_m"], again.truth["height_m"])


def test_it_is_the_one_in_the_middle_and_the_same_in_both(flown):
    one, other = (each.watched for each in flown)
    assert one.flight == other.flight
    middle = flown[0].band.lanes["height_m"][:, 2].max()
    assert one.truth["height_m"].max() == pytest.approx(middle, rel=0.03)
    # Until something is let go both are one flight.
    early = one.truth["time_s"] < min(*one.acts.values(), *other.acts.values())
    assert np.array_equal(one.truth["height_m"][early], other.truth["height_m"][: early.sum()])


def test_who_waits_longer_lets_go_later(flown):
    one, other = flown
    assert other.watched.acts["payload"] > one.watched.acts["payload"] + 0.2
    assert other.due["payload"][0] > one.due["payload"][0]
    for each in flown:
        low, high = each.due["apogee"]
        assert low < each.watched.events["apogee"] < high
        rows = each.band.lanes["climb_m_s"]
        assert (np.diff(rows, axis=1)[np.isfinite(rows).all(axis=1)] >= 0.0).all()


def test_the_same_programs_fly_the_same(campaign):
    one, other = fly_settings(campaign, [campaign.programs] * 2, flights=4, seed=1)
    assert one.due == other.due
    assert np.array_equal(one.band.lanes["height_m"], other.band.lanes["height_m"])


def test_no_more_are_flown_than_are_shown(campaign):
    (one,) = fly_settings(campaign, [campaign.programs], flights=10**6, seed=1)
    assert one.flights == MOST


def test_conditions_say_values_as_a_person_writes_them(later):
    said = [way.when for stage in later["board"].stage for way in stage.way if way.when]
    assert "climb < 20 ft/s" in said
