"""The trimmed glide of a described glider, and its modes by eigenvalues."""

from __future__ import annotations

from dataclasses import fields
from itertools import pairwise
from math import atan2, log, pi, radians, sqrt

import numpy as np
import pytest
from flight.gliders import fly, foam, start, without
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.flight.trim import GliderModes, glider_modes
from loftwright.physics.atmosphere import GRAVITY
from loftwright.physics.phugoid import glide_phugoid_damping, glide_phugoid_period


def modes(**changed) -> GliderModes:
    return glider_modes(foam(**changed))


def test_a_foam_glider_trims_as_foam_gliders_do() -> None:
    found = modes()
    assert found.trims
    assert 3.0 < found.speed_m_s < 8.0
    assert 3.0 < found.glide_ratio < 8.0
    assert radians(0.0) < found.incidence_rad < radians(8.0)
    assert found.sink_m_s == pytest.approx(
        found.speed_m_s / sqrt(1.0 + found.glide_ratio**2), rel=1e-9
    )
    assert found.roll_time_constant_s < 0.2
    assert found.dutch_roll_damping > 0.0


def test_modes_are_those_of_the_open_wing() -> None:
    folding = {"payload.wing.folded_share": 0.25, "payload.wing.unfold_time": 0.2}
    assert glider_modes(foam() | folding) == modes()


def test_a_trimmed_glider_stays_trimmed() -> None:
    found = modes()
    slope = atan2(1.0, found.glide_ratio)
    velocity = (found.speed_m_s * np.cos(slope), 0.0, -found.speed_m_s * np.sin(slope))
    run = fly(foam(), start(velocity, found.incidence_rad - slope), 10.0, 21)
    np.testing.assert_allclose(np.linalg.norm(run.y[3:6], axis=0), found.speed_m_s, rtol=2e-3)


def test_the_slow_swing_of_a_flight_is_that_of_the_eigenvalues() -> None:
    found = modes()
    slope = atan2(1.0, found.glide_ratio)
    velocity = (1.02 * found.speed_m_s * np.cos(slope), 0.0, -found.speed_m_s * np.sin(slope))
    run = fly(foam(), start(velocity, found.incidence_rad - slope, 200.0), 30.0, 3001)
    climb = run.y[5] - run.y[5, -600:].mean()
    late = run.t > 5.0
    t, v = run.t[late], climb[late]
    crossings = t[1:][(v[:-1] < 0) & (v[1:] >= 0)]
    periods = np.diff(crossings)
    assert periods.mean() == pytest.approx(found.phugoid_period_s, rel=0.02)
    peaks = [v[(t >= a) & (t < b)].max() for a, b in pairwise(crossings)]
    decrement = log(peaks[0] / peaks[2]) / 2
    damping = decrement / sqrt(4 * pi**2 + decrement**2)
    assert damping == pytest.approx(found.phugoid_damping, rel=0.1)


def test_the_closed_form_is_the_limit_of_the_rigid_body() -> None:
    """A heavy glider of small inertia turns with its path, incidence held: Lanchester's premise."""
    errors = []
    for heavier in (1.0, 10.0, 100.0, 1000.0):
        found = modes(
            mass=0.025 * heavier, wing__incidence=radians(3.0), balance__from_nose=0.10,
            balance__inertia_roll=1e-4, balance__inertia_pitch=1e-4, balance__inertia_yaw=2e-4,
        )  # fmt: skip
        period = glide_phugoid_period(found.speed_m_s, found.glide_ratio, GRAVITY)
        errors.append(found.phugoid_period_s / period - 1.0)
        damping = glide_phugoid_damping(found.glide_ratio)
    assert errors == sorted(errors, reverse=True)
    assert abs(errors[-1]) < 0.01
    assert found.phugoid_damping == pytest.approx(damping, rel=0.1)


@settings(max_examples=30, deadline=None)
@given(
    balance=st.floats(0.0, 0.3), incidence=st.floats(-0.3, 0.3), camber=st.floats(0.0, 0.12),
    dihedral=st.floats(-0.7, 0.7), mass=st.floats(0.002, 1.0), tail=st.booleans(),
)  # fmt: skip
def test_any_glider_gets_a_finite_answer_or_a_sentence(
    balance, incidence, camber, dihedral, mass, tail
) -> None:
    values = foam(
        balance__from_nose=balance, wing__incidence=incidence, wing__camber=camber,
        wing__dihedral=dihedral, mass=mass,
    )  # fmt: skip
    found = glider_modes(values if tail else without(values, "tailplane", "fin"))
    assert found.says
    numbers = [getattr(found, each.name) for each in fields(found)][2:]
    assert all(number is None or np.isfinite(number) for number in numbers)
    assert found.trims == (found.speed_m_s is not None)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"balance__from_nose": 0.25}, "further forward"),
        ({"wing__incidence": radians(-6.0), "balance__from_nose": 0.06}, "dives"),
    ],
)
def test_a_glider_that_never_trims_is_told_so(changed, words) -> None:
    found = modes(**changed)
    assert not found.trims
    assert found.says.startswith("it never trims")
    assert words in found.says
    assert found.glide_ratio is None


def test_a_balance_further_aft_flies_slower_until_it_stalls() -> None:
    speeds = [modes(balance__from_nose=x).speed_m_s for x in (0.10, 0.105, 0.11, 0.115, 0.12)]
    assert speeds == sorted(speeds, reverse=True)


def test_dihedral_widens_turns_and_a_large_fin_tightens_them() -> None:
    flat = modes(wing__dihedral=0.0, fin__span=0.09)
    bent = modes(wing__dihedral=radians(12.0), fin__span=0.06)
    assert flat.spiral_time_constant_s < 0.0
    assert "spiral" in flat.says
    assert bent.spiral_time_constant_s > 0.0
    assert "widens" in bent.says


def test_thin_air_makes_it_faster_and_glide_as_far() -> None:
    low, high = glider_modes(foam()), glider_modes(foam(), density=0.9)
    assert high.speed_m_s == pytest.approx(low.speed_m_s * sqrt(1.225 / 0.9), rel=0.02)
    assert high.glide_ratio == pytest.approx(low.glide_ratio, rel=0.05)
