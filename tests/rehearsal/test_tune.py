"""Choosing numbers of a program by flying every choice alike."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from loftwright.documents import read_campaign
from loftwright.documents.program import Promise
from loftwright.errors import ProblemError
from loftwright.rehearsal.aims import FIGURES, Measured, read_limit
from loftwright.rehearsal.knobs import read_knobs
from loftwright.rehearsal.tune import tune
from loftwright.units import Quantity

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift-mended"


@pytest.fixture(scope="module")
def campaign():
    return read_campaign(EXAMPLE)


@pytest.fixture(scope="module")
def tuned(campaign):
    knobs = read_knobs(campaign.programs, ["board.climbing.climb=10 ft/s..85 ft/s"])
    return tune(campaign, knobs, flights=24, points=6)


def test_the_written_setting_is_flown_beside_the_others(tuned):
    assert len(tuned.settings) == 7
    assert tuned.written.values == {"board.climbing.climb": pytest.approx(15.24)}
    values = [each.values["board.climbing.climb"] for each in tuned.settings[1:]]
    assert values == sorted(values)


def test_the_later_it_lets_go_the_higher_it_is(tuned):
    by_climb = sorted(tuned.settings, key=lambda each: -each.values["board.climbing.climb"])
    heights = [each.figures["release_height"].value for each in by_climb]
    assert heights == sorted(heights)


def test_the_choice_is_as_good_as_the_best_and_goes_highest_of_those(tuned):
    chosen = tuned.chosen
    best = max(each.figures["released_well"].value for each in tuned.settings)
    assert chosen.figures["released_well"].high >= best
    as_good = [
        each.figures["release_height"].value
        for each in tuned.settings
        if each.figures["released_well"].value >= chosen.figures["released_well"].value
    ]
    assert chosen.figures["release_height"].value == max(as_good)
    assert chosen.is_on_front


def test_the_same_seed_chooses_the_same(campaign, tuned):
    again = tune(campaign, tuned.knobs, flights=24, points=6)
    assert again.settings == tuned.settings


def test_what_breaks_a_promise_is_not_flown(campaign):
    program = campaign.programs["board"]
    promise = Promise(output="latch", does="open", not_before=Quantity(0.7))
    strict = replace(program, promise=(*program.promise, promise))
    held = replace(campaign, programs={"board": strict})
    knobs = read_knobs(held.programs, ["board.climbing.not_before=0.2 s..2 s"])
    found = tune(held, knobs, flights=4, points=5)
    flown = [each.values["board.climbing.not_before"] for each in found.settings]
    assert min(flown) >= 0.65
    assert "2 settings break a promise of their program" in found.notes[0]


def test_a_limit_is_held_on_what_was_counted(campaign):
    knobs = read_knobs(campaign.programs, ["board.climbing.climb=10 ft/s..85 ft/s"])
    limit = read_limit("release height < 230 ft")
    found = tune(campaign, knobs, flights=12, points=6, limits=[limit])
    assert found.chosen.figures["release_height"].value <= 230 * 0.3048
    assert any(each.broken == ("release height < 230 ft",) for each in found.settings)


def test_nobody_is_kept_safe_who_is_not_drawn(campaign):
    knobs = read_knobs(campaign.programs, ["board.climbing.climb=10 ft/s..20 ft/s"])
    nowhere = replace(campaign, site=replace(campaign.site, shape=()))
    with pytest.raises(ProblemError) as raised:
        tune(nowhere, knobs, flights=2, limits=[read_limit("endangers < 1 %")])
    assert raised.value.problems[0].code == "tune-no-people"


def test_where_nothing_keeps_the_limits_nothing_is_chosen(campaign):
    knobs = read_knobs(campaign.programs, ["board.climbing.climb=10 ft/s..20 ft/s"])
    limit = read_limit("release_height > 9000 ft")
    assert tune(campaign, knobs, flights=2, points=2, limits=[limit]).chosen is None


def test_faults_count_with_how_likely_they_are(campaign):
    knobs = read_knobs(campaign.programs, ["board.climbing.climb=40 ft/s..50 ft/s"])
    found = tune(
        campaign, knobs, flights=8, points=2, faults="connector opens at liftoff", against="lost"
    )
    written = found.written.figures
    # It happens in 0.5 of 100 flights, and then the vehicle is lost; without it none of eight is.
    assert written["lost"].value == pytest.approx(0.005)
    assert written["released_well"].value == pytest.approx(0.995)
    assert written["lost"].low <= 0.005 <= written["lost"].high


def test_several_numbers_are_scattered_alike_for_one_seed(campaign):
    texts = ["board.climbing.climb=40 ft/s..60 ft/s", "board.climbing.hold=20 ms..120 ms"]
    knobs = read_knobs(campaign.programs, texts)
    one, other = (tune(campaign, knobs, flights=2, points=4) for _ in range(2))
    assert [each.values for each in one.settings] == [each.values for each in other.settings]
    holds = [each.values["board.climbing.hold"] for each in one.settings]
    assert all(round(hold * 1000) == pytest.approx(hold * 1000) for hold in holds)


@pytest.mark.parametrize("name", sorted(FIGURES))
def test_costs_go_against_what_is_wanted(name):
    figure = FIGURES[name]
    low, high = (figure.cost(Measured(value, value, value)) for value in (0.2, 0.8))
    assert (high < low) is figure.most
    assert figure.cost(Measured(np.nan, np.nan, np.nan)) > max(low, high)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("lost", "tune-limit"),
        ("lots < 1 %", "tune-unknown-figure"),
        ("lost < 1 m", "quantity-wrong-dimension"),
        ("release_height > 200", "quantity-no-unit"),
    ],
)
def test_what_is_no_limit_is_told(text, code):
    with pytest.raises(ProblemError) as raised:
        read_limit(text)
    assert raised.value.problems[0].code == code
