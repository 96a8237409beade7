"""No run beats a proven bound, and bounds are those of the worst runs there are."""

from __future__ import annotations

from math import inf

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from program.tables import CONDITIONS, STEP, reached, tables

from loftwright.program.interpreter import Reading, power_up, step
from loftwright.program.promises import bounds_of

streams = st.lists(
    st.tuples(
        st.sampled_from([101325.0, 101000.0, 100000.0, 0.0, float("nan")]),
        st.sampled_from([float("nan"), -20.0, 0.0, 20.0]),
        st.sampled_from([0, 1]),
        st.integers(1, 9),  # for how many samples it stays so
    ),
    max_size=12,
)


def first_opening(table, stream):
    """Return (ms since power-up, ms since launch or None) of the first opening, and the last ms."""
    state = power_up(table)
    now = 0
    if state.level[0]:
        return 0, None if state.launched_ms < 0 else 0, 0, state
    for pressure, push, line, times in stream:
        for _ in range(times):
            step(table, state, Reading(pressure, push, line, now))
            if state.level[0]:
                launched = None if state.launched_ms < 0 else now - state.launched_ms
                return now, launched, now, state
            now += STEP
    return None, None, now - STEP, state


@settings(max_examples=400, suppress_health_check=[HealthCheck.too_slow])
@given(tables(), streams)
def test_no_run_beats_a_bound(table, stream):
    bounds = bounds_of(table, 0)
    power, launch, last, state = first_opening(table, stream)
    if power is not None:
        assert bounds.earliest_power_ms is not None
        assert bounds.earliest_power_ms <= power <= bounds.latest_power_ms
        assert bounds.earliest_ms <= (-inf if launch is None else launch)
        assert launch is None or launch <= bounds.latest_ms
    else:
        assert last < bounds.latest_power_ms or bounds.latest_power_ms == inf
        if state.launched_ms >= 0:
            assert last - state.launched_ms < bounds.latest_ms or bounds.latest_ms == inf


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(tables(conditions=(CONDITIONS[0], CONDITIONS[-1]), most=4, longest=4))
def test_bounds_are_those_of_all_outcomes_of_all_conditions(table):
    longest = 40
    opened, live = reached(table, longest)
    bounds = bounds_of(table, 0)
    powers = [now for _, now, _ in opened]
    early = min(powers, default=None)
    assert bounds.earliest_power_ms == (None if early is None else early * STEP)
    since = [-inf if launch is None else launch * STEP for _, _, launch in opened]
    assert bounds.earliest_ms == min(since, default=None)
    if live:  # some run had not ended
        assert bounds.latest_power_ms == inf
    elif opened:
        assert bounds.latest_power_ms == max(powers) * STEP
        after = [ms for ms in since if ms > -inf]
        assert bounds.latest_ms == (max(after) if after else inf)
