"""Sensors and supply: the lanes against a plain reading of them, and against laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from instruments.plain_sense import Plain
from instruments.sensing import LANES, NOMINAL, PARAMETER_NAMES, WINDOWS, run

from loftwright.compiling.clone import code_digest
from loftwright.instruments.kernel import sense as module

SAMPLES = 60
F = np.float32


def far(low, high):
    return st.floats(low, high, width=32)


windows = st.tuples(far(-2.0, -0.75), far(0.0, 1.0)).map(lambda pair: (pair[0], pair[0] + pair[1]))


@st.composite
def cases(draw):
    """An instrument with any of its troubles."""
    case = {
        "PORT_FLOW": draw(st.sampled_from([0.0, 1.0, 108.0])),
        "HEATING": draw(far(-5.0, 5.0)),
        "LEAK": draw(far(0.0, 50.0)),
        "GUST": draw(far(-50.0, 50.0)),
        "DRIFT": draw(far(-1.0, 1.0)),
        "NOISE": draw(far(0.0, 5.0)),
        "BURST": draw(far(1.0, 30.0)),
        "JITTER": draw(far(0.0, 0.5)),
        "SHARE": draw(st.sampled_from([1.0, 0.5, 0.25])),
        "EVERY": draw(st.sampled_from([0.0, 0.02, 0.05, 0.1])),
        "LEAST": draw(st.sampled_from([3e4, 1.0005e5])),
        "UNDER": draw(st.sampled_from([3e4, 0.0])),
        "DROP_ABOVE": draw(far(-1.0, 4.0)),
        "REPEAT_ABOVE": draw(far(-1.0, 4.0)),
        "FAIL_READS": draw(st.sampled_from([float("nan"), 0.0])),
        "PUSH_BIAS": draw(far(-5.0, 5.0)),
        "PUSH_NOISE": draw(far(0.0, 2.0)),
        "PUSH_RANGE": draw(st.sampled_from([20.0, 160.0])),
        "BUMP": draw(far(-50.0, 50.0)),
        "LINE_OPENS": draw(far(-2.5, 1.0)),
        "OPENS_AT": draw(st.sampled_from([1e30, 30.0])),
        "OPEN_FOR": draw(far(0.0, 0.25)),
        "START_UP": draw(far(0.0, 0.25)),
        "FLAT_FROM": draw(st.sampled_from([1e30, -1.5])),
        "FLAT_VOLTAGE": draw(far(1.0, 4.0)),
        "BROWNOUT": draw(st.sampled_from([2.7, 3.8])),
    }
    for name in WINDOWS:
        if draw(st.booleans()):
            case[f"{name}_FROM"], case[f"{name}_UNTIL"] = draw(windows)
    return case


def surroundings(seed):
    rng = np.random.default_rng(seed)
    port = 100100.0 - np.cumsum(rng.uniform(-5.0, 15.0, SAMPLES))
    push = rng.uniform(-40.0, 60.0, SAMPLES)
    noise = rng.standard_normal((SAMPLES, 3))
    draw = np.broadcast_to(rng.uniform(0.0, 3.0, (SAMPLES, 1)), (SAMPLES, LANES)).astype(F)
    return port.astype(F), push.astype(F), noise.astype(F), draw


@settings(max_examples=40, deadline=None)
@given(st.lists(cases(), min_size=1, max_size=4), st.integers(0, 1000))
def test_lanes_are_what_a_plain_reading_says(several, seed):
    port, push, noise, draw = surroundings(seed)
    out = run(several, port, push, noise, draw)
    for lane, case in enumerate(several):
        values = dict.fromkeys(PARAMETER_NAMES, 0.0) | NOMINAL | case
        plain = Plain({name: F(value) for name, value in values.items()})
        rows = [plain.sample(k, port[k], push[k], noise[k], draw[k, 0]) for k in range(SAMPLES)]
        for number, name in enumerate(out):
            told = np.array([row[number] for row in rows])
            np.testing.assert_array_equal(out[name][:, lane], told.astype(out[name].dtype), name)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_windows_open_and_close_in_the_very_sample(seed):
    """Over a long wait too, where times are rounded, and where edges fall on samples."""
    rng = np.random.default_rng(seed)
    first, samples = -float(rng.uniform(1.0, 60.0)), 1500
    steps = rng.choice([0.02, 0.0199, 0.0201, 0.005], LANES).astype(F)
    moments = F(first) + np.arange(samples, dtype=F)[:, None] * steps
    on_samples = moments[rng.integers(0, samples, LANES), range(LANES)]
    between = rng.uniform(first - 1.0, first + 40.0, LANES).astype(F)
    opens = np.where(rng.random(LANES) < 0.5, on_samples, between)
    closes = opens + np.where(rng.random(LANES) < 0.5, F(0.02), F(3.0))
    several = [
        {"FIRST_AT": first, "STEP": step, "LINE_OPENS": begin, "LINE_CLOSES": end}
        for step, begin, end in zip(steps, opens, closes, strict=True)
    ]
    line = run(several, np.full(samples, 1e5))["line"]
    np.testing.assert_array_equal(line, (moments >= opens) & (moments < closes))


def test_the_same_code_runs_uncompiled():
    port, push, noise, draw = surroundings(7)
    several = [
        {"NOISE": 1.5, "JITTER": 0.1, "EVERY": 0.05},
        {"RESET_FROM": -1.5, "RESET_UNTIL": -1.4},
    ]
    ours, plain = (
        run(several, port[:20], push[:20], noise[:20], draw[:20], plain=each)
        for each in (False, True)
    )
    for name in ours:
        np.testing.assert_array_equal(ours[name], plain[name], name)


def test_a_blocked_bay_keeps_its_pressure():
    port = np.linspace(1e5, 98000.0, 50)
    out = run([{"PORT_FLOW": 0.0}, {}], port)
    assert np.ptp(out["pressure"][:, 0]) < 0.5
    np.testing.assert_allclose(out["pressure"][:, 1], port, atol=0.5)


def test_a_bay_lags_by_what_its_vents_lose():
    """In a steady climb the excess is (rate of pressure over K)^2, whatever the steps."""
    fall = 12.0  # Pa a sample
    port = 1e5 - fall * np.arange(200)
    out = run([{"PORT_FLOW": 4.0, "RESOLUTION": 2.0**-6, "FINENESS": 2.0**6}], port)
    assert out["pressure"][-1, 0] - port[-1] == pytest.approx((fall / 4.0) ** 2, abs=0.05)


def test_a_filter_answers_a_step_and_lags_a_ramp():
    """A coefficient c leaves (1 - 1/c)^n of a step, and trails a ramp by c - 1 values."""
    c, fine = 4.0, {"RESOLUTION": 2.0**-6, "FINENESS": 2.0**6, "PORT_FLOW": 1e6}
    step = np.where(np.arange(30) == 0, 1e5, 99000.0)
    ramp = 1e5 - 10.0 * np.arange(100)
    case = {"SHARE": 1.0 / c, **fine}
    stepped, ramped = (run([case], port)["pressure"][:, 0] for port in (step, ramp))
    left = 1000.0 * (1.0 - 1.0 / c) ** np.arange(30)
    np.testing.assert_allclose(stepped - 99000.0, left, atol=0.1)
    assert ramped[-1] - ramp[-1] == pytest.approx(10.0 * (c - 1.0), abs=0.1)


def test_a_slow_sensor_repeats_itself():
    port = 1e5 - 10.0 * np.arange(30)
    read = run([{"EVERY": 0.1}], port)["pressure"][:, 0]
    assert len(np.unique(read)) == 6
    np.testing.assert_array_equal(read[::5], read[4::5])


def test_a_controller_counts_anew_after_a_reset():
    out = run([{"RESET_FROM": -1.5, "RESET_UNTIL": -1.45, "START_UP": 0.1}], np.full(60, 1e5))
    alive, now, again = (out[name][:, 0] for name in ("alive", "now", "restart"))
    down = np.flatnonzero(alive == 0)
    assert (down[0], down[-1]) == (25, 31)
    assert again.sum() == again[32] == 1
    np.testing.assert_array_equal(now[:25], 20 * np.arange(25))
    np.testing.assert_array_equal(now[32:], 20 * np.arange(28))


def test_a_heavy_actuator_stops_the_controller():
    draw = np.zeros((60, LANES), F)
    draw[20:25] = 6.0
    alive = run([{}], np.full(60, 1e5), draw=draw)["alive"][:, 0]
    assert alive[:20].all()
    assert not alive[20:49].any()
    assert alive[50:].all()


def test_nothing_measured_is_not_a_number():
    out = run([{"PUSH_FAIL_FROM": -1e30, "PUSH_FAIL_READS": float("nan")}], np.full(5, 1e5))
    assert np.isnan(out["pushed"][:, 0]).all()
    assert np.isfinite(out["pushed"][:, 1]).all()


def test_a_changed_constant_is_compiled_anew(monkeypatch):
    before = code_digest(module.sense)
    monkeypatch.setattr(module, "SLACK", F(0.5))
    assert code_digest(module.sense) != before
