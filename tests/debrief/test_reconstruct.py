"""Made-up flights, reconstructed: what misleads is told, what is not there is not invented."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from debrief.made_up_logs import WARM, made_up

from loftwright.debrief.reconstruction.instrument import Instrument, assumed_instrument
from loftwright.debrief.reconstruction.joint import best_of
from loftwright.debrief.reconstruction.reconstruct import reconstruct
from loftwright.errors import ProblemError
from loftwright.units import Quantity

BOARD = Instrument(name="board", noise=1.5, resolution=0.1, drift=Quantity(0.0, 0.02))


@pytest.fixture(scope="module")
def flight():
    return made_up(seed=3)


def seen(log, instrument=BOARD, **told):
    return reconstruct(
        log, instrument, pad_temperature=WARM, pad_pressure=None, pad_temperature_sd=0.5, **told
    )


def off(found, flight):
    """How far the top is off, in its own standard deviations."""
    return (found.apogee.value - flight.apogee) / found.apogee.sd


def test_finds_the_flight(flight):
    found = seen(flight.log)
    assert abs(found.apogee.value - flight.apogee) < 0.4
    assert abs(off(found, flight)) < 3.5
    start = float(np.interp(0.0, flight.time, flight.log.time_s))
    assert found.liftoff_s == pytest.approx(start, abs=0.06)
    for kind, within in (("apogee", 0.15), ("canopy open", 0.5), ("touchdown", 0.3)):
        shift = found.liftoff_s - start
        assert found.event(kind).time.value + shift == pytest.approx(
            flight.events[kind], abs=within
        )
    assert found.max_climb.value == pytest.approx(flight.climb.max(), abs=1.5)
    assert found.descents[-1].rate_m_s.value == pytest.approx(4.2, abs=0.15)
    assert [each.kind for each in found.missing] == ["release"]
    assert all(each.agrees is not False for each in found.checks)
    assert len(found.used) == len(flight.log.time_s)


def test_a_row_of_the_log_that_counts_is_on_the_curve(flight):
    found = seen(flight.log)
    inside = (found.raw_time > 0.6) & (found.raw_time < found.event("touchdown").time.value)
    away = found.raw_height - np.interp(found.raw_time, found.curve.time, found.curve.height)
    assert np.abs(away[inside & found.used]).max() < 6.0 * 1.5 * 0.086 + 0.3


def test_pressure_of_the_motion_is_found_and_told():
    flight = made_up(seed=5, port=-0.1)
    found = seen(flight.log, replace(BOARD, port_coefficient=Quantity(0.0, 0.1)))
    told = [each for each in found.artefacts if each.kind == "boost pressure"]
    worst = 0.1 * flight.climb.max() ** 2 / (2 * 9.80665)
    assert told[0].size_m == pytest.approx(worst, rel=0.3)
    assert "too high" in told[0].says
    assert abs(found.apogee.value - flight.apogee) < 0.6


@pytest.mark.parametrize(
    ("words", "time", "shape"),
    [
        ("a spike in the coast", 2.0, [-400.0]),
        ("two wild values", 1.5, [-60_000.0, 9_000.0]),
        ("suction as the canopy opens", "canopy open", [-140.0, -220.0, -250.0, -200.0, -90.0]),
        ("the blow of the ground", "touchdown", [-1500.0, 800.0, -400.0]),
    ],
)  # fmt: skip
def test_no_burst_becomes_the_top(flight, words, time, shape):
    pressure = flight.log.pressure_pa.copy()
    first = flight.row(flight.events.get(time, time))
    pressure[first : first + len(shape)] += shape
    found = seen(flight.with_pressure(np.maximum(pressure, 100.0)))
    assert found.naive_max_height_m > flight.apogee + 5.0
    assert abs(found.apogee.value - flight.apogee) < 0.6, words
    told = [each for each in found.artefacts if abs(each.size_m) > 5.0]
    at = flight.time[first]
    assert any(abs(each.time_s - at) < 0.2 for each in told), words
    assert not found.used[first + len(shape) // 2]


def test_gaps_are_told_and_bridged(flight):
    pressure = flight.log.pressure_pa.copy()
    first = flight.row(1.0)
    pressure[first : first + 40] = np.nan
    found = seen(flight.with_pressure(pressure))
    gap = next(each for each in found.artefacts if each.kind == "dropout")
    assert gap.until_s - gap.time_s == pytest.approx(0.82, abs=0.05)
    assert abs(found.apogee.value - flight.apogee) < 0.5
    wide = np.interp(1.4, found.curve.time, found.curve.height_sd)
    assert wide > 0.5 * np.interp(1.4, *_band(seen(flight.log)))


def _band(found):
    return found.curve.time, found.curve.height_sd


def test_what_the_record_does_not_show_is_said_to_be_missing(flight):
    before_top = flight.part(0, flight.row(flight.events["apogee"] - 0.8))
    found = seen(before_top)
    assert found.apogee is None
    assert found.apogee_time is None
    assert {"apogee", "canopy open", "touchdown"} <= {each.kind for each in found.missing}
    hanging = seen(flight.part(0, flight.row(flight.events["apogee"] + 4.0)))
    assert hanging.apogee is not None
    assert "touchdown" in {each.kind for each in hanging.missing}
    late = seen(flight.part(flight.row(0.5), len(flight.time)))
    assert late.apogee is None
    assert {"liftoff", "apogee"} <= {each.kind for each in late.missing}


def test_a_record_that_ends_right_after_touchdown_shows_it(flight):
    found = seen(flight.part(0, flight.row(flight.events["touchdown"] + 0.5)))
    start = float(np.interp(0.0, flight.time, flight.log.time_s))
    down = found.event("touchdown").time.value + found.liftoff_s - start
    assert down == pytest.approx(flight.events["touchdown"], abs=0.4)


def test_a_pad_is_no_flight(flight):
    with pytest.raises(ProblemError) as caught:
        seen(flight.part(0, flight.row(-1.0)))
    assert caught.value.problems[0].code == "log-no-liftoff"


def test_a_fall_without_a_canopy_has_no_opening():
    flight = made_up(seed=8, opens=None, drag=0.002)
    found = seen(flight.log)
    assert found.event("canopy open") is None
    law = next(each for each in found.checks if each.name == "stopwatch law")
    assert law.agrees
    assert abs(found.apogee.value - flight.apogee) < 0.6


def test_a_height_that_no_time_allows_breaks_the_stopwatch_law():
    flight = made_up(seed=8, opens=None, drag=0.002)
    log = flight.log
    # The same flight by a clock that runs at half its speed.
    found = seen(replace(log, time_s=0.5 * log.time_s))
    assert any(each.agrees is False for each in found.checks)


def test_a_leak_into_the_bay_breaks_laws(flight):
    pressure = flight.log.pressure_pa.copy()
    first = flight.row(2.0)
    pressure[first:] += np.minimum(4.0 * np.arange(len(pressure) - first), 400.0)
    found = seen(flight.with_pressure(pressure))
    assert any(each.agrees is False for each in found.checks)


def test_a_pad_whose_pressure_moved_widens_the_top(flight):
    pressure = flight.log.pressure_pa.copy()
    pressure[flight.row(-4.0) : flight.row(0.4)] += 300.0
    found = seen(flight.with_pressure(pressure))
    check = next(each for each in found.checks if each.name == "rest on the pad")
    assert check.agrees is False
    assert found.apogee.sd > 15.0


def test_a_log_of_heights_does_as_well(flight):
    ratio = flight.log.pressure_pa / np.median(flight.log.pressure_pa[:300])
    height = np.round((1.0 - ratio ** (1.0 / 5.2558797)) * WARM / 0.0065, 1)
    log = replace(flight.log, pressure_pa=None, height_m=height)
    found = seen(log, assumed_instrument(log))
    assert abs(found.apogee.value - flight.apogee) < 0.6
    assert found.assumed


def test_one_reading_a_second_says_less_but_nothing_wrong(flight):
    log = flight.part(0, len(flight.time))
    thin = replace(
        log, time_s=log.time_s[::50], pressure_pa=log.pressure_pa[::50], line=log.line[::50]
    )
    found = seen(thin)
    assert abs(off(found, flight)) < 4.0
    assert "water out" in {each.kind for each in found.missing}


def test_the_same_log_gives_the_same_flight(flight):
    one, other = seen(flight.log), seen(flight.log)
    np.testing.assert_array_equal(one.curve.height, other.curve.height)
    assert one.events == other.events


def test_two_logs_are_held_against_each_other(flight):
    one = seen(flight.log)
    assert best_of([one]) is one
    twin = replace(seen(made_up(seed=21).log), log="other.csv")
    agree = best_of([one, twin])
    assert [each.agrees for each in agree.checks if "agree" in each.name] == [True]
    higher = replace(seen(made_up(seed=22, push=210.0).log), log="other.csv")
    apart = best_of([one, higher])
    assert [each.agrees for each in apart.checks if "agree" in each.name] == [False]
    with pytest.raises(ValueError, match="no reconstruction"):
        best_of([])
