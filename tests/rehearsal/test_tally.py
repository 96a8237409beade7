"""Counts of cases do not depend on how their flights are cut into blocks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.rehearsal.outcomes import Judged, severities_of
from loftwright.rehearsal.results import FIELD, PAYLOAD, VEHICLE
from loftwright.rehearsal.risk import SEVERITIES
from loftwright.rehearsal.tally import Tally


def judged(seed: int, count: int) -> Judged:
    stream = np.random.default_rng(seed)
    vehicle = stream.integers(0, len(VEHICLE), count).astype(np.int8)
    good, lost = stream.random(count) < 0.5, stream.random(count) < 0.2
    endangers = stream.random(count) < 0.1
    energy = np.where(stream.random(count) < 0.9, stream.lognormal(1, 2, count), np.nan)
    energies = {"vehicle": energy}
    return Judged(
        payload=stream.integers(0, len(PAYLOAD), count).astype(np.int8),
        vehicle=vehicle,
        field=stream.integers(0, len(FIELD), count).astype(np.int8),
        good=good,
        lost=lost,
        endangers=endangers,
        severity=severities_of(vehicle, endangers, lost, good, energies),
        energies=energies,
    )


@given(st.integers(0, 1000), st.lists(st.integers(1, 60), min_size=1, max_size=6))
def test_blocks_add_up(seed, sizes):
    whole = judged(seed, sum(sizes))
    one, many = Tally(), Tally()
    one.add(0, whole)
    first = 0
    for size in sizes:
        many.add(first, whole.take(np.arange(first, first + size)))
        first += size
    for name in ("payload", "vehicle", "field", "severity"):
        np.testing.assert_array_equal(getattr(one, name), getattr(many, name))
        assert getattr(one, name).sum() == one.flights
    assert (one.good, one.lost, one.endangers) == (many.good, many.lost, many.endangers)
    assert one.worst == many.worst
    assert one.energies() == many.energies()


def test_percentiles_of_energies_are_right_within_their_bins():
    many = judged(3, 5000)
    tally = Tally()
    tally.add(0, many)
    energy = many.energies["vehicle"]
    middle, high = tally.energies()["vehicle"]
    expected = np.percentile(energy[np.isfinite(energy)], [50.0, 95.0])
    assert (middle, high) == pytest.approx(tuple(expected), rel=0.05)


def test_who_endangers_people_is_worse_than_who_loses_the_vehicle():
    flights = judged(1, 3)
    vehicle, good = np.zeros(3, np.int8), np.zeros(3, bool)
    endangers, lost = np.array([False, True, False]), np.array([True, False, True])
    severity = severities_of(vehicle, endangers, lost, good, flights.energies)
    tally = Tally()
    tally.add(100, flights._replace(vehicle=vehicle, severity=severity))
    assert tally.worst[0] == 101
    assert len(tally.worst) == 3


def test_flights_as_wanted_are_not_among_the_worst():
    flights = judged(1, 4)
    tally = Tally()
    tally.add(0, flights._replace(severity=np.full(4, len(SEVERITIES), np.int8)))
    assert tally.worst == ()
