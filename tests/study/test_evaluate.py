"""Points through the engine: the very flights of a forecast, with the same draws at every point."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from flight.gliders import FOAM, payload_of
from flight.staged import staged
from study.cases import PRESSURE, WATER, bare_lift, lift

from loftwright.flight.check import check
from loftwright.flight.forecast import forecast
from loftwright.study.evaluate import Draws, evaluate
from loftwright.study.spans import placed, read_span
from loftwright.study.uncertain import GUSTS, uncertain

VARIED = [
    f"{WATER}=0.4 L..1.4 L",
    f"{PRESSURE}=40 psi..90 psi",
    "vehicle.nozzle.throat_diameter=21.2 mm..24 mm",
    "vehicle.fins.0.count=3..6",
    "vehicle.fins.0.span=80 mm..140 mm",
    "payload.release.climb=5 m/s..20 m/s",
    "payload.mass=20 g..60 g",
    "site.wind.speed=0 m/s..5 m/s",
    "site.launch.elevation=80 deg..90 deg",
    "site.shape.1.height=2 m..40 m",
]
# Of the campaign with three payloads, boosters and an upper stage.
VARIED_STAGES = [
    "payload2.mass=5 g..20 g",
    "payload3.carried.width=20 mm..30 mm",
    "boosters.fill.gauge_pressure=40 psi..60 psi",
    "upper.fill.water_volume=0.2 L..0.4 L",
    "upper.stack.fires_delay=0.05 s..0.2 s",
]
ON_ASKING = ("carry_trim_deg", "veer_m")


def same(ours, theirs):
    return ours == theirs or (theirs is None and np.isnan(ours))


@pytest.mark.parametrize("text", VARIED)
def test_a_point_is_the_forecast_of_the_same_documents_to_the_last_bit(text):
    span = read_span(lift(), text)
    points = span.points(3)
    flown = evaluate(lift(), {span.path: points}, wanted=ON_ASKING)
    for k, value in enumerate(points.tolist()):
        alone = forecast(placed(lift(), {span.path: value})).figures
        for key, figure in alone.items():
            assert same(flown.columns[key][k], figure), key


@pytest.mark.parametrize("text", VARIED_STAGES)
def test_a_point_with_stages_is_their_forecast_to_the_last_bit(text):
    span = read_span(staged(), text)
    points = span.points(2)
    flown = evaluate(staged(), {span.path: points}, wanted=ON_ASKING)
    assert flown.refused == ["", ""]
    for k, value in enumerate(points.tolist()):
        alone = forecast(placed(staged(), {span.path: value}))
        for key, figure in alone.figures.items():
            assert same(flown.columns[key][k], figure), key
        for body, ends in alone.touchdown.items():
            for key, figure in ends.items():
                assert flown.columns[f"touchdown_{body}_{key}"][k] == figure, (body, key)


def test_points_with_stages_and_draws_are_their_ensembles_to_the_last_bit():
    """Of one point there are two boosters, of the other four."""
    few = replace(staged(), payload=None, payload2=None)
    counts = {"boosters.attach.count": np.array([2.0, 4.0])}
    flown = evaluate(few, counts, Draws(6, 7))
    assert flown.refused == ["", ""]
    for k, count in enumerate((2.0, 4.0)):
        alone = forecast(placed(few, {"boosters.attach.count": count}), flights=6, seed=7).columns
        for key, column in alone.items():
            if key != "outcome":
                assert np.array_equal(flown.columns[key][k], column, equal_nan=True), key


@pytest.mark.parametrize("text", VARIED[:4])
def test_a_point_with_draws_is_the_ensemble_of_the_same_documents_to_the_last_bit(text):
    span = read_span(lift(), text)
    points = span.points(2)
    flown = evaluate(lift(), {span.path: points}, Draws(20, 7))
    for k, value in enumerate(points.tolist()):
        alone = forecast(placed(lift(), {span.path: value}), flights=20, seed=7).columns
        for key in ("apogee_m", "max_acceleration_m_s2", "touchdown_payload_east_m"):
            assert np.array_equal(flown.columns[key][k], alone[key], equal_nan=True), key


def test_every_point_has_the_same_draws():
    """Two points with the same values are the same flights; others share what is not varied."""
    same = evaluate(bare_lift(), {WATER: np.array([0.9e-3, 0.9e-3])}, Draws(16, 3))
    for column in same.columns.values():
        assert np.array_equal(column[0], column[1], equal_nan=True)
    # Common random numbers: the difference of two near points spreads far less than either.
    near = evaluate(bare_lift(), {WATER: np.array([0.90e-3, 0.91e-3])}, Draws(64, 3))
    apogees = near.columns["apogee_m"]
    assert np.std(apogees[1] - apogees[0]) < 0.05 * np.std(apogees[0])


def test_blocks_change_nothing(monkeypatch):
    points = {WATER: np.linspace(0.5e-3, 1.2e-3, 7)}
    whole = evaluate(bare_lift(), points, Draws(8, 1)).columns
    monkeypatch.setattr("loftwright.study.evaluate.BLOCK", 20)
    parts = evaluate(bare_lift(), points, Draws(8, 1)).columns
    assert all(np.array_equal(whole[key], parts[key], equal_nan=True) for key in whole)


def test_what_the_documents_refuse_is_not_flown():
    flown = evaluate(lift(), {PRESSURE: np.array([5e5, 9e5])})
    assert flown.refused[0] == ""
    assert "over the proof pressure" in flown.refused[1]
    assert np.isnan(flown.columns["apogee_m"][1])
    assert np.isfinite(flown.columns["apogee_m"][0])


def test_figures_of_the_check_are_those_of_the_check():
    values = {PRESSURE: np.array([3e5, 5e5])}
    wanted = ("proof_margin", "stability_calibres", "stored_energy_j", "fill_fraction",
              "liftoff_mass_kg", "pressure_test_distance_m")  # fmt: skip
    flown = evaluate(lift(), values, wanted=wanted)
    for k, pressure in enumerate((3e5, 5e5)):
        checked = check(placed(lift(), {PRESSURE: pressure}))
        for name in wanted:
            theirs = getattr(checked, name)
            theirs = min(theirs.values()) if isinstance(theirs, dict) else theirs
            assert flown.columns[name][k] == theirs


def test_derived_figures_are_what_they_say():
    flown = {key: float(column[0]) for key, column in evaluate(lift(), {}).columns.items()}
    flight = forecast(lift())
    ends = flight.touchdown
    far = {body: np.hypot(end["east_m"], end["north_m"]) for body, end in ends.items()}
    assert flown["reach_m"] == max(far.values())
    assert flown["payload_reach_m"] == far["payload"]
    aloft = ends["payload"]["time_s"] - flight.figures["release_time_s"]
    assert flown["time_aloft_s"] == pytest.approx(aloft)
    mass = lift().payload.mass.value
    energy = mass * (
        9.80665 * flight.figures["release_height_m"] + flight.figures["release_speed_m_s"] ** 2 / 2
    )
    assert flown["release_energy_j"] == pytest.approx(energy)
    assert flown["ground_energy_j"] == max(end["energy_j"] for end in ends.values())


def test_without_a_payload_its_figures_never_happen():
    flown = evaluate(bare_lift(), {}).columns
    assert np.isnan(flown["release_energy_j"][0])
    assert flown["time_aloft_s"][0] == flown["touchdown_vehicle_time_s"][0]
    assert flown["reach_m"][0] == flown["vehicle_reach_m"][0]


def test_inputs_that_act_on_no_flight_are_left_out_and_gusts_are_one():
    paths = uncertain(lift(), 1).paths
    assert WATER in paths
    assert paths[-1] == GUSTS
    assert not any(path.endswith(".wall") for path in paths)


def test_the_inputs_at_zero_are_the_flight_as_written():
    inputs = uncertain(lift(), 1)
    calm = type(inputs)(inputs.campaign, inputs.paths[:-1], inputs.seed)
    flown = calm.fly(np.zeros((len(calm.paths), 1)), ["apogee_m"])
    assert flown["apogee_m"][0] == pytest.approx(forecast(lift()).figures["apogee_m"], rel=1e-9)


def test_the_inputs_spread_as_an_ensemble_does():
    inputs = uncertain(lift(), 1)
    normal = np.random.default_rng(5).standard_normal((len(inputs.paths), 512))
    ours = inputs.fly(normal, ["apogee_m"])["apogee_m"]
    theirs = forecast(lift(), flights=512).columns["apogee_m"]
    assert ours.mean() == pytest.approx(theirs.mean(), abs=3 * theirs.std() / 16)
    assert ours.std() == pytest.approx(theirs.std(), rel=0.15)


def test_glides_are_those_of_the_forecast_and_not_drawn():
    campaign = replace(lift(), payload=payload_of(FOAM))
    path, wanted = "payload.tailplane.incidence", ["glide_ratio", "sink_m_s", "phugoid_damping"]
    points = np.array([-0.04, -0.06])
    flown = evaluate(campaign, {path: points}, wanted=wanted).columns
    drawn = evaluate(campaign, {path: points}, Draws(3, 1), wanted=wanted).columns
    for k, value in enumerate(points.tolist()):
        modes = forecast(placed(campaign, {path: value})).gliders["payload"]
        for key in wanted:
            theirs = getattr(modes, key)
            assert theirs is not None
            assert flown[key][k] == theirs
            assert drawn[key][k].tolist() == [theirs] * 3


def test_the_veer_of_an_ensemble_is_its_own():
    flown = evaluate(lift(), {}, Draws(24, 5), wanted=["veer_m"]).columns["veer_m"]
    assert np.array_equal(flown[0], forecast(lift(), flights=24, seed=5).veers)
