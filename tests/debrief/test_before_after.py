"""A record over its forecasts before and after a fit, of flights whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest
from debrief.flown_flights import flown_flights, mended

from loftwright.debrief.fitting import before_after
from loftwright.debrief.fitting.before_after import BeforeAfter, before_and_after
from loftwright.debrief.fitting.fit import Fitting, fit_observed
from loftwright.debrief.fitting.observed import FitInput, observe
from loftwright.documents.flight_record import FlightRecord


@pytest.fixture(scope="module")
def fitting() -> Fitting:
    return fit_observed([observe(each.given) for each in flown_flights(mended(), 5, 0, 1)], seed=2)


@pytest.fixture(scope="module")
def shown(fitting: Fitting) -> BeforeAfter:
    (each,) = before_and_after(fitting, flights=100)
    return each


def counted(shown: BeforeAfter) -> np.ndarray:
    """Return which moments lie in the ascent that counted, the push and its vents left out."""
    return (shown.time > 0.8) & (shown.time < shown.until)


def width(band: np.ndarray) -> np.ndarray:
    return np.asarray(band[:, 4] - band[:, 0])


def test_after_the_fit_less_is_open(shown: BeforeAfter) -> None:
    rows = counted(shown)
    assert (width(shown.after)[rows] < width(shown.before)[rows]).all()
    assert width(shown.after)[rows][-1] < 0.5 * width(shown.before)[rows][-1]


def test_the_record_lies_in_both(shown: BeforeAfter) -> None:
    rows = counted(shown)
    record = np.interp(shown.time, shown.record_time, shown.record)[rows]
    for band in (shown.before, shown.after):
        low, high = band[rows, 0], band[rows, 4]
        # Readings have noise, which the bands leave out.
        assert ((record > low - 1.0) & (record < high + 1.0)).mean() > 0.9
    away = np.abs(record - shown.after[rows, 2])
    assert np.median(away) < 1.0


def test_both_begin_at_rest_and_end_where_they_are_shown(shown: BeforeAfter) -> None:
    assert np.abs(shown.before[shown.time < -0.1]).max() < 0.05
    assert shown.time[0] <= shown.record_time[0]
    assert shown.record_time[-1] <= shown.time[-1]
    assert shown.time[-1] > shown.until


def test_the_same_fit_shows_the_same(fitting: Fitting, shown: BeforeAfter) -> None:
    (again,) = before_and_after(fitting, flights=100)
    assert np.array_equal(again.after, shown.after)


def test_a_flight_without_a_log_has_nothing_to_show() -> None:
    observed = observe(FitInput("watched", mended(), FlightRecord(name="watched")))
    assert list(before_and_after(fit_observed([observed]))) == []


def test_of_many_the_last_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(before_after, "MOST", 1)
    flights = list(flown_flights(mended(), 6, 0, 2))
    fitting = fit_observed([observe(each.given) for each in flights], seed=1)
    found = list(before_and_after(fitting, flights=20))
    assert [each.name for each in found] == [flights[-1].given.name]
