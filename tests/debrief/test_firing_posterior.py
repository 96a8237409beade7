"""Prior and likelihood, beside SciPy's distributions."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from debrief.made_up_firings import MEASURED_SDS, SDS, VALUES, known_firing
from debrief.stand_simulator import simulate
from scipy.stats import multivariate_normal, truncnorm

from loftwright.debrief.firings.features import Observed, observed, simulated_features
from loftwright.debrief.firings.fit import emulate
from loftwright.debrief.firings.posterior import Posterior, fill_covariance, scatter_of
from loftwright.debrief.firings.prior import (
    LEAST_DOUBT,
    OFFSETS,
    PRESSURE,
    SHARED,
    Prior,
)

TRUTH = (0.82, 0.74, 1.5e-4)
POINT = np.array([0.82, 0.74, 1.5e-4, 0.3, -0.2, 0.5, 0.1, -0.4, 0.2, np.log(0.05), np.log(0.02)])


@cache
def pieces() -> tuple[list[Observed], Prior, Posterior]:
    firings = [known_firing(*TRUTH), known_firing(0.8, 0.7, 1.2e-4)]
    records = [observed(firing) for firing in firings]
    prior = Prior.of(VALUES, SDS, records)
    stand_in = emulate(firings, VALUES, SDS, simulate)
    return records, prior, Posterior.of(prior, stand_in, records, POINT)


def test_the_likelihood_is_the_normal_one() -> None:
    records, prior, posterior = pieces()
    model, covariance = posterior.model(POINT[None])[0], posterior.covariance(POINT[None])[0]
    expected = sum(
        multivariate_normal(model[j], covariance[j]).logpdf(record.log)
        for j, record in enumerate(records)
    )
    constant = 0.5 * 8 * np.log(2.0 * np.pi)
    found = posterior.log_density(POINT[None])[0] - prior.log_density(POINT[None])[0]
    assert found == pytest.approx(expected + constant, rel=1e-9)


def test_the_covariance_has_measurement_scatter_and_fill() -> None:
    _, prior, posterior = pieces()
    covariance = posterior.covariance(POINT[None])[0, 0]
    fill = fill_covariance(prior, posterior.emulator, POINT, prior.fills[0])
    own = covariance - fill
    np.testing.assert_allclose(own - np.diag(np.diag(own)), 0.0, atol=1e-15)
    variance = MEASURED_SDS**2 + posterior.emulator.error**2 + scatter_of(POINT[None])[0] ** 2
    np.testing.assert_allclose(np.diag(own), variance, rtol=1e-6)


def test_a_fill_moves_the_features_as_the_simulator_says() -> None:
    _, prior, posterior = pieces()
    fill = fill_covariance(prior, posterior.emulator, POINT, prior.fills[0])
    names = [axis.name for axis in prior.axes()]
    row = dict(zip(names, prior.inputs(POINT[None], prior.fills[0])[0], strict=True))
    up, down = ({**row, PRESSURE: row[PRESSURE] * (1.0 + step)} for step in (0.01, -0.01))
    slope = (simulated_features(simulate(up)) - simulated_features(simulate(down))) / 0.02
    by_pressure = (slope[0] * prior.single[0]) ** 2
    assert by_pressure <= fill[0, 0] * 1.1
    assert fill[0, 0] < 3.0 * by_pressure
    assert np.linalg.eigvalsh(fill).min() > -1e-12


def test_the_model_is_the_simulator_with_the_shared_errors() -> None:
    _, prior, posterior = pieces()
    names = [axis.name for axis in prior.axes()]
    row = prior.inputs(POINT[None], prior.fills[0])[0]
    direct = simulated_features(simulate(dict(zip(names, map(float, row), strict=True))))
    direct += POINT[OFFSETS] * prior.offset_sds
    away = np.abs(posterior.model(POINT[None])[0, 0] - direct)
    assert np.all(away < 5.0 * posterior.emulator.error + 1e-3)


def test_draws_of_the_prior_are_truncated_normal() -> None:
    _, prior, _ = pieces()
    draws = prior.draw(20000, np.random.default_rng(1))
    for place in range(3):
        centre, spread = prior.centre[place], prior.spread[place]
        low, high = (prior.limits[place] - centre) / spread
        expected = truncnorm(low, high, loc=centre, scale=spread)
        assert draws[:, place].mean() == pytest.approx(expected.mean(), rel=0.02)
        assert draws[:, place].std() == pytest.approx(expected.std(), rel=0.03)
    assert np.isfinite(prior.log_density(draws)).all()


def test_the_prior_falls_as_its_own_draws_do() -> None:
    _, prior, _ = pieces()
    near, far = POINT.copy(), POINT.copy()
    far[0] -= 2.0 * prior.spread[0]
    away = ((POINT[0] - prior.centre[0]) / prior.spread[0]) ** 2
    further = ((far[0] - prior.centre[0]) / prior.spread[0]) ** 2
    fall = prior.log_density(near[None])[0] - prior.log_density(far[None])[0]
    assert fall == pytest.approx(0.5 * (further - away))


@pytest.mark.parametrize(("place", "value"), [(0, 1.01), (1, 0.3), (2, -1e-6), (3, 5.0)])
def test_nothing_outside_the_physical_ranges(place: int, value: float) -> None:
    _, prior, posterior = pieces()
    point = POINT.copy()
    point[place] = value
    assert prior.log_density(point[None])[0] == -np.inf
    assert posterior.log_density(point[None])[0] == -np.inf


def test_a_handbook_figure_does_not_outvote_a_record() -> None:
    _, prior, _ = pieces()
    np.testing.assert_allclose(prior.spread[:2], LEAST_DOUBT)
    wide = {**SDS, "vehicle.nozzle.flow_coefficient": 0.3}
    assert Prior.of(VALUES, wide, pieces()[0]).spread[0] == 0.3


def test_the_variance_of_a_fill_is_shared_out() -> None:
    _, prior, _ = pieces()
    np.testing.assert_allclose(prior.shared**2 + prior.single**2, prior.relative**2)
    np.testing.assert_allclose(prior.shared**2, SHARED * prior.relative**2)
