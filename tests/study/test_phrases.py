"""Aims and limits: what is understood, what is refused, and how points are held against them."""

from __future__ import annotations

import numpy as np
import pytest
from flight.staged import staged
from hypothesis import given
from hypothesis import strategies as st
from study.cases import codes, lift

from loftwright.errors import ProblemError
from loftwright.study.evaluate import evaluate
from loftwright.study.figures import dimension, figure_key, known_keys, short_name
from loftwright.study.phrases import NEVER, OFTEN, read_aim, read_limit, statistic


@pytest.mark.parametrize(
    ("text", "figure", "direction"),
    [
        ("apogee", "apogee_m", "most"),
        ("height", "apogee_m", "most"),
        ("least apogee", "apogee_m", "least"),
        ("max acceleration", "max_acceleration_m_s2", "least"),
        ("most max_acceleration_m_s2", "max_acceleration_m_s2", "most"),
        ("release energy", "release_energy_j", "most"),
        ("time aloft", "time_aloft_s", "most"),
        ("reach", "reach_m", "least"),
        ("apogee near 60 m", "apogee_m", "near"),
        ("touchdown vehicle east near 0 m", "touchdown_vehicle_east_m", "near"),
        ("retainer margin", "hold_margin", "most"),
        ("field margin", "field_margin_m", "most"),
        ("fin clearance", "fin_clearance_m", "most"),
        ("veer", "veer_m", "least"),
        ("carry trim", "carry_trim_deg", "least"),
        ("glide ratio", "glide_ratio", "most"),
        ("sink", "sink_m_s", "least"),
        ("phugoid damping", "phugoid_damping", "most"),
        ("energy at the ground", "ground_energy_j", "least"),
    ],
)
def test_aims_are_understood(text, figure, direction):
    aim = read_aim(lift(), text, spread=False)
    assert (aim.figure, aim.direction, aim.statistic) == (figure, direction, "median")


@pytest.mark.parametrize(
    ("text", "figure", "at_most", "bound"),
    [
        ("max_acceleration < 60 g", "max_acceleration_m_s2", True, 60 * 9.80665),
        ("apogee > 100 ft", "apogee_m", False, 30.48),
        ("proof_margin >= 1.3", "proof_margin", False, 1.3),
        ("impulse<12 N s", "impulse_n_s", True, 12.0),
        ("burnout_lean < 10 deg", "burnout_lean_rad", True, np.pi / 18),
        ("touchdown vehicle energy < 5 J", "touchdown_vehicle_energy_j", True, 5.0),
        ("hold margin > 0.5", "hold_margin", False, 0.5),
        ("tree risk < 5 %", "tree_risk", True, 0.05),
        ("payload tree risk < 5 %", "payload_tree_risk", True, 0.05),
        ("staying inside > 95 %", "inside_field", False, 0.95),
        ("field margin > 10 m", "field_margin_m", False, 10.0),
        ("tear-off < 1 %", "torn_off", True, 0.01),
        ("carry trim < 5 deg", "carry_trim_deg", True, 5.0),
        ("carry trim < 0.1 rad", "carry_trim_deg", True, np.degrees(0.1)),
        ("veer < 6 ft", "veer_m", True, 1.8288),
    ],
)
def test_limits_are_understood(text, figure, at_most, bound):
    limit = read_limit(lift(), text, spread=False)
    assert (limit.figure, limit.at_most) == (figure, at_most)
    assert limit.bound == pytest.approx(bound)


def test_with_many_flights_a_limit_is_held_on_its_careful_side():
    assert read_limit(lift(), "reach < 60 m", spread=True).statistic == "p95"
    assert read_limit(lift(), "hold_margin > 1", spread=True).statistic == "p05"
    assert read_limit(lift(), "median reach < 60 m", spread=True).statistic == "median"
    assert read_aim(lift(), "most p05 apogee", spread=True).statistic == "p05"


