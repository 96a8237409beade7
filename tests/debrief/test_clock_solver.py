"""Clocks on one: what is exact, what does not depend on units or zeros, what is left out."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, isnan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.debrief.clocks.results import ClockPrior, Telling
from loftwright.debrief.clocks.solver import solve_clocks

MOMENTS = {"liftoff": 0.0, "beep": -3.0, "release": 2.6, "apogee": 4.1, "touchdown": 25.0}
LOOSE = ClockPrior(1e-2)


def tell(clock, offset, drift, events, sd=0.02, noise=None, **moments):
    """Return what a clock tells that reads ``offset + (1 + drift) t`` at flight time t."""
    true = {**MOMENTS, **moments}
    return [
        Telling(
            clock,
            event,
            "vehicle",
            offset + (1.0 + drift) * true[event] + (noise.normal(0.0, sd) if noise else 0.0),
            sd,
        )
        for event in events
    ]


def network(drift=0.0, noise=None, offsets=(12.0, 300.0, -40.0, 0.0)):
    """Return a log, a film, a sound and a stopwatch that share some moments each."""
    log, film, sound, watch = offsets
    return [
        *tell("log", log, 0.0, ("liftoff", "release", "apogee", "touchdown"), 0.01, noise),
        *tell("film", film, drift, ("liftoff", "release", "touchdown"), 0.02, noise),
        *tell("sound", sound, drift, ("beep", "liftoff", "touchdown"), 0.02, noise),
        *tell("watch", watch, 0.0, ("beep", "apogee", "touchdown"), 0.15, noise),
    ]


PRIORS = {"film": LOOSE, "sound": LOOSE}
OFFSETS = st.tuples(*[st.floats(-1e4, 1e4)] * 4)


@given(OFFSETS, st.floats(-5e-3, 5e-3))
def test_without_noise_clocks_are_found_exactly(offsets, drift):
    tight = {name: ClockPrior(10.0) for name in PRIORS}
    clocks = solve_clocks(network(drift, offsets=offsets), tight)
    assert not clocks.untied
    assert not clocks.outliers()
    for (event, _), found in clocks.moments.items():
        assert found.value == pytest.approx(MOMENTS[event], abs=1e-5)
    film = clocks.clocks["film"]
    assert 1.0 + film.drift == pytest.approx(1.0 / (1.0 + drift), abs=1e-6)
    reading = offsets[1] + (1.0 + drift) * 10.0
    assert clocks.to_flight("film", reading).value == pytest.approx(10.0, abs=1e-5)
    assert clocks.chi_square == pytest.approx(0.0, abs=1e-6)


@given(st.integers(0, 50), st.floats(-500.0, 500.0))
def test_where_a_clock_begins_does_not_matter(seed, shift):
    plain = network(noise=np.random.default_rng(seed))
    moved = [
        replace(each, time=each.time + shift) if each.clock == "film" else each for each in plain
    ]
    one, other = (solve_clocks(each, PRIORS) for each in (plain, moved))
    for moment, found in one.moments.items():
        assert other.moments[moment].value == pytest.approx(found.value, abs=1e-8)
        assert other.moments[moment].sd == pytest.approx(found.sd, abs=1e-8)
    assert other.to_flight("film", 300.0 + shift).value == pytest.approx(
        one.to_flight("film", 300.0).value, abs=1e-8
    )
    assert other.chi_square == pytest.approx(one.chi_square, abs=1e-6)


@given(st.integers(0, 50), st.floats(0.01, 100.0))
def test_nor_does_the_unit(seed, size):
    plain = network(noise=np.random.default_rng(seed))
    scaled = [replace(each, time=size * each.time, sd=size * each.sd) for each in plain]
    one, other = (solve_clocks(each, PRIORS) for each in (plain, scaled))
    for moment, found in one.moments.items():
        assert other.moments[moment].value == pytest.approx(size * found.value, rel=1e-6, abs=1e-8)
        assert other.moments[moment].sd == pytest.approx(size * found.sd, rel=1e-6)


@given(st.integers(0, 50), st.permutations(range(13)))
def test_nor_does_the_order(seed, order):
    plain = network(noise=np.random.default_rng(seed))
    one = solve_clocks(plain, PRIORS, reference="log")
    other = solve_clocks([plain[place] for place in order], PRIORS, reference="log")
    for moment, found in one.moments.items():
        assert other.moments[moment].value == pytest.approx(found.value, abs=1e-8)


def test_intervals_hold_the_truth_as_often_as_they_say():
    stream = np.random.default_rng(8)
    inside, chances = [], []
    for _ in range(500):
        drift = stream.normal(0.0, LOOSE.drift_sd)
        clocks = solve_clocks(network(drift, noise=stream), PRIORS)
        reading = clocks.to_flight("film", 300.0 + (1.0 + drift) * 15.0)
        if reading is None:
            continue
        found = [clocks.moments["touchdown", "vehicle"], clocks.moments["beep", "vehicle"], reading]
        true = [MOMENTS["touchdown"], MOMENTS["beep"], 15.0]
        inside += [each.low <= t <= each.high for each, t in zip(found, true, strict=True)]
        chances.append(clocks.chance)
    assert np.mean(inside) == pytest.approx(0.9, abs=0.03)
    assert np.mean(np.array(chances) < 0.1) == pytest.approx(0.1, abs=0.05)


def test_sources_together_know_a_moment_better_than_each_alone():
    clocks = solve_clocks(network(), PRIORS)
    alone = solve_clocks(network()[:4])
    moment = ("touchdown", "vehicle")
    assert clocks.moments[moment].sd < alone.moments[moment].sd


# ---------------------------------------------------------------- slips


def test_a_slip_that_all_others_contradict_is_left_out_and_said():
    good = network(noise=np.random.default_rng(2))
    bad = [
        replace(each, time=each.time + 1.0)
        if (each.clock, each.event) == ("film", "release")
        else each
        for each in good
    ]
    rest = [each for each in good if (each.clock, each.event) != ("film", "release")]
    clocks = solve_clocks(bad, PRIORS)
    slips = clocks.outliers()
    assert [(each.telling.clock, each.telling.event) for each in slips] == [("film", "release")]
    assert slips[0].residual == pytest.approx(1.0, abs=0.1)
    assert slips[0].test > 3.29
    without = solve_clocks(rest, PRIORS)
    for moment, found in without.moments.items():
        assert clocks.moments[moment].value == pytest.approx(found.value, abs=1e-9)


@settings(deadline=None)
@given(st.integers(0, 30), st.integers(4, 12), st.sampled_from([-1.0, 1.0]), st.floats(2.0, 20.0))
def test_a_slip_beside_the_log_is_never_averaged(seed, place, way, size):
    """Whoever slips: what is told of the flight afterwards is told by those who did not."""
    told = network(noise=np.random.default_rng(seed))
    slipped = told[place]
    told[place] = replace(slipped, time=slipped.time + way * size)
    clocks = solve_clocks(told, PRIORS, reference="log")
    assert not any(each.used for each in clocks.told if each.telling == told[place])
    for (event, _), found in clocks.moments.items():
        assert found.value == pytest.approx(MOMENTS[event], abs=max(5.0 * found.sd, 0.1))


def test_of_two_that_contradict_each_other_neither_is_believed():
    log = tell("log", 5.0, 0.0, ("liftoff", "touchdown"), 0.01)
    watch = tell("watch", 0.0, 0.0, ("liftoff", "touchdown"), 0.15, touchdown=28.0)
    clocks = solve_clocks([*log, *watch])
    assert clocks.to_flight("watch", 3.0) is None
    assert "must be wrong" in clocks.untied[0].why
    assert clocks.moments["touchdown", "vehicle"].value == pytest.approx(25.0)
    assert [each.used for each in clocks.told] == [True, True, False, False]


def test_who_is_less_sure_has_slipped():
    log = tell("log", 5.0, 0.0, ("liftoff", "touchdown"), 0.01)
    watch = tell("watch", 0.0, 0.0, ("liftoff", "touchdown"), 0.15, touchdown=28.0)
    watch[0] = replace(watch[0], sure=0.5)
    clocks = solve_clocks([*log, *watch])
    assert [each.telling.event for each in clocks.outliers()] == ["liftoff"]
    assert clocks.to_flight("watch", 28.0).value == pytest.approx(25.0)


def test_a_third_source_tells_which_of_two_is_wrong():
    log = tell("log", 5.0, 0.0, ("liftoff", "apogee", "touchdown"), 0.01)
    film = tell("film", 70.0, 0.0, ("liftoff", "apogee", "touchdown"), 0.02)
    late = [replace(log[2], time=log[2].time + 2.0) if each is log[2] else each for each in log]
    clocks = solve_clocks([*late, *film, *tell("watch", 0.0, 0.0, ("liftoff", "touchdown"), 0.15)])
    slips = [(each.telling.clock, each.telling.event) for each in clocks.outliers()]
    assert slips == [("log", "touchdown")]
    assert clocks.moments["touchdown", "vehicle"].value == pytest.approx(25.0, abs=0.05)


def test_what_disagrees_a_little_is_taken_as_less_sure_and_nothing_else():
    log = tell("log", 5.0, 0.0, ("liftoff", "apogee", "touchdown"), 0.01)
    watch = tell("watch", 0.0, 0.0, ("liftoff", "touchdown"), 0.15, touchdown=25.6)
    clocks = solve_clocks([*log, *watch])
    assert 0.001 < clocks.chance < 0.05
    assert clocks.widened == pytest.approx(0.6 / hypot(0.15 * 2**0.5, 0.01 * 2**0.5), rel=0.01)
    alone = solve_clocks(log)
    together = {name: clocks.moments[name, "vehicle"].sd for name in ("apogee", "touchdown")}
    assert together["apogee"] == pytest.approx(alone.moments["apogee", "vehicle"].sd, rel=0.01)
    assert together["touchdown"] > 2.0 * alone.moments["touchdown", "vehicle"].sd
    assert clocks.to_flight("watch", 0.0).sd > 2.0 * 0.1


# ---------------------------------------------------------------- what cannot be tied


def test_a_clock_that_shares_nothing_is_not_tied():
    alone = tell("camera", 9.0, 0.0, ("water out",), **{"water out": 0.2})
    clocks = solve_clocks([*network(), *alone])
    assert [each.clock for each in clocks.untied] == ["camera"]
    assert clocks.to_flight("camera", 9.0) is None
    assert clocks.to_flight("never heard of", 9.0) is None


def test_a_clock_is_tied_through_others():
    log = tell("log", 5.0, 0.0, ("liftoff", "touchdown"), 0.01)
    sound = tell("sound", -7.0, 0.0, ("beep", "touchdown"), 0.02)
    film = tell("film", 50.0, 0.0, ("beep",), 0.02)
    clocks = solve_clocks([*log, *sound, *film])
    assert clocks.to_flight("film", 50.0).value == pytest.approx(0.0, abs=0.01)


def test_without_first_motion_nothing_is_tied():
    clocks = solve_clocks(tell("film", 50.0, 0.0, ("beep", "apogee")))
    assert not clocks.clocks
    assert "first moved" in clocks.untied[0].why
    assert not solve_clocks([]).clocks


def test_one_tie_leaves_the_drift_as_it_was_held():
    log = tell("log", 5.0, 0.0, ("liftoff", "touchdown"), 0.01)
    one = solve_clocks([*log, *tell("film", 50.0, 0.0, ("liftoff",))], {"film": LOOSE})
    film = one.clocks["film"]
    assert (film.ties, film.drift_solved) == (1, False)
    assert (film.drift, film.drift_sd) == pytest.approx((0.0, LOOSE.drift_sd))
    assert isnan(one.told[-1].test)  # nothing checks it
    # Away from its tie the rate counts: 1 % of 100 s.
    assert one.to_flight("film", 150.0).sd == pytest.approx(1.0, rel=0.01)
    two = solve_clocks([*log, *tell("film", 50.0, 0.0, ("liftoff", "touchdown"))], {"film": LOOSE})
    assert two.clocks["film"].drift_solved
    assert two.clocks["film"].drift_sd < 0.1 * LOOSE.drift_sd * 2.0


def test_a_telling_without_uncertainty_is_refused():
    with pytest.raises(ValueError, match="uncertainty"):
        solve_clocks([Telling("log", "liftoff", "vehicle", 1.0, 0.0)])
