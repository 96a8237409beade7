"""From a flight's record to tellings: whose clock, how sure, and the way of a sound."""

from __future__ import annotations

from math import hypot, sqrt

import pytest
from debrief.made_up_records import reconstruction, record

from loftwright.debrief.clocks.clocks import clocks_of, moment_of, tellings_of
from loftwright.debrief.clocks.stopwatch_checks import stopwatch_checks
from loftwright.documents.flight_record import (
    Conditions,
    FlightEvidence,
    Saw,
    Sighting,
    Station,
    Stopwatch,
)
from loftwright.units import Quantity


def file(name, kind="film", clock=None):
    return FlightEvidence(file=name, kind=kind, sha256="", size=1, clock=clock)


def of(record, clock):
    return [each for each in tellings_of(record, [reconstruction()]) if each.clock == clock]


def test_a_log_tells_its_events_by_its_own_clock():
    told = {each.event: each for each in of(record(), "board.csv")}
    assert told["liftoff"].time == 12.0
    assert told["apogee"].time == 16.0
    assert told["apogee"].sd == 0.1
    assert told["release"].of == "payload"


def test_files_may_share_a_clock():
    shared = record(
        evidence=(file("board.csv", "log", "phone"), file("a.mp4", clock="phone")),
        saw=(Saw(what="touchdown", at=Quantity(36.0), clock="phone"),),
    )
    told = of(shared, "phone")
    assert len(told) == 7
    assert told[-1].sd == 0.02  # found in a file, not pressed


def test_everybody_has_a_watch_of_their_own():
    seen = [
        Saw(what="apogee", at=Quantity(4.0), by="Ana"),
        Saw(what="apogee", at=Quantity(64.0, 0.3), by="Ben"),
        Saw(what="apogee", at=Quantity(9.0)),
        Saw(what="canopy open", happened="no", at=Quantity(9.0)),
        Saw(what="touchdown"),
    ]
    told = list(tellings_of(record(saw=tuple(seen)), []))
    assert [each.clock for each in told] == ["watch of Ana", "watch of Ben", "watch"]
    assert [each.sd for each in told] == [0.15, 0.3, 0.15]
    assert told[0].sure == 0.9


def test_a_stopwatch_is_a_clock_that_begins_at_its_first_press():
    watch = Stopwatch(end="touchdown", time=Quantity(24.1), by="Ben")
    told = of(record(stopwatch=(watch,)), "stopwatch 1 of Ben")
    assert [(each.event, each.time, each.sd) for each in told] == [
        ("liftoff", 0.0, pytest.approx(0.15)),
        ("touchdown", 24.1, pytest.approx(0.15)),
    ]


def test_what_is_heard_was_made_before():
    station = Station(name="Gate", east=Quantity(-60.0, 1.0), north=Quantity(80.0, 1.0))
    sighting = Sighting(
        station="Gate", moment="apogee", elevation=Quantity(0.7), bearing=Quantity(1.0), by="Ana"
    )
    day = Conditions(temperature=Quantity(288.15, 1.0))
    heard = [Saw(what=what, how="heard", at=Quantity(10.0, 0.01), by="Ana") for what in
             ("liftoff", "apogee")]  # fmt: skip
    told = of(
        record(saw=tuple(heard), station=(station,), sighting=(sighting,), conditions=day),
        "watch of Ana",
    )
    # 100 m are 0.293864 s at 15 degC; the top is 80 m up.
    assert 10.0 - told[0].time == pytest.approx(0.293864, abs=1e-5)
    assert 10.0 - told[1].time == pytest.approx(0.293864 * hypot(100.0, 80.0) / 100.0, abs=2e-4)
    assert told[0].sd > hypot(0.01, 15.0 / 341.0) - 1e-3
    # Whose place nobody knows stood near the pad.
    unknown = of(record(saw=(Saw(what="beep", how="heard", at=Quantity(1.0)),)), "watch")
    assert 1.0 - unknown[0].time == pytest.approx(20.0 / 340.3, rel=1e-3)


def test_moments_have_one_name():
    assert moment_of("release", "vehicle") == moment_of("release", "payload")
    assert moment_of("liftoff", "payload2") == ("liftoff", "vehicle")
    assert moment_of("touchdown", "payload") != moment_of("touchdown", "vehicle")


def test_all_of_a_record_on_one_clock():
    found = clocks_of(
        record(
            evidence=(file("board.csv", "log"), file("a.mp4", clock="film")),
            saw=(
                Saw(what="liftoff", at=Quantity(103.0), clock="film"),
                Saw(what="touchdown", at=Quantity(127.01), clock="film"),
                Saw(what="touchdown", of="payload", at=Quantity(140.0), clock="film"),
            ),
            stopwatch=(Stopwatch(end="touchdown", time=Quantity(24.2), by="Ben"),),
        ),
        [reconstruction()],
    )
    assert found.reference == "board.csv"
    assert not found.untied
    payload = found.moments["touchdown", "payload"]
    assert payload.value == pytest.approx(37.0, abs=0.02)
    assert found.to_flight("film", 110.0).value == pytest.approx(7.0, abs=0.02)
    assert found.to_flight("board.csv", 15.0).value == pytest.approx(3.0, abs=1e-5)


# ---------------------------------------------------------------- stopwatches


@pytest.mark.parametrize(("time", "agrees"), [(24.3, True), (21.0, False)])
def test_a_stopped_time_beside_the_log(time, agrees):
    watch = Stopwatch(end="touchdown", time=Quantity(time), by="Ben")
    (check,) = stopwatch_checks(record(stopwatch=(watch,)), reconstruction())
    assert check.agrees is agrees
    assert check.name == "stopwatch 1 of Ben"
    assert f"{abs(time - 24.0):.2f} s {'longer' if time > 24.0 else 'shorter'}" in check.says
    leaves = 2.0 * hypot(0.15 * sqrt(2.0), 0.2)
    assert f"leave {leaves:.2f} s open" in check.says


def test_what_the_log_does_not_show_it_cannot_check():
    watch = Stopwatch(begin="release", end="touchdown", of="payload", time=Quantity(30.0))
    (check,) = stopwatch_checks(record(stopwatch=(watch,)), reconstruction())
    assert check.agrees is None
    assert "does not show touchdown of the payload" in check.says
