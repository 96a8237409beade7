"""Figures in words: units, digits, chances, drivers, sources."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import synthetic

from loftwright.flight.kernel import slots
from loftwright.report.answer import forecast_answer
from loftwright.report.drivers import driver_tables
from loftwright.report.facts import check_facts, warnings_of
from loftwright.report.figures_table import firing_rows, flight_rows
from loftwright.report.firing_answer import firing_answer, fit_rows, record_rows
from loftwright.report.landed import landed_table
from loftwright.report.quantities import amount, digits, span, stated, unit_of
from loftwright.report.reading import chance_words, compass
from loftwright.report.sources import law_sources, references
from loftwright.report.words import FIGURES, figure, input_words


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (62.14, "62.1"), (0.08821, "0.0882"), (1234.5, "1234"), (12345.6, "12\u202f346"),
        (0.0, "0"), (-3.04, "−3.04"), (9.996, "10.0"), (99.96, "100"), (math.nan, "–"),
        (math.inf, "–"), (1e-12, "1.00e−12"),
    ],
)  # fmt: skip
def test_three_digits(value: float, shown: str) -> None:
    assert digits(value) == shown


@given(st.floats(1e-3, 1e6))
def test_digits_are_right_to_half_a_step(value: float) -> None:
    back = float(digits(value).replace("\u202f", ""))
    assert back == pytest.approx(value, rel=5.1e-3)


@pytest.mark.parametrize(
    ("si", "kind", "system", "shown"),
    [
        # NIST SP 811 (2008), appendix B.8: 1 ft = 0.3048 m, 1 psi = 6894.757 Pa, 1 lbf =
        # 4.448222 N, 1 ft lbf = 1.355818 J, t/degF = 1.8 T/K - 459.67.
        (0.3048, "height", "us", "1.00 ft"),
        (62.0, "height", "metric", "62.0 m"),
        (6894.757 * 60, "gauge_pressure", "us", "60.0 psi"),
        (4.448222, "force", "us", "1.00 lbf"),
        (1.355818, "energy", "us", "1.00 ft lbf"),
        (288.15, "temperature", "us", "59.0 °F"),
        (288.15, "temperature", "metric", "15.0 °C"),
        (0.44704 * 6, "wind", "us", "6.00 mph"),
        (2.8e5, "absolute_pressure", "metric", "2.80 bar abs"),
        (98.0665, "acceleration", "us", "10.0 × gravity"),
        (10.0, "impulse", "metric", "10.0 N s"),
        (math.pi, "angle", "us", "180°"),
        (0.5, "number", "metric", "0.500"),
    ],
)
def test_amounts_in_the_persons_units(si: float, kind: str, system: str, shown: str) -> None:
    assert amount(si, kind, system).replace("\u00a0", " ") == shown


def test_amounts_of_nothing() -> None:
    assert amount(None, "height", "metric") == amount(math.nan, "height", "us") == "–"
    with pytest.raises(KeyError):
        unit_of("colour", "metric")


def test_ranges_and_written_values() -> None:
    assert span(55.2, 69.4, "height", "metric") == "55 to 69\u00a0m"
    assert span(15.23, 15.24, "speed", "metric") == "15\u00a0m/s"
    assert stated(0.038, "small_mass", "metric") == "38\u00a0g"
    assert stated(100.0, "distance", "metric") == "100\u00a0m"


@pytest.mark.parametrize(
    ("happened", "flights", "words"),
    [
        (0, 2000, "in none of 2000 flights"), (2000, 2000, "in all 2000 flights"),
        (60, 2000, "in 3 of 100 flights"), (3, 100, "in 3 of 100 flights"),
        (5050, 1_000_000, "in 5050 of 1000000 flights"),
        (1, 2000, "in 1 of 2000 flights"), (1999, 2000, "in 1999 of 2000 flights"),
    ],
)  # fmt: skip
def test_chances_in_words(happened: int, flights: int, words: str) -> None:
    assert chance_words(happened, flights) == words


@given(st.integers(1, 10_000), st.data())
def test_a_chance_is_never_rounded_to_never_or_always(flights: int, data: st.DataObject) -> None:
    happened = data.draw(st.integers(0, flights))
    words = chance_words(happened, flights)
    assert ("none" in words) == (happened == 0)
    assert ("all" in words) == (happened == flights)
    assert " 0 of" not in words
    assert "100 of 100" not in words


@pytest.mark.parametrize(
    ("east", "north", "words"),
    [
        (0, 1, "north"),
        (1, 1, "north-east"),
        (-1, 0, "west"),
        (-0.1, 5, "north"),
        (1, -1, "south-east"),
    ],
)
def test_points_of_the_compass(east: float, north: float, words: str) -> None:
    assert compass(east, north) == words


def test_the_answer_of_an_ensemble() -> None:
    ensemble = synthetic.ensemble()
    answer = forecast_answer(synthetic.campaign(), ensemble.nominal, ensemble)
    reaches = [
        np.hypot(*(ensemble.columns[f"touchdown_{body}_{way}_m"] for way in ("east", "north")))
        for body in ("vehicle", "payload")
    ]
    far = np.quantile(np.max(reaches, axis=0), 0.9)
    most = f"everything down within {far:.0f}\u00a0m of the pad nine times in ten"
    assert most in answer.lead
    assert [key.name for key in answer.keys] == [
        "greatest height", "climb at release", "vehicle lands within", "payload lands within",
        "vehicle at the ground",
    ]  # fmt: skip
    assert answer.keys[1].spread == "hardly varies"
    assert any(
        "Wren is let go in all 2000 flights" in s for v in answer.verdicts for s in v.sentences
    )


def test_the_answer_of_one_flight_has_no_chances() -> None:
    answer = forecast_answer(synthetic.campaign("us"), synthetic.flight(), None)
    assert answer.chances == ()
    assert answer.lead == "About 138\u00a0ft up, 2.7\u00a0s after liftoff."
    assert {key.spread for key in answer.keys} == {"one flight, as written"}


def test_a_fast_return_is_counted() -> None:
    ensemble = synthetic.ensemble(100)
    speed = ensemble.columns["touchdown_vehicle_speed_m_s"].copy()
    speed[:4] = 28.0
    changed = replace(ensemble, columns=ensemble.columns | {"touchdown_vehicle_speed_m_s": speed})
    chances = forecast_answer(synthetic.campaign(), ensemble.nominal, changed).chances
    # Wilson's interval of 4 in 100.
    assert (
        "Tern 3 comes down faster than 15\u00a0m/s in 4 of 100 flights (1.6 to 9.8 in 100)."
        in chances
    )


def test_a_release_that_fails_sometimes_is_counted() -> None:
    ensemble = synthetic.ensemble(100)
    column = ensemble.columns["release_time_s"].copy()
    column[:7] = math.nan
    changed = replace(ensemble, columns=ensemble.columns | {"release_time_s": column})
    verdicts = forecast_answer(synthetic.campaign(), ensemble.nominal, changed).verdicts
    (said,) = [each.sentences for each in verdicts if each.question == "Does it let go cleanly?"]
    assert said[0].startswith("Mostly. Wren is let go in 93 of 100 flights (86 to 96.6 in 100)")


def test_flights_that_end_otherwise_are_counted_first() -> None:
    ensemble = synthetic.ensemble(100)
    outcome = ensemble.columns["outcome"].copy()
    outcome[:3] = slots.STAYED
    changed = replace(ensemble, columns=ensemble.columns | {"outcome": outcome})
    chances = forecast_answer(synthetic.campaign(), ensemble.nominal, changed).chances
    assert chances[0].startswith("In 3 of 100 flights (1.0 to 8.5 in 100): did not leave")
    usual = forecast_answer(synthetic.campaign(), ensemble.nominal, ensemble).chances
    assert usual == chances[1:]


def test_an_unusual_ending_is_said_first() -> None:
    flight = replace(synthetic.flight(), outcome="Was lost from sight.")
    assert forecast_answer(synthetic.campaign(), flight, None).sentences[0] == flight.outcome


def test_drivers_come_largest_first_and_sum_to_one() -> None:
    ensemble = synthetic.ensemble(50)
    tables = driver_tables(ensemble.drivers, synthetic.campaign())
    assert tables[0].figure == "greatest height"
    for table in tables:
        shares = [row.share for row in table.rows if not row.rest]
        assert shares == sorted(shares, reverse=True)
        assert sum(row.share for row in table.rows) == pytest.approx(1.0, abs=0.02)


def test_a_driver_says_how_well_its_input_is_known() -> None:
    tables = driver_tables(
        {"apogee_m": {"vehicle.fill.gauge_pressure": 0.7, "site.air.temperature": 0.3}},
        synthetic.campaign("us"),
    )
    known = [row.known.replace("\u00a0", " ") for row in tables[0].rows]
    assert known == ["69.6 psi ± 2 psi", "62.6 °F ± 1.8 °F"]


def test_tiny_drivers_and_unasked_figures_are_left_out() -> None:
    assert driver_tables({"apogee_m": {"site.air.humidity": 0.001}}, synthetic.campaign()) == []
    assert driver_tables({"burnout_s": {"site.wind.speed": 1.0}}, synthetic.campaign()) == []


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("vehicle.fill.water_volume", "water filled in"),
        ("vehicle.vessel.1.volume", "vessel 2: volume"),
        ("vehicle.fins.0.cant", "fins 1: cant"),
        ("vehicle.body.roughness", "body: roughness"),
        ("something.new_thing", "something new thing"),
    ],
)
def test_inputs_in_words(path: str, words: str) -> None:
    assert input_words(path) == words


@pytest.mark.parametrize(
    ("key", "words", "kind"),
    [
        ("apogee_m", "greatest height", "height"),
        ("touchdown_payload_energy_j", "payload: energy at the ground", "energy"),
        ("touchdown_vehicle_time_s", "vehicle: touchdown", "time"),
        ("strap_load_n", "strap load", "force"),
        ("fill_gauge_pressure_pa", "fill gauge pressure", "gauge_pressure"),
        ("breakthrough_volume_m3", "breakthrough volume", "volume"),
        ("tumbles", "tumbles", "number"),
    ],
)
def test_figures_in_words(key: str, words: str, kind: str) -> None:
    assert (figure(key).words, figure(key).kind) == (words, kind)


def test_every_known_figure_has_a_unit() -> None:
    for system in ("metric", "us"):
        for known in FIGURES.values():
            assert unit_of(known.kind, system).size > 0


def test_rows_of_a_flight_hold_every_figure() -> None:
    ensemble = synthetic.ensemble(50)
    rows = flight_rows(ensemble.nominal, ensemble, "metric")
    assert len(rows) == len(ensemble.nominal.figures) + 2 * 5
    assert all(row.low and row.median and row.high for row in rows)
    height = rows[0]
    assert (height.words, height.unit, height.nominal) == ("greatest height", "m", "42.1")


def test_rows_of_a_figure_that_did_not_occur() -> None:
    rows = flight_rows(synthetic.flight(with_payload=False), None, "metric")
    assert {row.nominal for row in rows if "leaves" in row.words} == {"–"}


def test_rows_and_words_of_a_firing() -> None:
    assert len(firing_rows(synthetic.firing(), "us")) == 7
    answer = firing_answer(synthetic.firing(), synthetic.records(), "metric")
    impulse = "71.0\u00a0N s"
    assert answer.lead == f"3 records average {impulse}; the model, as written, says {impulse}."
    assert answer.sentences[-1] == "Measured is just as modelled."
    alone = firing_answer(synthetic.firing(), [], "metric")
    assert alone.lead == f"An impulse of {impulse}, with a peak of 380\u00a0N."
    rows = record_rows(synthetic.firing(), synthetic.records(), "metric")
    assert rows[0].difference == "−1.4\u00a0%"


def test_a_fit_answers_what_the_nozzle_loses() -> None:
    found = {
        "fitted": {
            "flow_coefficient": {"value": 0.818, "sd": 0.019},
            "velocity_coefficient": {"value": 0.742, "sd": 0.024},
        },
        "impulse_n_s": (66.0, 75.0),
    }
    answer = firing_answer(synthetic.firing(), synthetic.records(), "metric", found)
    plain = answer.lead.replace("\u00a0", " ")
    assert plain == "The nozzle passes 82 ± 2 % of the ideal flow, at 74 ± 2 % of the ideal speed."
    assert answer.sentences[0].startswith("3 records average")
    assert answer.sentences[-1].endswith("should give 66.0 to 75.0\u00a0N s.")


def test_a_fit_of_one_coefficient_leaves_the_lead_to_the_impulse() -> None:
    found = {"fitted": {"flow_coefficient": {"value": 0.818, "sd": 0.019}}}
    answer = firing_answer(synthetic.firing(), synthetic.records(), "metric", found)
    assert answer.lead.startswith("3 records average")


def test_fitted_coefficients_in_words() -> None:
    rows = fit_rows(
        {
            "fill_gauge_pressure_pa": {"value": 4.8e5, "sd": 1.2e4},
            "velocity_coefficient": {"value": 0.968, "sd": 0.0123},
            "vehicle.nozzle.flow_coefficient": {"value": 0.94, "sd": 0.01},
        },
        "metric",
    )
    assert [(r.words, r.value, r.sd) for r in rows] == [
        ("fill gauge pressure", "4.80\u00a0bar", "0.12\u00a0bar"),
        ("velocity coefficient", "0.968", "0.012"),
        ("flow losses of the nozzle", "0.940", "0.010"),
    ]


def test_the_landing_table_has_a_column_for_each_body() -> None:
    ensemble = synthetic.ensemble(200)
    table = landed_table(synthetic.campaign(), ensemble.nominal, ensemble)
    assert table.bodies == ("Tern 3", "Wren")
    assert all(len(cells) == 2 for _, cells in table.rows)
    single = landed_table(synthetic.campaign(), synthetic.flight(), None)
    assert single.rows[0][0] == "from the pad"


def test_facts_and_warnings_of_a_check() -> None:
    check = synthetic.check()
    words = {fact.words: fact.value for fact in check_facts(check, "metric")}
    assert words["balance from nose, full"] == "0.562\u00a0m"
    assert words["stability, empty"] == "1.5 calibres"
    far = {"pressure_test_distance_m": 30.0, "spectator_distance_m": None}
    kept = {fact.words: fact.value for fact in check_facts(check | far, "metric")}
    assert kept["keep away, pressure test"] == "30.0\u00a0m"
    assert "keep away, spectators" not in kept
    (warning,) = warnings_of(check)
    assert warning.where == "vehicle.toml, line 31, fins.0"
    assert warnings_of(None) == []
    assert check_facts({}, "us") == []


def test_facts_that_have_no_meaning_are_left_out() -> None:
    assert check_facts({"proof_margin": None, "dry_mass_kg": math.nan}, "metric") == []


DOCSTRING = """Return something.

References
----------
A. Author, *A Book* (1953), equations 4
and 9 (from memory).

[2] B. Other, Report 7.

Examples
--------
>>> 1
"""


def test_references_are_read_from_a_docstring() -> None:
    assert references(DOCSTRING) == (
        "A. Author, A Book (1953), equations 4 and 9 (from memory).",
        "B. Other, Report 7.",
    )
    assert references("References: one line.\n") == ("one line.",)
    assert references("Nothing here.") == ()


def test_laws_cite_themselves() -> None:
    laws = ("atmosphere.speed_of_sound", "loftwright.physics.atmosphere.speed_of_sound", "no.such")
    short, long, missing = law_sources(laws)
    assert short.references == long.references
    assert "U.S. Standard Atmosphere, 1976" in short.references[0]
    assert (missing.law, missing.references) == ("no.such", ())
    assert law_sources(["bare"])[0].sentence == ""
