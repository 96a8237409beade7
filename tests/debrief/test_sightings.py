"""Sightings: places with the right spread, slips told, and what cannot be told said."""

from __future__ import annotations

from math import hypot, pi, radians

import numpy as np
import pytest
from debrief.made_up_records import reconstruction, record
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from loftwright.debrief.clocks.clocks import clocks_of
from loftwright.debrief.clocks.sighting_fit import fit_places
from loftwright.debrief.clocks.sighting_groups import eyes_of, groups_of
from loftwright.debrief.clocks.sightings import height_checks, sighted
from loftwright.debrief.scoring.landing_places import Pad
from loftwright.documents.flight_record import Landed, Saw, Sighting, Station
from loftwright.physics.sighting import bearing_and_elevation
from loftwright.units import Quantity

STATIONS = {"Gate": (-60.0, 25.0, 1.6), "Barn": (70.0, 60.0, 3.0), "Oak": (0.0, -90.0, 1.6)}
TOP = (12.0, -8.0, 80.0)
ANGLE = radians(1.0)


def station(name, place_sd=1.0, zero=0.0, zero_sd=ANGLE):
    east, north, up = STATIONS[name]
    return Station(
        name=name,
        east=Quantity(east, place_sd),
        north=Quantity(north, place_sd),
        up=Quantity(up, 0.1),
        bearing_zero=Quantity(zero, zero_sd),
    )


def look(name, target=TOP, bearing=True, off=(0.0, 0.0), zero=0.0, **more):
    angles = bearing_and_elevation(STATIONS[name], target)
    shown = (angles[0] + zero + off[0]) % (2.0 * pi)
    return Sighting(
        station=name,
        bearing=Quantity(shown, ANGLE) if bearing else None,
        elevation=Quantity(angles[1] + off[1], ANGLE),
        **({"moment": "apogee"} | more),
    )


def of(looks, stations=("Gate", "Barn"), **parts):
    made = record(
        station=tuple(station(name) if isinstance(name, str) else name for name in stations),
        sighting=tuple(looks),
        **parts,
    )
    return sighted(made, clocks_of(made, [reconstruction()]), pad=Pad(0.9, 0.1, 0.0))


@settings(deadline=None, max_examples=25)
@given(st.floats(-40.0, 40.0), st.floats(-40.0, 40.0), st.floats(20.0, 150.0), st.floats(-1, 1))
def test_two_stations_tell_a_place(east, north, up, zero):
    target = (east, north, up)
    (found,) = of(
        [look("Gate", target, zero=zero), look("Barn", target)],
        (station("Gate", zero=zero), "Barn"),
    )
    np.testing.assert_allclose(found.position, target, atol=1e-3)
    assert found.miss == pytest.approx(0.0, abs=1e-6)
    assert found.agrees
    assert np.linalg.eigvalsh(found.covariance).min() > 0.0
    assert found.how == "two stations"


def test_places_scatter_as_their_covariance_says_and_misses_as_their_chance():
    stream = np.random.default_rng(6)
    distances, chances = [], []
    for _ in range(150):
        moved = {
            name: tuple(np.array(place) + stream.normal(0.0, (1.0, 1.0, 0.1)))
            for name, place in STATIONS.items()
        }
        looks = []
        for name in ("Gate", "Barn"):
            true = bearing_and_elevation(moved[name], TOP)
            told = bearing_and_elevation(STATIONS[name], TOP)
            zero = stream.normal(0.0, radians(1.0))
            noise = stream.normal(0.0, ANGLE, 2)
            off = (true[0] - told[0] + zero + noise[0], true[1] - told[1] + noise[1])
            looks.append(look(name, off=off))
        (found,) = of(looks)
        apart = found.position - np.array(TOP)
        distances.append(apart @ np.linalg.solve(found.covariance, apart))
        chances.append(found.chance)
    assert np.mean(distances) == pytest.approx(3.0, abs=0.5)
    assert np.mean(np.array(distances) < stats.chi2.ppf(0.9, 3)) == pytest.approx(0.9, abs=0.06)
    assert stats.kstest(chances, "uniform").pvalue > 0.01


def test_what_is_off_about_a_station_is_off_in_all_it_sees():
    looks = [
        look(name, target, moment=moment)
        for moment, target in (("apogee", TOP), ("canopy open", (15.0, -9.0, 78.0)))
        for name in ("Gate", "Barn")
    ]
    made = record(station=(station("Gate"), station("Barn")), sighting=tuple(looks))
    groups = groups_of(made, clocks_of(made, [reconstruction()]))
    starts = np.array([TOP, TOP])
    fit = fit_places(groups, eyes_of(made.station), starts)
    alone = fit_places(groups[:1], eyes_of(made.station), starts[:1])
    shared = fit.covariance[:3, 3:]
    sds = np.sqrt(np.diagonal(fit.covariance))
    assert (np.diagonal(shared) / (sds[:3] * sds[3:]) > 0.15).all()
    # Seen twice, a station's error is known no worse.
    assert (np.diagonal(fit.covariance)[:3] <= np.diagonal(alone.covariance_of(0)) + 1e-9).all()
    difference = np.hstack([np.eye(3), -np.eye(3)])
    apart = np.diagonal(difference @ fit.covariance @ difference.T)
    assert (apart < np.diagonal(fit.covariance)[:3] + np.diagonal(fit.covariance)[3:]).all()


