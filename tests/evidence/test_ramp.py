"""The weight ramp and the span of a firing, on curves whose answer is known."""

from __future__ import annotations

import numpy as np
import pytest
from evidence.synthetic_records import GRAVITY, Stand, record_force
from hypothesis import given
from hypothesis import strategies as st

from loftwright.evidence.ramp import by_mass_flow, even, remove_ramp
from loftwright.evidence.record import FiringRecord
from loftwright.evidence.rest import Span, find_span

RATE = 1000.0


def span_of(force: np.ndarray, onset: int, end: int, before: float, after: float) -> Span:
    return Span(force, onset, end, onset, 2, before, after, 0.1, 0.0, slice(0, onset), ())


def record_of(force: np.ndarray, rate: float = RATE) -> FiringRecord:
    return FiringRecord("made-up.txt", np.arange(len(force)) / rate, force, rate, {}, (), "", ())


@given(water=st.floats(0.1, 20.0), tare=st.floats(-50.0, 50.0), push=st.floats(30.0, 300.0))
def test_a_steady_thrust_comes_out_steady(water: float, tare: float, push: float) -> None:
    """Under constant thrust water leaves evenly, so both ramps take exactly its weight off."""
    thrust = np.zeros(1000)
    thrust[300:600] = push
    gone = np.clip((np.arange(1000) - 299) / 300.0, 0.0, 1.0)
    span = span_of(tare + thrust + water * gone, 300, 600, tare, tare + water)
    np.testing.assert_allclose(remove_ramp(span, 1, even), thrust, atol=1e-9)
    np.testing.assert_allclose(remove_ramp(span, 1, by_mass_flow), thrust, atol=0.02 * push)


def test_a_ramp_by_flow_is_its_own_solution() -> None:
    time = np.arange(400) / RATE
    thrust = np.where(time < 0.3, 100.0 * (1.0 - 2.0 * time) ** 2, 0.0)
    gone = np.cumsum(np.sqrt(thrust))
    span = span_of(thrust + 9.8 * gone / gone[-1], 0, 300, 0.0, 9.8)
    np.testing.assert_allclose(remove_ramp(span, 1, by_mass_flow)[:300], thrust[:300], atol=0.05)


def test_what_is_not_water_is_spread_evenly() -> None:
    flat = np.concatenate([np.full(100, 50.0), np.zeros(100)])
    rise = 4.0 * np.clip((np.arange(200) + 1) / 100.0, 0.0, 1.0)
    span = span_of(flat + rise, 0, 100, 0.0, 4.0)
    np.testing.assert_allclose(remove_ramp(span, 1, by_mass_flow, water=0.0), flat, atol=1e-9)


def test_without_any_flow_the_ramp_is_even() -> None:
    span = span_of(np.zeros(100), 10, 50, 0.0, 5.0)
    found = remove_ramp(span, 1, by_mass_flow)
    np.testing.assert_allclose(found, remove_ramp(span, 1, even))


@pytest.mark.parametrize("onset", [1.0, 2.0, 3.5])
@pytest.mark.parametrize("tare", [-20.0, 0.0, 7.0])
def test_the_firing_is_found(onset: float, tare: float) -> None:
    stand = Stand(onset=onset, tare=tare)
    force, _ = record_force(stand)
    span = find_span(record_of(force, stand.rate))
    assert span.onset / stand.rate == pytest.approx(onset, abs=0.004)
    assert span.end / stand.rate == pytest.approx(onset + 0.28, abs=0.03)
    assert span.before == pytest.approx(tare, abs=0.02)
    assert span.after - span.before == pytest.approx(GRAVITY, abs=0.05)
    assert span.noise == pytest.approx(stand.noise, rel=0.15)


def test_what_the_release_does_to_the_stand_comes_before_the_onset() -> None:
    stand = Stand()
    force, _ = record_force(stand)
    begin = int((stand.onset - 0.05) * stand.rate)
    force[begin : begin + 60] -= 15.0
    span = find_span(record_of(force, stand.rate))
    assert span.stirred / stand.rate == pytest.approx(stand.onset - 0.05, abs=0.004)
    assert span.onset / stand.rate == pytest.approx(stand.onset, abs=0.006)


def test_a_knock_after_the_firing_does_not_lengthen_it() -> None:
    stand = Stand()
    force, _ = record_force(stand)
    knock = int((stand.onset + 0.9) * stand.rate)
    force[knock : knock + 20] += 20.0
    span = find_span(record_of(force, stand.rate))
    assert span.end / stand.rate == pytest.approx(stand.onset + 0.28, abs=0.03)
