"""A scored forecast in words: units of the person, no more than few flights show."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np
import pytest

from loftwright.debrief.scoring.measured_figures import FIGURES, estimate
from loftwright.debrief.scoring.results import ForecastScore, ModelBias
from loftwright.debrief.scoring.score import score_figure
from loftwright.report.score_words import (
    BIAS_HEADS,
    SCORE_HEADS,
    bias_notes,
    bias_rows,
    figure_kind,
    score_lead,
    score_notes,
    score_rows,
)

SAMPLES = np.linspace(70.0, 90.0, 201)


def plain(words):
    return words.replace("\u00a0", " ").replace("\u202f", " ")


def score(measured=82.0, missing=()):
    return ForecastScore(
        flight="one",
        made="2026-05-02",
        before_flight=True,
        figures=(
            score_figure("apogee_m", SAMPLES, estimate(measured, 0.5)),
            score_figure("max_climb_m_s", SAMPLES / 2.0, estimate(41.0, 0.4)),
        ),
        missing=missing,
        says="Two figures.",
    )


@pytest.mark.parametrize(
    ("system", "words"),
    [
        ("metric", "top out at 71.0 to 89.0 m, nine times in ten; it topped out at 82.0 m, inside"),
        ("us", "top out at 233 to 292 ft, nine times in ten; it topped out at 269 ft, inside"),
    ],
)
def test_the_apogee_comes_first(system, words):
    assert words in plain(score_lead(score(), system))
    assert plain(score_lead(score(), system)).endswith("Two figures.")


def test_above_and_below_are_told():
    assert "above that" in score_lead(score(95.0), "metric")
    assert "below that" in score_lead(score(60.0), "metric")


def test_rows_are_in_the_persons_units():
    metric, feet = (score_rows(score(95.0), system) for system in ("metric", "us"))
    assert all(len(row) == len(SCORE_HEADS) for row in (*metric, *feet))
    assert metric[0][:4] == ("apogee", "m", "71.0 to 89.0", "95.0 ± 0.50")
    assert metric[0][4].startswith("−15 ± ")
    assert metric[0][-1] == "outside"
    assert feet[0][:4] == ("apogee", "ft", "233 to 292", "312 ± 1.6")
    assert feet[1][1] == "ft/s"
    assert metric[1][-1] == ""


def test_notes_tell_what_is_outside_and_what_is_missing():
    notes = list(score_notes(score(95.0, ("landing time: not visible in this record",))))
    assert notes[0].startswith("Apogee: the record lies above the range")
    assert notes[1] == "Landing time: not visible in this record."


def test_every_figure_has_a_kind():
    kinds = {name: figure_kind(name) for name in FIGURES}
    assert kinds["canopy_rate_m_s"] == "speed"
    assert kinds["touchdown_payload_east_m"] == "distance"
    assert kinds["time_aloft_s"] == "time"


# ---------------------------------------------------------------- over a campaign


def bias(flights, low, high, figure="apogee_m"):
    return ModelBias(
        figure=figure,
        flights=flights,
        coverage_90=1.0,
        coverage_low=0.4,
        coverage_high=1.0,
        mean_error=3.048,
        mean_error_low=low,
        mean_error_high=high,
        mean_crps=1.524,
        sharpness=30.48,
        says="apogee: some words.",
    )


def test_an_interval_that_one_flight_does_not_give_is_left_out():
    (row,) = bias_rows([bias(1, -inf, inf)], "us")
    assert len(row) == len(BIAS_HEADS)
    assert row[4:] == ("+10", "–", "5.0", "100")
    (known,) = bias_rows([bias(4, -1.0, 7.0)], "metric")
    assert known[3].startswith("4 of 4 (at least 40)")
    assert known[5] == "−1.0 to +7.0"


def test_looking_at_many_figures_is_said():
    many = [bias(4, -1.0, 7.0), bias(4, 1.0, 7.0, "max_climb_m_s")]
    notes = list(bias_notes(many))
    assert notes[0] == "Apogee: some words."
    assert "up to 10 of 100 campaigns" in notes[-1]
    assert len(list(bias_notes([replace(many[0], flights=1)]))) == 1
