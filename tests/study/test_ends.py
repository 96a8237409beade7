"""A field at both ends of what the documents say of it, known exactly there."""

from __future__ import annotations

from statistics import NormalDist

import pytest
from study.cases import PRESSURE, lift

from loftwright.documents.flatten import flatten
from loftwright.study.ends import ends_of
from loftwright.study.spans import placed


def test_ends_are_five_per_cent_from_either_side():
    campaign = lift()
    values, sds, _ = flatten(campaign)
    normal = NormalDist(values[PRESSURE], sds[PRESSURE])
    low, high = ends_of(campaign, PRESSURE)
    assert low.value == pytest.approx(normal.inv_cdf(0.05), rel=1e-9)
    assert high.value == pytest.approx(normal.inv_cdf(0.95), rel=1e-9)


def test_only_this_field_is_known_exactly_there():
    campaign = lift()
    _, sds, _ = flatten(campaign)
    for end in ends_of(campaign, PRESSURE):
        values, left, _ = flatten(end.campaign)
        assert values[PRESSURE] == end.value
        assert left == {**sds, PRESSURE: 0.0}


def test_an_end_stays_in_the_bounds_of_its_field():
    campaign = lift()
    path = "payload.hold.strength"
    values, _, _ = flatten(campaign)
    wide = placed(campaign, {path: values[path] * 1e-3})  # far less than its spread
    low, high = ends_of(wide, path)
    assert 0.0 < low.value < high.value
