"""The band of thrust after a fit: the draws of the posterior, flown."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from debrief.made_up_firings import SDS, VALUES, firing, known_firing
from debrief.stand_simulator import simulate
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.debrief.firings.band import draw_firings, firing_band, thrust_band
from loftwright.debrief.firings.engine import simulator
from loftwright.debrief.firings.features import FEATURES, SimulatedFiring, simulated_features
from loftwright.debrief.firings.fit import FiringFit, fit_firings
from loftwright.debrief.firings.prior import BREAKTHROUGH, FLOW, VELOCITY, WATER
from loftwright.documents import flatten, read_campaign

EXAMPLE = Path(__file__).parents[2] / "examples" / "stand-bottle"
TRUTH = (0.82, 0.74, 1.5e-4)
COUNT = 200


@cache
def fit() -> FiringFit:
    return fit_firings([known_firing(*TRUTH) for _ in range(3)], VALUES, SDS, simulate)


@cache
def drawn() -> tuple[SimulatedFiring, ...]:
    return tuple(draw_firings(fit(), simulate, count=COUNT))


@pytest.mark.parametrize("feature", ["impulse", "central time"])
def test_the_flown_draws_spread_as_the_fit_predicts(feature: str) -> None:
    """Two ways to the same distribution: curves flown, and features from the stand-in."""
    place = FEATURES.index(feature)
    flown = np.array([simulated_features(each)[place] for each in drawn()])
    predicted = np.log(fit().predict().draws[feature])
    # Standard errors of a mean and of a standard deviation of COUNT normal draws.
    near = 4.0 * predicted.std() / np.sqrt(COUNT)
    assert flown.mean() == pytest.approx(predicted.mean(), abs=near)
    assert flown.std() == pytest.approx(predicted.std(), abs=near)


def test_a_firing_of_the_truth_lies_within_the_band() -> None:
    band = thrust_band(drawn())
    truth = simulate({**VALUES, **dict(zip(VALUES, TRUTH[:2], strict=False)),
                      "vehicle.nozzle.breakthrough_volume": TRUTH[2]})  # fmt: skip
    thrust = np.interp(band.time, truth.time, truth.thrust, right=0.0)
    low, *_, high = band.lanes["thrust_n"].T
    inside = (thrust >= low - 1e-9) & (thrust <= high + 1e-9)
    assert inside.mean() > 0.9


def test_firings_are_filled_as_the_records_were() -> None:
    """A third less water than the documents say: the band is that of the records, not theirs."""
    water = 0.67  # kg
    losses = {**VALUES, **dict(zip(VALUES, TRUTH[:2], strict=False)), BREAKTHROUGH: TRUTH[2]}
    filled = simulate({**losses, WATER: water / 1000.0})
    records = [firing(simulated_features(filled), water=water) for _ in range(2)]
    band = firing_band(fit_firings(records, VALUES, SDS, simulate), simulate)
    impulse = np.trapezoid(band.lanes["thrust_n"][:, 2], band.time)
    assert impulse == pytest.approx(np.trapezoid(filled.thrust, filled.time), rel=0.05)
    written = simulate(losses)
    assert np.trapezoid(written.thrust, written.time) > 1.1 * impulse


def test_the_flight_engine_draws_a_band_about_its_own_firing() -> None:
    campaign = read_campaign(EXAMPLE)
    values, sds, _ = flatten(campaign)
    fire = simulator(campaign)
    truth = fire({FLOW: 0.8, VELOCITY: 0.8, BREAKTHROUGH: 1e-4})
    records = [firing(simulated_features(truth)) for _ in range(2)]
    found = fit_firings(records, values, sds, fire)
    band = firing_band(found, fire)
    low, *_, high = band.lanes["thrust_n"].T
    thrust = np.interp(band.time, truth.time, truth.thrust, right=0.0)
    assert ((thrust >= low - 1e-9) & (thrust <= high + 1e-9)).mean() > 0.8


def test_the_same_fit_gives_the_same_band() -> None:
    one, other = (firing_band(fit(), simulate, count=20) for _ in range(2))
    np.testing.assert_array_equal(one.time, other.time)
    np.testing.assert_array_equal(one.lanes["thrust_n"], other.lanes["thrust_n"])


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0.05, 2.0), st.floats(0.0, 300.0)), min_size=1, max_size=30))
def test_percentiles_never_cross_and_stay_among_the_curves(
    shapes: list[tuple[float, float]],
) -> None:
    firings = [
        SimulatedFiring(np.linspace(0.0, end, 50), np.linspace(peak, 0.0, 50), None)
        for end, peak in shapes
    ]
    band = thrust_band(firings)
    lane = band.lanes["thrust_n"]
    assert lane.shape == (band.time.size, 5)
    assert (np.diff(lane, axis=1) >= -1e-9).all()
    assert (np.diff(band.time) > 0.0).all()
    assert lane.min() >= 0.0
    assert lane.max() <= max(peak for _, peak in shapes) + 1e-9


def test_firings_all_alike_have_a_band_without_width() -> None:
    same = simulate({**VALUES, "vehicle.nozzle.breakthrough_volume": TRUTH[2]})
    band = thrust_band([same] * 5)
    assert np.ptp(band.lanes["thrust_n"], axis=1).max() == pytest.approx(0.0, abs=1e-9)
    # Its impulse is the firing's: a curve sampled more coarsely loses next to nothing.
    impulse = np.trapezoid(band.lanes["thrust_n"][:, 2], band.time)
    assert impulse == pytest.approx(np.trapezoid(same.thrust, same.time), rel=2e-3)
