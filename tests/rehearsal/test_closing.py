"""The loop between programs and flights, with programs made up for the purpose."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from loftwright.rehearsal.closing import settle, unique

NEVER = float("nan")


def listener(payload, canopy_alone, canopy_after):
    """Programs that let the payload go at a time, and open the canopy by whether it has gone."""

    def listen(branches, case, flight, which):
        gone = np.isfinite(branches.acts[which, 0])
        canopy = np.where(gone, canopy_after[case], canopy_alone[case])
        return np.column_stack([payload[case], canopy])

    return listen


def run(payload, alone, after, flights=2):
    columns = [np.array(column, float) for column in (payload, alone, after)]
    groups = np.zeros(len(payload), np.int64)
    return settle(groups, flights, 2, listener(*columns))


def acts(settled, case, flight=0):
    return settled.branches.acts[settled.which[case, flight]].tolist()


def test_what_follows_a_release_is_heard_with_the_payload_gone():
    settled = run([2.0], [3.0], [2.5])
    assert acts(settled, 0) == [2.0, 2.5]


def test_a_canopy_before_the_release_is_heard_with_the_payload_on():
    settled = run([5.0], [3.0], [2.5])
    assert acts(settled, 0) == [5.0, 3.0]


def test_cases_that_do_the_same_share_a_flight():
    settled = run([2.0, 2.0, 2.1], [3.0] * 3, [2.5] * 3)
    assert settled.which[0, 0] == settled.which[1, 0] != settled.which[2, 0]
    assert len(settled.branches.flight) == 4  # two flights, two ways each


def test_nothing_happens_after_something_on_the_pad():
    settled = run([-3.0], [3.0], [2.5])
    release, canopy = acts(settled, 0)
    assert release == -3.0
    assert np.isnan(canopy)


def test_a_program_that_never_acts_leaves_the_flight_alone():
    settled = run([NEVER], [NEVER], [2.5])
    assert np.isnan(acts(settled, 0)).all()


@given(
    st.lists(
        st.tuples(*[st.one_of(st.just(NEVER), st.floats(0.1, 9.0))] * 3), min_size=1, max_size=6
    )
)
def test_every_case_does_what_it_would_do_alone(rows):
    together = run(*zip(*rows, strict=True))
    for case, row in enumerate(rows):
        alone = run(*([value] for value in row))
        np.testing.assert_array_equal(acts(together, case, 1), acts(alone, 0, 1))


@given(
    st.lists(
        st.tuples(st.integers(0, 2), st.integers(0, 3), st.sampled_from([NEVER, 1.0, 2.0])),
        min_size=1,
        max_size=30,
    )
)
def test_unique_branches_stand_for_their_rows(rows):
    group, flight, times = (np.array(column) for column in zip(*rows, strict=True))
    branches, which = unique(group, flight, times[:, None].astype(float))
    np.testing.assert_array_equal(branches.group[which], group)
    np.testing.assert_array_equal(branches.flight[which], flight)
    np.testing.assert_array_equal(branches.acts[which, 0], times)
    times_as_text = branches.acts[:, 0].astype(str)
    different = set(zip(branches.group, branches.flight, times_as_text, strict=True))
    assert len(different) == len(branches.group)
    assert (np.diff(branches.group) >= 0).all()


def test_programs_that_work_nothing_leave_every_flight_as_it_is():
    settled = settle(np.zeros(2, np.int64), 3, 0, lambda *_: np.zeros((0, 0)))
    np.testing.assert_array_equal(settled.which, [[0, 1, 2], [0, 1, 2]])
    np.testing.assert_array_equal(settled.branches.flight, [0, 1, 2])
