"""Impulse, duration and peak from records: made-up ones of known impulse, and six measured ones."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from evidence.synthetic_records import Stand, known_impulse, record_bytes, record_force
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.errors import ProblemError
from loftwright.evidence.header import Condition
from loftwright.evidence.record import FiringRecord, parse_firing_record, read_firing_record
from loftwright.evidence.smoothing import centred_mean, ringing_frequency, window
from loftwright.evidence.thrust import MeasuredFiring, curve_times, measure_firing

USUAL = Stand()


def measured(stand: Stand = USUAL, seed: int = 1) -> MeasuredFiring:
    raw, _ = record_bytes(stand, seed)
    return measure_firing(parse_firing_record(raw, "made-up.txt"))


def plain_record(force: np.ndarray, rate: float = 1652.0) -> FiringRecord:
    return FiringRecord("made-up.txt", np.arange(len(force)) / rate, force, rate, {}, (), "", ())


def test_a_clean_record_gives_its_impulse() -> None:
    clean = Stand(noise=0.0, ringing=400.0, damping=0.5, tare=2.0, water=0.0)
    found = measure_firing(plain_record(record_force(clean)[0]))
    assert found.impulse.value == pytest.approx(known_impulse(), rel=0.003)
    assert found.impulse.sd < 0.003 * known_impulse()


@pytest.mark.parametrize("ringing", [35.0, 70.0, 120.0])
@pytest.mark.parametrize("tare", [-3.0, 0.4, 25.0])
def test_tare_ramp_ringing_and_noise_leave_the_impulse(ringing: float, tare: float) -> None:
    found = measured(Stand(ringing=ringing, tare=tare, noise=0.2)).impulse
    assert abs(found.value - known_impulse()) < 2.0 * found.sd
    assert found.sd < 0.05 * found.value
    assert found.sd == pytest.approx(np.hypot.reduce(list(found.components.values())))


def test_a_step_of_the_rest_that_is_no_water_is_doubted() -> None:
    found = measured(Stand(offset=4.0)).impulse
    assert abs(found.value - known_impulse()) < 2.0 * found.sd
    assert found.components["resting offset"] > 2.0 * found.components["noise"]
    assert any("off the water's weight" in note for note in measured(Stand(offset=4.0)).notes)


def test_the_noise_component_is_the_scatter_over_seeds() -> None:
    records = [measured(Stand(noise=0.5), seed) for seed in range(12)]
    scatter = np.std([record.impulse.value for record in records])
    stated = np.mean([record.impulse.components["noise"] for record in records])
    assert 0.3 * stated < scatter < 3.0 * stated


@pytest.mark.parametrize("ringing", [50.0, 80.0])
def test_the_peak_is_found_under_the_ringing(ringing: float) -> None:
    found = measured(Stand(ringing=ringing, damping=0.04))
    # The thrust of the made-up curve is 110 N at its onset and falls at 6.6 per second.
    assert abs(found.peak.value - 110.0) < 2.0 * found.peak.sd
    assert found.raw_peak > 140.0
    assert found.peak.sd < 0.2 * found.peak.value
    assert found.ringing == pytest.approx(ringing, rel=0.1)


def test_duration_central_time_and_water_out() -> None:
    found = measured()
    # The curve of the test falls under 2 % of 110 N at 0.28 - 0.11 * 2.2/25 s and drops at 0.17 s.
    assert abs(found.duration.value - 0.270) < 2.5 * found.duration.sd
    assert found.water_out is not None
    assert abs(found.water_out.value - 0.17) < 2.0 * found.water_out.sd
    time = np.linspace(0.0, 0.28, 20001)
    thrust = np.where(time < 0.17, 110 * np.exp(-6.6 * time), 25 * (1 - (time - 0.17) / 0.11))
    low, high = curve_times(time, thrust, (0.1, 0.9))
    assert found.central_time.value == pytest.approx(high - low, rel=0.03)


def test_a_thrust_that_reads_negative_is_turned() -> None:
    force, _ = record_force()
    up, down = measure_firing(plain_record(force)), measure_firing(plain_record(-force))
    assert down.impulse.value == pytest.approx(up.impulse.value, rel=1e-9)
    assert any("sign is turned" in note for note in down.notes)


def test_a_slow_recorder_still_measures() -> None:
    found = measured(Stand(rate=80.0, ringing=300.0, damping=0.7))
    assert abs(found.impulse.value - known_impulse()) < max(2.5 * found.impulse.sd, 0.6)


@pytest.mark.parametrize(
    ("force", "code"),
    [
        (np.random.default_rng(3).normal(0.0, 0.1, 6000), "evidence-no-firing"),
        (np.zeros(6000), "evidence-no-firing"),
        (record_force(Stand(onset=0.05, seconds=3.0))[0], "evidence-no-rest"),
        (record_force(Stand(onset=2.0, seconds=2.3))[0], "evidence-no-rest"),
    ],
    ids=["noise", "nothing", "no rest before", "no rest after"],
)
def test_what_holds_no_whole_firing_is_refused(force: np.ndarray, code: str) -> None:
    with pytest.raises(ProblemError) as caught:
        measure_firing(plain_record(force))
    assert caught.value.problems[0].code == code


@st.composite
def rough_records(draw: st.DrawFn) -> FiringRecord:
    """Noise of any size with steps, slopes and decays of any size in it."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32)))
    count = draw(st.integers(50, 3000))
    force = rng.normal(0.0, draw(st.sampled_from([0.0, 1e-12, 0.01, 1.0, 100.0])), count)
    for _ in range(draw(st.integers(0, 5))):
        begin = int(rng.integers(count))
        length = min(count - begin, int(rng.integers(1, count // 3 + 2)))
        shape = np.linspace(1.0, rng.random(), length) ** rng.choice([0, 1, 3])
        force[begin : begin + length] += rng.normal(0.0, 100.0) * shape
    force *= draw(st.sampled_from([1.0, 1.0, 1e-9, 1e200]))
    record = plain_record(force, draw(st.sampled_from([10.0, 80.0, 500.0, 1652.0, 2e4])))
    water = draw(st.sampled_from([None, 0.0, 0.2, 1.0]))
    known = {} if water is None else {"water": Condition("water", water, "kg", "", 1)}
    return replace(record, conditions=known)


@given(rough_records())
@settings(max_examples=150, deadline=None)
def test_any_force_gives_finite_figures_or_a_problem(record: FiringRecord) -> None:
    try:
        found = measure_firing(record)
    except ProblemError:
        return
    measures = [found.impulse, found.duration, found.central_time, found.peak]
    assert all(np.isfinite([each.value, each.sd]).all() for each in measures)
    assert found.impulse.value > 0.0
    assert found.duration.value >= 0.0


def test_the_average_over_a_period_takes_the_ringing_out() -> None:
    rate = 1652.0
    time = np.arange(2000) / rate
    wave = np.sin(2 * np.pi * 59.0 * time)
    samples = window(1 / 59.0, rate)
    assert samples % 2 == 1
    inner = slice(samples, -samples)
    assert np.abs(centred_mean(5.0 + wave, samples)[inner] - 5.0).max() < 0.05
    found = ringing_frequency(3.0 + wave, rate)
    assert found == pytest.approx(59.0, abs=1.0)


def test_shares_of_the_impulse_of_a_steady_thrust() -> None:
    time = np.linspace(0.0, 2.0, 11)
    assert curve_times(time, np.full(11, 4.0), (0.1, 0.5, 0.9)) == pytest.approx((0.2, 1.0, 1.8))


def test_the_six_measured_firings(measured_firings: list[Path]) -> None:
    firings = [measure_firing(read_firing_record(path)) for path in measured_firings]
    impulses = np.array([firing.impulse.value for firing in firings])
    sds = np.array([firing.impulse.sd for firing in firings])
    # README beside the records: 11.7 to 13.8 N s over about 0.27 s, raw peaks of 170 to 260 N.
    assert np.all(impulses + 2.0 * sds > 11.7)
    assert np.all(impulses - 2.0 * sds < 13.8)
    assert np.all((sds > 0.1) & (sds < 0.7))
    assert impulses.min() < 12.0
    assert impulses.max() > 13.3
    for firing in firings:
        assert firing.duration.value == pytest.approx(0.27, abs=0.025)
        assert 170.0 < firing.raw_peak < 260.0
        assert firing.peak.value < 0.7 * firing.raw_peak
        assert firing.water_out is not None
