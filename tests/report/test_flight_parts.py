"""The parts of a flight's page: units in sentences, forecasts, clocks, stages, people."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import flown, synthetic

from loftwright.debrief.results import Missing
from loftwright.debrief.scoring.crps import rank
from loftwright.debrief.scoring.kept_forecast import read_kept_forecast
from loftwright.documents.flight_record import MOMENTS, FlightRecord, Saw
from loftwright.evidence.flight_log import FlightLog, Mark, read_flight_log
from loftwright.evidence.recorded_flight import read_recorded_flight
from loftwright.report.bodies import short_names
from loftwright.report.estimates import day_words, hundred
from loftwright.report.expectation import due, where
from loftwright.report.flight_assembly import flight_report
from loftwright.report.flight_lanes import reported_strips
from loftwright.report.flight_report import FlightReport, several_clocks
from loftwright.report.flight_terminal import print_flight_report
from loftwright.report.found_places import found_landings, found_rows
from loftwright.report.kept_expected import expected_of
from loftwright.report.log_stages import NO_RECORD, log_stays
from loftwright.report.people_rows import (
    DOES,
    forecast_and_not,
    not_happened,
    seen_sentences,
    sighted_rows,
)
from loftwright.report.said_units import in_units, sentence
from loftwright.report.told_moments import told_moments

EXAMPLE = Path(__file__).parents[2] / "examples" / "sedge-lift-flown"
FOOT = 0.3048


# ---------------------------------------------------------------- sentences


@given(st.integers(0, 99_999), st.sampled_from(["m", "m/s", "m/s²"]))
def test_metres_in_a_sentence_are_said_in_feet(tenths: int, unit: str) -> None:
    value = tenths / 10
    said = in_units(f"it reads {value:.1f} {unit} too high", "us").replace("\u202f", "")
    number = float(re.search(r"reads ([\d.]+)", said)[1])
    assert f"\u00a0{unit.replace('m', 'ft', 1)} too" in said
    assert number == pytest.approx(value / FOOT, rel=0.06, abs=0.05 / FOOT)


@pytest.mark.parametrize(
    "words",
    [
        "after 3 min of rest",
        "a 4 mm hole",
        "about 2 m² of cloth",
        "made 2026-05-08",
        "9.8 m/s^3",
    ],
)
def test_what_is_no_metre_stays(words: str) -> None:
    assert in_units(words, "us") == words


# degF = 1.8 degC + 32 (NIST SP 811, B.8).
def test_degrees_in_a_sentence_are_said_in_fahrenheit() -> None:
    words = "air of 15 ± 8 °C at the pad: heights go with it, 1 % for each 3 °C"
    said = in_units(words, "us").replace("\u00a0", " ")
    assert said == "air of 59 ± 14 °F at the pad: heights go with it, 1 % for each 5 °F"
    assert in_units(words, "metric") == words


def test_a_nought_has_no_sign_and_a_minus_is_one() -> None:
    assert in_units("the record ends at -0 m", "metric") == "the record ends at 0 m"
    assert in_units("off by -4.2 %", "metric") == "off by −4.2 %"
    assert sentence("nothing to see here", "us") == "Nothing to see here."
    assert sentence("", "us") == ""


def test_days_and_shares_are_said_as_people_say_them() -> None:
    assert day_words("2026-05-08T20:15:00+00:00") == "2026-05-08, 20:15 UTC"
    assert day_words("2026-05-08") == "2026-05-08"
    assert day_words("last spring") == "last spring"
    assert hundred(1.0).startswith("more than")
    assert hundred(0.0).startswith("less than")


# ---------------------------------------------------------------- forecasts


@given(st.floats(20.0, 55.0), st.floats(0.01, 4.0), st.integers(0, 2**20))
def test_inside_is_what_scores_call_inside(value: float, sd: float, seed: int) -> None:
    samples = np.random.default_rng(seed).normal(37.0, 2.5, 60)
    low, middle, high = np.percentile(samples, (5, 50, 95)).tolist()
    expected = replace(
        flown.expected(),
        statistics={"apogee_m": {"p05": low, "p50": middle, "p95": high}},
        samples={"apogee_m": samples},
    )
    place = rank(samples, value, sd)
    said = "below" if place < 0.05 else "above" if place > 0.95 else "inside"
    assert where(expected, "apogee_m", flown.around(value, sd)) == said
    assert where(expected, "touchdown_vehicle_time_s", flown.around(value, sd)) is None


def test_without_samples_the_error_of_the_record_counts_too() -> None:
    expected = flown.expected()  # apogee 33.0 to 41.2
    assert where(expected, "apogee_m", flown.around(42.0, 0.1)) == "above"
    assert where(expected, "apogee_m", flown.around(42.0, 1.0)) == "inside"
    assert where(expected, "apogee_m", flown.around(31.0, 0.1)) == "below"
    assert where(None, "apogee_m", flown.around(31.0, 0.1)) is None
    assert due(expected, "beep") is None


def test_a_kept_forecast_becomes_what_it_says() -> None:
    flight = read_recorded_flight(EXAMPLE, "2026-05-09-a")
    assert flight.forecast is not None
    kept = read_kept_forecast(flight.forecast)
    expected = expected_of(kept, True)
    for kind, (low, middle, high) in kept.events().items():
        if kind != "liftoff":
            assert due(expected, kind) == pytest.approx((low, middle, high))
    assert expected.places["vehicle"].shape == (kept.flights, 2)
    assert expected.band is not None
    assert set(expected.band.lanes) == {"height_m", "climb_m_s"}
    assert not any(np.isnan(column).any() for column in expected.samples.values())


# ---------------------------------------------------------------- clocks and people


def test_one_clock_alone_is_nothing_to_compare() -> None:
    known = flown.clocks()
    assert several_clocks(flown.report(clocks=known))
    alone = replace(known, clocks={"board.csv": known.clocks["board.csv"]}, untied=())
    assert not several_clocks(flown.report(clocks=alone))
    assert not several_clocks(flown.report(clocks=None))


def test_people_tell_what_the_log_does_not() -> None:
    lost = flown.reconstruction(
        events=tuple(e for e in flown.reconstruction().events if e.kind != "touchdown")
    )
    told = {each.kind: each for each in told_moments(flown.clocks(), lost)}
    # The log has the apogee; of the release it knows the command alone.
    assert set(told) == {"release", "touchdown"}
    assert told["touchdown"].how == "told by film"


def test_what_people_tell_takes_the_place_of_not_visible() -> None:
    lost = flown.reconstruction(
        events=(), missing=(Missing("touchdown", "the log ends in the air"),)
    )
    report = flown.report(reconstruction=lost, told=told_moments(flown.clocks(), lost))
    words = [each.words for each in reported_strips(report)[0].events]
    assert "touchdown, seen" in words
    assert not any("not visible" in each for each in words)


@given(
    st.sampled_from(MOMENTS), st.sampled_from(["yes", "no"]),
    st.sampled_from(["seen", "heard", "felt"]), st.floats(0.5, 1.0),
)  # fmt: skip
def test_everything_that_can_be_seen_has_words(
    what: str, happened: str, how: str, sure: float
) -> None:
    assert what in DOES
    saw = Saw(what=what, happened=happened, how=how, sure=flown.Q(sure, 0.0), by="Ana")
    report = flown.report(record=FlightRecord(name="x", saw=(saw,)))
    (said,) = seen_sentences(report)
    assert said.split()[:2] == ["Ana", {"seen": "saw", "heard": "heard", "felt": "felt"}[how]]
    assert said.endswith(".")
    assert len(list(not_happened(report))) == (happened == "no" and sure >= 0.9)


def test_what_was_forecast_and_did_not_happen_is_held_against_it() -> None:
    saw = Saw(what="release", of="payload", happened="no", sure=flown.Q(0.99, 0.0))
    report = flown.report(record=FlightRecord(name="x", saw=(saw,)))
    assert len(list(forecast_and_not(report))) == 1
    marks = [each for each in reported_strips(report)[0].events if "did not happen" in each.words]
    assert [each.role for each in marks] == ["warning"]
    assert (marks[0].early, marks[0].late) == (1.5, 1.75)
    assert not list(forecast_and_not(replace(report, expected=None)))


def test_a_sighting_without_a_place_says_why() -> None:
    placed, alone = sighted_rows(flown.report(units="metric"))
    assert placed[1] == "35.1\u00a0±\u00a01.4\u00a0m"
    assert "east" in placed[2]
    assert "south" in placed[2]
    assert placed[3].startswith("0.80\u00a0m (up to 2.1")
    assert alone[1:3] == ("–", "–")
    assert alone[4] == "One station alone tells no place."


# ---------------------------------------------------------------- stages and places


def log(time: list[float], marks: list[tuple[float, str]]) -> FlightLog:
    clock = np.array(time)
    return FlightLog(
        name="board.csv", time_s=clock, pressure_pa=None, height_m=None, push_m_s2=None,
        battery_v=None, line=np.arange(len(clock), dtype=np.int32),
        marks=tuple(Mark(at, 1, words) for at, words in marks), columns=(), notes=(),
        warnings=(), sha256="",
    )  # fmt: skip


def test_a_hole_in_the_log_is_nobodys_stage() -> None:
    time = [*np.arange(10.0, 12.0, 0.02), *np.arange(13.0, 15.0, 0.02)]
    stays = log_stays(log(time, [(10.0, "pad"), (11.0, "climbing"), (13.0, "pad")]), 11.0)
    assert [each.stage for each in stays] == ["pad", "climbing", NO_RECORD, "pad"]
    assert [each.end for each in stays[:-1]] == [each.start for each in stays[1:]]
    assert stays[0].start == pytest.approx(-1.0)
    hole = stays[2]
    assert (hole.start, hole.end) == pytest.approx((0.98, 2.0))


def test_a_log_without_stages_has_none() -> None:
    assert log_stays(log([0.0, 1.0], []), 0.0) == ()


@given(st.lists(st.floats(0.0, 20.0), min_size=2, max_size=40, unique=True))
def test_stays_follow_one_another_whatever_the_log(time: list[float]) -> None:
    clock = sorted(time)
    stays = log_stays(log(clock, [(clock[0], "a"), (clock[len(clock) // 2], "b")]), 0.0)
    for one, other in pairwise(stays):
        assert one.end == pytest.approx(other.start)
    assert all(each.end >= each.start for each in stays)


def test_what_was_found_stands_over_its_own_forecast() -> None:
    report = flown.report(units="metric")
    (landing,) = found_landings(report)  # of the glider only the distance is known
    assert landing.body == "vehicle"
    assert landing.found == pytest.approx((40.4, 25.9))
    assert len(landing.points) == 300
    rows = found_rows(report)
    assert [row[3] for row in rows] == ["paced", "paced, without a direction"]
    assert rows[0][2] == "48\u00a0±\u00a03\u00a0m"
    assert not found_landings(FlightReport(reconstruction=flown.bare()))


# ---------------------------------------------------------------- all of it


def test_a_kept_flight_is_put_together() -> None:
    kept = read_recorded_flight(EXAMPLE, "2026-05-09-b")
    read = read_flight_log(kept.logs[0].path, kept.logs[0].options)
    report = flight_report(kept, read, flown.reconstruction(log="board.csv"))
    assert report.units == "us"
    assert NO_RECORD in [each.stage for each in report.stays["board"]]
    assert [each.name for each in report.used] == ["board.csv"]
    assert report.used[0].sha256 == kept.record.evidence[0].sha256
    assert any("stopwatch" in each.name for each in report.reconstruction.checks)
    assert report.expected is None
    assert [each.of for each in report.landed] == ["vehicle"]


def test_bodies_are_called_as_the_campaign_calls_them() -> None:
    campaign = synthetic.campaign("us")
    saw = Saw(what="touchdown", by="Ana")
    record = FlightRecord(name="x", saw=(saw,))
    (named,) = seen_sentences(flown.report(campaign=campaign, record=record))
    (bare,) = seen_sentences(flown.report(campaign=None, record=record))
    assert short_names(campaign).get("vehicle", "the vehicle") in named
    assert "the vehicle" in bare


def test_a_terminal_says_what_the_page_says() -> None:
    out = io.StringIO()
    print_flight_report(flown.report(bias=flown.bias()), out)
    text = " ".join(out.getvalue().split())
    for words in (
        "First lift", "Invented for the tests.", "Either", "Would tell 1 and 2 apart",
        "Left out of the log", "Taken as given", "The wind was not measured.",
        "The model over this campaign", "Sightings and clocks", "Pressurised bottles burst",
    ):  # fmt: skip
        assert words in text
    bare = io.StringIO()
    print_flight_report(FlightReport(reconstruction=flown.bare()), bare)
    assert "How high it went is not visible in this record." in " ".join(bare.getvalue().split())