def test_a_slip_is_told_and_moves_no_other_moment():
    good = [look(name, moment="canopy open") for name in ("Gate", "Barn")]
    bad = [look("Gate"), look("Barn", off=(0.0, radians(15.0)))]
    (alone,) = of(good)
    found = of([*bad, *good])
    assert found[0].agrees is False
    assert found[0].miss > found[0].miss_open
    assert "do not meet" in found[0].says
    np.testing.assert_allclose(found[1].position, alone.position, atol=1e-6)
    checks = height_checks(found, reconstruction())
    assert checks[0].agrees is None


def test_lines_that_meet_behind_a_station_do_not_agree():
    # Both look away from each other, a little apart: the lines cross behind them.
    (found,) = of([look("Gate", off=(pi, 0.0)), look("Barn", off=(pi, 0.0))])
    assert found.agrees is False
    assert found.position is None
    assert "behind a station" in found.says


def test_three_stations_check_each_other_without_a_miss():
    looks = [look(name) for name in STATIONS]
    (found,) = of(looks, tuple(STATIONS))
    assert (found.how, found.miss) == ("3 stations", None)
    np.testing.assert_allclose(found.position, TOP, atol=1e-3)
    (bad,) = of([*looks[:2], look("Oak", off=(0.3, 0.0))], tuple(STATIONS))
    assert bad.agrees is False


def test_two_bearings_and_one_elevation_cannot_be_checked():
    looks = [look("Gate"), look("Barn", off=(0.0, radians(0.0)))]
    looks[1] = Sighting(station="Barn", moment="apogee", elevation=looks[1].elevation)
    (found,) = of(looks)
    assert found.agrees is None
    np.testing.assert_allclose(found.position, TOP, atol=1e-2)


# ---------------------------------------------------------------- one station


def test_one_station_cannot_tell_a_place():
    (found,) = of([look("Gate")])
    assert found.position is None
    assert "a second one is needed" in found.says
    (flat,) = of([look("Gate", bearing=False), look("Barn", bearing=False)])
    assert flat.position is None
    assert "bearings too" in flat.says


def test_one_station_and_the_landing_tell_a_place_that_is_supposed():
    landed = Landed(
        distance=Quantity(hypot(*TOP[:2]) * 3.0, 1.0),
        bearing=Quantity(float(np.arctan2(TOP[0], TOP[1])), 0.05),
    )
    (found,) = of([look("Oak")], ("Oak",), landed=(landed,))
    (two,) = of([look("Oak"), look("Barn")], ("Oak", "Barn"))
    np.testing.assert_allclose(found.position, TOP, atol=1e-2)
    assert found.agrees is None
    assert "supposed" in found.says
    assert found.height_sd > two.height_sd


def test_coordinates_need_the_pad():
    landed = Landed(latitude=Quantity(0.9001), longitude=Quantity(0.1001))
    made = record(station=(station("Oak"),), sighting=(look("Oak"),), landed=(landed,))
    clocks = clocks_of(made, [reconstruction()])
    (without,) = sighted(made, clocks)
    assert without.position is None
    (found,) = sighted(made, clocks, pad=Pad(0.9, 0.1, 0.0))
    assert found.how == "one station and the plane of the flight"
    assert without.how != found.how


def test_a_line_in_the_plane_of_the_flight_tells_nothing():
    toward = float(np.arctan2(STATIONS["Gate"][0], STATIONS["Gate"][1]))
    landed = Landed(distance=Quantity(50.0, 1.0), bearing=Quantity(toward, 0.02))
    (found,) = of([look("Gate", (-1.0, 0.4, 80.0))], landed=(landed,))
    assert found.position is None
    assert "plane" in found.says


# ---------------------------------------------------------------- when


def test_sightings_by_time_are_put_together_on_one_clock():
    saw = (
        Saw(what="liftoff", at=Quantity(100.0, 0.05), by="Ana"),
        Saw(what="liftoff", at=Quantity(7.0, 0.05), by="Ben"),
    )
    looks = [
        look("Gate", moment=None, at=Quantity(103.0, 0.05), by="Ana"),
        look("Barn", moment=None, at=Quantity(10.05, 0.05), by="Ben"),
        look("Barn", moment=None, at=Quantity(15.0, 0.05), by="Ben"),
    ]
    found = of(looks, saw=saw)
    assert [each.stations for each in found] == [("Gate", "Barn"), ("Barn",)]
    assert found[0].time.value == pytest.approx(3.0, abs=0.1)
    # While calls are 0.07 s apart, the body moves: the place is less sure than at the top.
    (still,) = of(looks=[look("Gate"), look("Barn")])
    assert found[0].height_sd > still.height_sd


def test_without_a_clock_a_timed_sighting_stands_alone():
    found = of([look(name, moment=None, at=Quantity(3.0)) for name in ("Gate", "Barn")])
    assert len(found) == 2
    assert found[0].time is None


# ---------------------------------------------------------------- beside the log


@pytest.mark.parametrize(("up", "agrees"), [(80.0, True), (95.0, False)])
def test_heights_beside_the_log(up, agrees):
    target = (*TOP[:2], up)
    places = of([look("Gate", target), look("Barn", target)])
    (check,) = height_checks(places, reconstruction())
    assert check.agrees is agrees
    assert f"{up:.1f} m seen, 80.0 m by the log" in check.says
    (feet,) = height_checks(places, reconstruction(), system="us")
    assert f"{up / 0.3048:.0f} ft seen, 262 ft by the log" in feet.says


def test_what_has_left_is_not_held_against_the_log():
    looks = [look(name, of="payload", moment="touchdown") for name in ("Gate", "Barn")]
    assert height_checks(of(looks), reconstruction()) == ()
    riding = [look(name, of="payload", moment="water out") for name in ("Gate", "Barn")]
    assert len(height_checks(of(riding), reconstruction())) == 1
