"""Many stretches of one kind are told as one; nothing is lost from the count."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from loftwright.debrief.results import Artefact
from loftwright.report.left_out import MOST, left_out

ARTEFACTS = st.builds(
    lambda kind, time, lasts, size: Artefact(kind, time, time + lasts, size, f"by {size:.1f} m"),
    st.sampled_from(["spike", "dropout", "saturated"]),
    st.floats(-5, 60),
    st.floats(0, 2),
    st.one_of(st.floats(-50, 50), st.just(float("nan"))),
)


@given(st.lists(ARTEFACTS, max_size=40))
def test_few_stand_for_many(artefacts):
    told = left_out(artefacts)
    assert [each.time_s for each in told] == sorted(each.time_s for each in told)
    for kind in {each.kind for each in artefacts}:
        alike = [each for each in artefacts if each.kind == kind]
        shown = [each for each in told if each.kind == kind]
        if len(alike) <= MOST:
            assert sorted(map(repr, shown)) == sorted(map(repr, alike))
        else:
            (one,) = shown
            assert one.says.startswith(f"{len(alike)} stretches")
            assert all(abs(one.size_m) >= abs(each.size_m) for each in alike if _is_told(one, each))


def _is_told(*both):
    return all(each.size_m == each.size_m for each in both)
