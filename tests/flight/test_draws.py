"""Draws: seeded, each on its own stream, inside their bounds, and distributed as said."""

from __future__ import annotations

import numpy as np
import pytest
from flight.campaigns import example
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.flight.draws import STRETCH, bounds_of, draw, generator, normals, uniforms

CAMPAIGN = example("sedge-lift")
VALUES, SDS, _ = flatten(CAMPAIGN)
BOUNDS = bounds_of(CAMPAIGN)
UNCERTAIN = {path for path, sd in SDS.items() if sd > 0.0}
SEEDS = st.integers(0, 2**63)


@given(seed=SEEDS, short=st.integers(1, 50), more=st.integers(0, 200))
def test_the_first_flights_of_a_longer_ensemble_are_those_of_a_shorter(seed, short, more):
    one = draw(VALUES, SDS, BOUNDS, seed, short)
    other = draw(VALUES, SDS, BOUNDS, seed, short + more)
    assert set(one) == set(other) == UNCERTAIN
    for path, values in one.items():
        assert values.tobytes() == other[path][:short].tobytes()


@given(seed=SEEDS, first=st.integers(0, 3 * STRETCH), count=st.integers(1, 2 * STRETCH))
def test_any_part_of_an_ensemble_can_be_drawn_alone(seed, first, count):
    whole = normals(seed, "x", 0, 5 * STRETCH), uniforms(seed, "x", 0, 5 * STRETCH, 3)
    part = normals(seed, "x", first, count), uniforms(seed, "x", first, count, 3)
    for one, other in zip(part, whole, strict=True):
        assert one.tobytes() == other[first : first + count].tobytes()


@given(seed=SEEDS, first=st.integers(0, 2 * STRETCH), count=st.integers(1, 60))
def test_what_a_flight_draws_depends_on_its_number_alone(seed, first, count):
    several = draw(VALUES, SDS, BOUNDS, seed, count, first)
    alone = draw(VALUES, SDS, BOUNDS, seed, 1, first + count - 1)
    assert {path: values[-1] for path, values in several.items()} == {
        path: values[0] for path, values in alone.items()
    }


def test_stretches_have_draws_of_their_own():
    stretches = np.array([generator(1, "x", k).standard_normal(STRETCH) for k in range(4)])
    correlation = np.corrcoef(stretches) - np.eye(4)
    assert np.abs(correlation).max() < 4.5 / STRETCH**0.5
    assert len(np.unique(stretches)) == stretches.size


@given(seed=SEEDS, other=SEEDS)
def test_seeds_differ(seed, other):
    same = np.array_equal(generator(seed, "a").random(4), generator(other, "a").random(4))
    assert same == (seed == other)


def test_fields_draw_apart():
    drawn = draw(VALUES, SDS, BOUNDS, 1, 4000)
    standard = np.array([(v - VALUES[path]) / SDS[path] for path, v in drawn.items()])
    correlation = np.corrcoef(standard) - np.eye(len(standard))
    # The largest of some 400 chance correlations of 4000 pairs lies near 3.2 / sqrt(4000).
    assert np.abs(correlation).max() < 4.5 / 4000**0.5


def test_making_one_more_field_uncertain_leaves_the_others():
    one = draw(VALUES, SDS, BOUNDS, 3, 20)
    more = draw(VALUES, {**SDS, "site.launch.guide_length": 0.01}, BOUNDS, 3, 20)
    assert set(more) - set(one) == {"site.launch.guide_length"}
    for path, values in one.items():
        np.testing.assert_array_equal(values, more[path])


@pytest.mark.parametrize("path", sorted(UNCERTAIN))
def test_mean_and_deviation_are_those_written(path):
    count = 40_000
    values = draw(VALUES, {path: SDS[path]}, {}, 11, count)[path]
    error = SDS[path] / count**0.5
    assert values.mean() == pytest.approx(VALUES[path], abs=4.5 * error)
    assert values.std() == pytest.approx(SDS[path], rel=4.5 / (2 * count) ** 0.5)


def test_draws_are_normal():
    """Moments and tails of a standard normal: skew 0, kurtosis 3, 2.275 % beyond two deviations."""
    values = draw({"x": 0.0}, {"x": 1.0}, {}, 5, 200_000)["x"]
    assert np.mean(values**3) == pytest.approx(0.0, abs=0.025)
    assert np.mean(values**4) == pytest.approx(3.0, abs=0.07)
    assert np.mean(values > 2.0) == pytest.approx(0.02275, abs=1.5e-3)


@given(
    seed=SEEDS,
    middle=st.floats(-10.0, 10.0),
    sd=st.floats(1e-3, 1e3),
    low=st.floats(-10.0, 0.0),
    width=st.floats(0.1, 10.0),
)
def test_bounds_are_respected(seed, middle, sd, low, width):
    values = draw({"x": middle}, {"x": sd}, {"x": (low, low + width)}, seed, 200)["x"]
    assert (values >= low).all()
    assert (values <= low + width).all()


def test_what_lies_outside_is_mirrored_in():
    """At a bound the draws are those of a half normal: mean sd sqrt(2/pi)."""
    values = draw({"x": 1.0}, {"x": 0.1}, {"x": (1.0, np.inf)}, 2, 100_000)["x"]
    assert values.mean() - 1.0 == pytest.approx(0.1 * (2.0 / np.pi) ** 0.5, rel=0.01)


def test_every_drawn_field_knows_its_bounds():
    for path in UNCERTAIN:
        low, high = BOUNDS[path]
        assert low <= VALUES[path] <= high
    assert BOUNDS["vehicle.nozzle.flow_coefficient"][1] <= 1.0
    assert BOUNDS["vehicle.mass.dry"][0] >= 0.0


def test_exact_fields_are_not_drawn():
    assert draw({"x": 1.0}, {"x": 0.0}, {}, 1, 5) == {}


def test_known_answers_keep_results_repeatable():
    """Regression: a change here changes every ensemble that was ever made."""
    first = generator(1, "vehicle.fill.water_volume").standard_normal(2)
    again = generator(1, "vehicle.fill.water_volume").standard_normal(2)
    np.testing.assert_array_equal(first, again)
    assert generator(1, "a").bit_generator.state["bit_generator"] == "Philox"


@pytest.mark.parametrize("root", ["vehicle", "boosters", "upper"])
def test_drawn_water_stays_inside_the_vessels_of_its_flight(root):
    paths = f"{root}.fill.water_volume", f"{root}.vessel.0.volume"
    values = dict(zip(paths, (1.95e-3, 2e-3), strict=True))
    sds = dict(zip(paths, (2e-4, 2e-5), strict=True))
    drawn = draw(values, sds, {}, 1, 4000)
    water, room = (drawn[path] for path in paths)
    assert (water < room).all()
    assert (water > 0.0).all()
    # Folded, not piled up: hardly any flight stands on the bound itself.
    assert (water >= 0.9989 * room).mean() < 0.05


@given(seed=SEEDS, count=st.integers(1, 64))
def test_few_draws_that_are_kept_are_the_same_and_nobody_changes_them(seed, count):
    once, again = (normals(seed, "x", 0, count) for _ in range(2))
    assert once.tobytes() == again.tobytes()
    assert once.tobytes() == normals(seed, "x", 0, 200)[:count].tobytes()
    with pytest.raises(ValueError, match="read-only"):
        again[0] = 1.0
