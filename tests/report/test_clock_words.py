"""Clocks and sightings in words."""

from __future__ import annotations

import numpy as np
import pytest

from loftwright.debrief.clocks.results import ClockPrior, Telling
from loftwright.debrief.clocks.sighting_results import SightedPosition
from loftwright.debrief.clocks.solver import solve_clocks
from loftwright.debrief.results import Estimate
from loftwright.report.clock_words import clock_lines, sight_lines


def plain(words):
    return words.replace("\u00a0", " ").replace("\u202f", " ")


def tellings(*moments, clock="board.csv", sd=0.01):
    return [Telling(clock, event, "vehicle", time, sd) for event, time in moments]


LOG = tellings(("liftoff", 12.0), ("apogee", 16.0), ("touchdown", 112.0))


def lines_of(told, priors=None):
    return [plain(line) for line in clock_lines(solve_clocks(told, priors))]


def test_each_clock_is_told_by_its_reading_at_first_motion():
    film = tellings(("liftoff", 100.0), ("apogee", 104.04), ("touchdown", 201.0), clock="film")
    lines = lines_of([*LOG, *film], {"film": ClockPrior(0.1)})
    assert lines[0] == (
        "board.csv reads 12.000 s ± 0.009 s at first motion; its second is the one that counts."
    )
    assert lines[1] == (
        "Film reads 100.000 s ± 0.009 s at first motion, by 3 moments; it gains 1.00 s ± 0.02 s in "
        "100 s."
    )
    assert lines[-1] == "The sources agree as well as was said of them."


def test_a_rate_that_was_not_compared_is_said_to_be_supposed():
    lines = lines_of([*LOG, *tellings(("liftoff", 3.0), clock="watch of Ana", sd=0.15)])
    assert "by one moment; its rate is taken as good to 0.005 %, not compared." in lines[1]


def test_what_is_left_out_and_what_is_not_tied_is_said():
    film = tellings(("liftoff", 100.0), ("apogee", 104.0), ("touchdown", 200.0), clock="film")
    phone = tellings(("liftoff", 0.0), ("apogee", 5.5), ("touchdown", 100.0), clock="phone")
    lost = tellings(("beep", 4.0), clock="camera")
    lines = lines_of([*LOG, *film, *phone, *lost])
    assert "Camera: not tied to the flight; it tells no moment that another source tells as well." \
        in lines  # fmt: skip
    assert "Phone tells apogee 1.50 s late by the others: left out." in lines


def test_uncertainties_that_are_taken_wider_are_said():
    rough = tellings(("liftoff", 0.03), ("apogee", 3.97), ("touchdown", 100.0), clock="phone")
    lines = lines_of([*LOG, *rough])
    assert any("times less sure" in line for line in lines)


def sighting(**changed):
    known = {
        "of": "vehicle",
        "moment": "apogee",
        "time": Estimate(4.0, 0.1, 3.8, 4.2),
        "stations": ("Gate", "Barn"),
        "position": np.array([12.0, -8.0, 80.0]),
        "covariance": np.diag([4.0, 2.25, 1.0]),
        "miss": 0.61,
        "miss_open": 3.0,
        "chance": 0.7,
        "agrees": True,
        "how": "two stations",
        "says": "the lines of sight meet as nearly as their uncertainties let them",
    }
    return SightedPosition(**{**known, **changed})


@pytest.mark.parametrize(
    ("system", "words"),
    [
        ("metric", ("80.0 m ± 1.0 m up, 12 m east and 8.0 m south", "0.61 m apart, where 3.0 m")),
        ("us", ("262 ft ± 3.3 ft up, 39 ft east and 26 ft south", "2.0 ft apart, where 9.8 ft")),
    ],
)
def test_a_place_is_told_in_the_persons_units(system, words):
    (line,) = sight_lines([sighting()], system)
    for each in words:
        assert each in plain(line)
    assert line.startswith("Apogee of the vehicle from Gate and Barn: ")


def test_what_does_not_agree_has_no_place():
    (line,) = sight_lines([sighting(agrees=False, says="they do not meet", miss=14.0)], "metric")
    assert "up" not in line
    assert "14 m apart" in plain(line)


def test_a_line_of_one_station_says_what_is_missing():
    lone = sighting(position=None, covariance=None, says="a second one is needed", moment=None)
    (line,) = sight_lines([lone], "us")
    assert plain(line) == "4.00 s of the vehicle from Gate and Barn: a second one is needed."