def test_a_chance_is_counted_over_many_flights():
    assert read_limit(lift(), "tree risk < 5 %", spread=True).statistic == "chance"
    aim = read_aim(lift(), "staying inside", spread=True)
    assert (aim.statistic, aim.direction) == ("chance", "most")
    column = np.array([[1.0, 0.0, np.nan, 0.0], [np.nan] * 4])
    assert statistic(column, "chance")[0] == pytest.approx(1 / 3)
    assert np.isnan(statistic(column, "chance")[1])
    with pytest.raises(ProblemError) as caught:
        read_limit(lift(), "p95 tree risk < 5 %", spread=True)
    assert codes(caught.value) == ["study-phrase"]


def test_what_several_payloads_and_stages_have_is_known_by_their_names():
    keys = known_keys(staged())
    names = ("payload2_hold_margin", "payload3_torn_off", "upper_apogee", "booster2_reach",
             "boosters_release_time", "touchdown_upper_energy", "payload_tree_risk")  # fmt: skip
    for name in names:
        assert figure_key(name, keys, "--show") in keys
    flown = evaluate(staged(), {}).columns
    assert not {key for key in flown if not key.endswith("_caught")} - set(keys)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("least touchdown vehicle east", "study-phrase"),
        ("inside field", "study-phrase"),
        ("", "study-phrase"),
        ("most", "study-phrase"),
        ("hieght", "study-unknown-figure"),
        ("most apogee near 60 m", "study-phrase"),
        ("apogee near 60", "quantity-no-unit"),
        ("p05 apogee", "study-phrase"),
        ("__import__('os')", "study-unknown-figure"),
    ],
)
def test_aims_that_cannot_be_read_are_refused(text, code):
    with pytest.raises(ProblemError) as caught:
        read_aim(lift(), text, spread=False)
    assert codes(caught.value) == [code]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("apogee", "study-phrase"),
        ("apogee = 60 m", "study-phrase"),
        ("30 m < apogee < 60 m", "study-phrase"),
        ("apogee < 60 psi", "quantity-wrong-dimension"),
        ("apogee < 60 m ± 1 m", "study-phrase"),
        ("impulse < 12 N", "study-phrase"),
        ("< 60 m", "study-phrase"),
        ("appogee < 60 m", "study-unknown-figure"),
    ],
)
def test_limits_that_cannot_be_read_are_refused(text, code):
    with pytest.raises(ProblemError) as caught:
        read_limit(lift(), text, spread=False)
    assert codes(caught.value) == [code]


def test_a_misspelt_figure_is_told_the_nearest():
    with pytest.raises(ProblemError) as caught:
        figure_key("apogeee", known_keys(lift()), "--show")
    assert "did you mean apogee?" in caught.value.problems[0].mend


def test_every_figure_is_named_by_its_column_and_without_its_unit():
    keys = known_keys(lift())
    for key in keys:
        assert figure_key(key, keys, "--show") == key
        assert figure_key(short_name(key), keys, "--show") == key
        assert dimension(key)


FINITE = st.floats(-1e6, 1e6)


@given(st.lists(FINITE, min_size=1, max_size=30), st.floats(-1e5, 1e5))
def test_an_excess_is_positive_where_the_limit_is_broken(values, bound):
    limit = read_limit(lift(), "apogee < 1 m", spread=False)
    column = np.array(values)
    for at_most, broken in ((True, column > bound), (False, column < bound)):
        held = type(limit)("", "apogee_m", "median", at_most, bound)
        excess = held.excess(column)
        assert np.array_equal(excess > 0.0, broken) or np.any(np.isclose(column, bound))
        looser = held.loosened(0.01).bound
        # Nothing is not to be loosened by a share of it.
        assert looser >= bound if at_most else looser <= bound
        assert looser != bound or abs(bound) < 1e-300


def test_what_never_happens_breaks_every_limit():
    limit = read_limit(lift(), "apogee < 1 m", spread=False)
    assert limit.excess(np.array([np.nan])).tolist() == [NEVER]


def test_a_statistic_is_of_the_flights_in_which_it_happened_if_they_are_enough():
    column = np.array([[1.0, 2.0, 3.0, np.nan], [1.0, np.nan, np.nan, np.nan]])
    assert OFTEN == 0.5
    found = statistic(column, "median")
    assert found[0] == 2.0
    assert np.isnan(found[1])
