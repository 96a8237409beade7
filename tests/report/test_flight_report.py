"""The page of a recorded flight: right with any of its parts, true to its inputs, and quiet."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import fields, replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from report import flown, synthetic
from report.test_page import read

from loftwright.debrief.causes.results import Cause
from loftwright.debrief.results import FlightEvent, LawCheck, Missing
from loftwright.documents.flight_record import FlightRecord, Saw
from loftwright.report.cautions import CAUTIONS
from loftwright.report.estimates import hundred, plus_minus
from loftwright.report.flight_answer import flight_answer
from loftwright.report.flight_lanes import reported_strips
from loftwright.report.flight_report import FlightReport, flight_page
from loftwright.report.flight_rows import event_rows, score_rows
from loftwright.report.quantities import unit_of

FULL = flown.report()
EMPTY = FlightReport(reconstruction=flown.reconstruction())
PARTS = [each.name for each in fields(FlightReport) if each.name not in ("reconstruction", "units")]


def with_parts(names: frozenset[str]) -> FlightReport:
    return replace(EMPTY, **{name: getattr(FULL, name) for name in names})


def plain(words: str) -> str:
    return " ".join(words.split())


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    nasty = synthetic.NASTY
    told = flown.causes()
    worst = replace(told.causes[0], says=nasty, parts=(nasty,))
    return {
        "full": flight_page(FULL),
        "empty": flight_page(EMPTY),
        "bare": flight_page(FlightReport(reconstruction=flown.bare())),
        "nasty": flight_page(
            flown.report(
                reconstruction=flown.reconstruction(
                    log=nasty, events=(FlightEvent(nasty, flown.around(1.0, 0.1), nasty),),
                    checks=(LawCheck(nasty, False, nasty),), missing=(Missing(nasty, nasty),),
                    notes=(nasty,), assumed=(nasty,),
                ),
                record=FlightRecord(
                    name=nasty, note=nasty, asked=nasty, saw=(Saw(what="apogee", by=nasty),)
                ),
                causes=replace(told, causes=(worst, *told.causes[1:]), evidence=(nasty,)),
                notes=(nasty,),
            )
        ),
    }  # fmt: skip


KINDS = ["full", "empty", "bare", "nasty"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_is_whole_and_fetches_nothing(pages: dict[str, str], kind: str) -> None:
    reader = read(pages[kind])
    assert not reader.open
    assert [level for level, _ in reader.headings].count(1) == 1
    assert all(caution in reader.text for caution in CAUTIONS)
    fetched = [
        value for _, attrs in reader.tags for name, value in attrs.items()
        if name in ("src", "href") and not (value or "").startswith(("data:", "#"))
    ]  # fmt: skip
    assert not fetched
    assert "http" not in reader.text
    assert not {"nan", "none", "inf"} & set(reader.text.lower().split())
    assert "<b>&" not in pages[kind]


@pytest.mark.parametrize("kind", KINDS)
def test_every_drawing_is_well_formed_named_and_described(pages: dict[str, str], kind: str) -> None:
    drawings = re.findall(r"<svg.*?</svg>", pages[kind], re.DOTALL)
    strips = [each for each in drawings if 'class="strip' in each]
    assert strips
    assert len(strips) % 3 == 0
    for drawing in drawings:
        root = ET.fromstring(drawing)
        assert root.find("{*}title").text
        assert root.find("{*}desc").text
        assert "nan" not in drawing


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.frozensets(st.sampled_from(PARTS)), st.booleans(), st.sampled_from(["metric", "us"]))
def test_any_parts_make_a_whole_page(names: frozenset[str], bare: bool, units: str) -> None:
    found = flown.bare() if bare else flown.reconstruction()
    page = flight_page(replace(with_parts(names), reconstruction=found, units=units))
    reader = read(page)
    assert not reader.open
    assert not {"nan", "none", "inf"} & set(reader.text.lower().split())
    # No heading stands over nothing.
    for section in re.findall(r"<section[^>]*>(.*?)</section>", page, re.DOTALL):
        rest = re.sub(r"<h2>.*?</h2>", "", section, flags=re.DOTALL)
        assert re.sub(r"<[^>]+>", "", rest).strip()
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_the_answer_stands_before_everything(pages: dict[str, str]) -> None:
    text = read(pages["full"]).text
    order = [
        "Does the glider leave cleanly?", "Invented for the tests.", "did not come free.",
        "It went 119.4",
        "this record cannot tell which", "What next?", "What happened when",
        "Forecast and record", "Before you pump", "Where this comes from",
    ]  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_figures_shown_are_those_of_the_inputs(pages: dict[str, str]) -> None:
    text = read(pages["full"]).text
    found = FULL.reconstruction
    for value, kind in (
        (found.apogee, "height"), (found.apogee_time, "time"), (found.max_climb, "speed"),
        (found.descents[0].rate_m_s, "speed"),
    ):  # fmt: skip
        assert plain(plus_minus(value.value, value.sd, kind, "us")) in text
    for each in FULL.causes.causes[: FULL.causes.in_set]:
        assert plain(hundred(each.probability)) in text
    for file in FULL.used:
        assert file.sha256 in text


@given(
    st.floats(-1e4, 1e4), st.floats(1e-4, 1e3),
    st.sampled_from(["height", "speed", "time", "angle"]), st.sampled_from(["metric", "us"]),
)  # fmt: skip
def test_a_value_is_rounded_within_what_is_known(
    value: float, sd: float, kind: str, system: str
) -> None:
    said = plus_minus(value, sd, kind, system).replace("−", "-").replace("\u00a0", " ")
    number, spread = re.match(r"(-?[\d.]+) ± ([\d.]+)", said).groups()
    unit = unit_of(kind, system)
    # Half a digit of the last place, of a standard deviation that has at least one digit.
    assert abs(float(number) - value / unit.size) <= 0.251 * (sd / unit.size)
    assert float(spread) == pytest.approx(sd / unit.size, rel=0.26)


def test_moments_outside_the_forecast_are_said_so() -> None:
    late = flown.reconstruction(
        events=(FlightEvent("canopy open", flown.around(4.5, 0.1), "the fall slows down"),),
        missing=(Missing("touchdown", "because the log ends in the air"),),
    )
    rows = event_rows(flown.report(reconstruction=late))
    assert rows[0].warns
    assert rows[0].inside == "later"
    assert rows[1].when == "not visible"
    assert rows[1].due
    events = [e for strip in reported_strips(flown.report(reconstruction=late))[:1]
              for e in strip.events]  # fmt: skip
    assert "touchdown due, not visible" in [each.words for each in events]


def test_a_score_row_holds_forecast_and_record_in_one_unit() -> None:
    inside, outside = score_rows(flown.report(units="metric"))
    assert (inside.low, inside.median, inside.high) == ("33.0", "37.1", "41.2")
    assert inside.measured == "36.4\u00a0±\u00a00.4\u00a0m"
    assert (inside.inside, inside.warns) == ("yes", False)
    assert (outside.inside, outside.warns) == ("above", True)
    assert outside.error == "−0.320"


def test_one_cause_alone_is_named_most_likely() -> None:
    told = flown.causes()
    first = replace(told.causes[0], alike=None, probability=0.91, low=0.85, high=0.95)
    alone = replace(told, causes=(first, *told.causes[2:]), in_set=1, tellings=())
    lead = flight_answer(flown.report(causes=alone)).lead
    assert "Most likely: the latch opened late (91\u00a0%)." in lead


def test_a_flight_that_no_cause_makes_says_so_first() -> None:
    told = replace(flown.causes(), fits=False, fits_says="None of the causes makes this record.")
    answer = flight_answer(flown.report(causes=told))
    assert answer.lead.endswith("None of the causes makes this record.")
    assert next(each for each in answer.verdicts if each.question == "Why?").warn


def test_nothing_failed_is_no_blame() -> None:
    nothing = Cause((), (), "Nothing failed.", 0.9, 0.97, 0.95, 0.98)
    told = replace(flown.causes(), causes=(nothing,), in_set=1, tellings=())
    lead = flight_answer(flown.report(causes=told)).lead
    assert "Most likely nothing failed (97\u00a0%)." in lead
    assert "Why?" not in [
        each.question for each in flight_answer(flown.report(causes=told)).verdicts
    ]


def test_a_broken_law_is_a_warning_in_the_answer() -> None:
    law = LawCheck("stopwatch law", False, "It fell faster than anything falls.")
    answer = flight_answer(replace(EMPTY, reconstruction=flown.reconstruction(checks=(law,))))
    trust = next(e for e in answer.verdicts if e.question == "Can the record be trusted?")
    assert trust.warn
    assert law.says in trust.sentences


def test_what_the_score_says_of_the_forecast_stands_in_the_answer(pages: dict[str, str]) -> None:
    assert flown.score().says in read(pages["full"]).text
