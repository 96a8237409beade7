"""A forecast held against a record: what is inside, how far it is off, what cannot be said."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, inf, radians, sqrt

import numpy as np
import pytest
from debrief.made_up_records import reconstruction, record
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from loftwright.debrief.clocks.clocks import clocks_of
from loftwright.debrief.scoring.bias import mean_interval, model_bias
from loftwright.debrief.scoring.kept_forecast import KeptForecast
from loftwright.debrief.scoring.landing_places import Pad
from loftwright.debrief.scoring.measured_figures import estimate, measured_figures
from loftwright.debrief.scoring.results import ForecastScore
from loftwright.debrief.scoring.score import made_before, score_figure, score_forecast
from loftwright.documents.flight_record import Landed, Saw, Stopwatch
from loftwright.rehearsal.chances import clopper_pearson
from loftwright.units import Quantity

PAD = Pad(radians(52.1), radians(4.9), 10.0)
FLIGHTS = 200


def kept(**samples) -> KeptForecast:
    stream = np.random.default_rng(1)
    own = {
        "apogee_m": stream.normal(80.0, 3.0, FLIGHTS),
        "apogee_time_s": stream.normal(4.0, 0.1, FLIGHTS),
        "release_time_s": stream.normal(3.4, 0.1, FLIGHTS),
        "touchdown_vehicle_east_m": stream.normal(30.0, 10.0, FLIGHTS),
        "touchdown_vehicle_north_m": stream.normal(0.0, 10.0, FLIGHTS),
    }
    return KeptForecast(
        made="2026-05-02T18:00:00",
        name="made up",
        model="made up",
        seed=1,
        flights=FLIGHTS,
        relative_tolerance=1e-6,
        documents={},
        decided_by="documents",
        scrubbed=0,
        pad=PAD,
        samples={**own, **samples},
        numerical={"apogee_m": 0.01},
        band_time=np.zeros(0),
        band={},
        sha256="",
    )


def scored(forecast=None, log=None, flown="2026-05-03", **parts) -> ForecastScore:
    return score_forecast(
        forecast or kept(), log or reconstruction(), record(**parts), flight="one", flown=flown
    )


def figure(score, name):
    return next(each for each in score.figures if each.figure == name)


def test_figures_that_both_show_are_scored():
    score = scored()
    assert [each.figure for each in score.figures] == [
        "apogee_m",
        "apogee_time_s",
        "release_time_s",
    ]
    assert figure(score, "apogee_m").inside_90
    late = figure(score, "release_time_s")
    assert not late.inside_90
    assert late.rank < 0.01
    assert "below the range" in late.says
    assert late.error == pytest.approx(0.9, abs=0.03)
    assert "and the forecast is high by" in late.says
    assert "2 lie inside" in score.says
    assert "one trial" in score.says


def test_what_one_of_them_does_not_show_is_told():
    nothing = np.full(FLIGHTS, np.nan)
    score = scored(kept(canopy_open_s=nothing, max_climb_m_s=np.full(FLIGHTS, 40.0)))
    assert any(each.startswith("opening of the canopy") for each in score.missing)
    bare = reconstruction(events={"liftoff": (0.0, 0.0)}, apogee=None)
    assert any("apogee: not visible" in each for each in scored(log=bare).missing)


def test_uncertainties_are_those_of_the_standard():
    apogee = figure(scored(), "apogee_m")
    assert apogee.u_input == apogee.forecast_sd
    assert apogee.u_num == pytest.approx(hypot(0.01, apogee.forecast_sd / sqrt(FLIGHTS)))
    assert apogee.u_data == apogee.measured_sd == 0.5
    assert apogee.u_val == pytest.approx(
        sqrt(apogee.u_num**2 + apogee.u_input**2 + apogee.u_data**2)
    )


def test_a_record_just_outside_may_be_inside_what_its_error_leaves_open():
    samples = np.linspace(79.0, 81.0, FLIGHTS)
    sharp, blunt = (score_figure("apogee_m", samples, estimate(81.5, sd)) for sd in (0.01, 2.0))
    assert not sharp.inside_90
    assert blunt.inside_90
    assert blunt.forecast_p95 < blunt.measured
    assert "inside" in blunt.says
    assert "and the two differ by no more" in blunt.says


def test_watches_tell_what_the_log_does_not():
    log = reconstruction(events={"liftoff": (0.0, 0.0), "apogee": (4.0, 0.1)})
    watches = (
        Stopwatch(end="touchdown", time=Quantity(23.0)),
        Stopwatch(end="apogee", time=Quantity(9.0, 0.1)),
        Stopwatch(begin="release", end="touchdown", of="payload", time=Quantity(31.0, 0.4)),
    )
    found = measured_figures(log, record(stopwatch=watches), PAD)
    assert found["touchdown_vehicle_time_s"].value == 23.0
    assert found["touchdown_vehicle_time_s"].sd == pytest.approx(0.15 * sqrt(2.0))
    assert found["apogee_time_s"].value == 4.0  # the log counts
    assert found["time_aloft_s"].sd == 0.4


def test_what_a_film_tells_is_scored_on_the_one_clock():
    film = tuple(
        Saw(what=what, of=of, at=Quantity(time, 0.03), clock="film")
        for what, of, time in (
            ("liftoff", "vehicle", 50.0),
            ("touchdown", "vehicle", 74.0),
            ("touchdown", "payload", 90.0),
        )
    )
    seen = record(saw=film)
    forecast = kept(touchdown_payload_time_s=np.random.default_rng(2).normal(40.0, 2.0, FLIGHTS))
    clocks = clocks_of(seen, [reconstruction()])
    score = score_forecast(
        forecast, reconstruction(), seen, flight="one", flown=None, clocks=clocks
    )
    landing = figure(score, "touchdown_payload_time_s")
    assert landing.measured == pytest.approx(40.0, abs=0.02)
    assert landing.inside_90
    assert landing.measured_sd == pytest.approx(0.045, abs=0.02)


def test_heights_at_moments_take_the_moment_s_doubt_along():
    found = measured_figures(reconstruction(), record(), PAD)
    # 2.5 s into the flight it climbs at 14.7 m/s: 0.05 s of doubt are 0.74 m.
    assert found["release_height_m"].sd == pytest.approx(hypot(0.3, 0.05 * 14.715), rel=1e-3)
    assert found["release_climb_m_s"].value == pytest.approx(14.715, abs=0.01)


@given(st.floats(5.0, 200.0), st.floats(-3.0, 3.0))
def test_paced_landings_keep_their_uncertainty(distance, bearing):
    landed = Landed(distance=Quantity(distance, 2.0), bearing=Quantity(bearing, 0.1))
    found = measured_figures(reconstruction(), record(landed=(landed,)), PAD)
    east, north = (found[f"touchdown_vehicle_{way}_m"] for way in ("east", "north"))
    assert hypot(east.value, north.value) == pytest.approx(distance)
    # Along and across add up, whichever way the bearing points (0.1 rad bend little).
    assert east.sd**2 + north.sd**2 == pytest.approx(2.0**2 + (0.1 * distance) ** 2, rel=0.01)


def test_a_landing_without_a_direction_is_a_distance():
    landed = Landed(distance=Quantity(30.0))
    score = scored(landed=(landed,))
    assert figure(score, "touchdown_vehicle_distance_m").measured_sd == pytest.approx(1.5)


def test_a_landing_by_coordinates_is_east_and_north_of_the_pad():
    # A thousandth of a degree north at 52.1 degrees is 111.26 m; east, 68.5 m.
    landed = Landed(latitude=Quantity(radians(52.101)), longitude=Quantity(radians(4.901)))
    found = measured_figures(reconstruction(), record(landed=(landed,)), PAD)
    assert found["touchdown_vehicle_north_m"].value == pytest.approx(111.26, abs=0.05)
    assert found["touchdown_vehicle_east_m"].value == pytest.approx(68.50, abs=0.05)
    assert found["touchdown_vehicle_north_m"].sd == pytest.approx(5.0, rel=1e-3)


@pytest.mark.parametrize(
    ("made", "flown", "before"),
    [
        ("2026-05-02T18:00:00", "2026-05-03", True),
        ("2026-05-04T18:00:00", "2026-05-03", False),
        ("2026-05-03T09:00:00", "2026-05-03", None),
        ("2026-05-03T09:00:00", "2026-05-03 14:05", True),
        ("2026-05-03T15:00:00+02:00", "2026-05-03 14:05", False),
        ("2026-05-03T15:00:00+02:00", "2026-05-03T14:05:00+01:00", True),
        ("2026-05-03T15:00:00+02:00", None, None),
        ("2026-05-03T15:00:00+02:00", "in spring", None),
    ],
)
def test_whether_it_was_made_before(made, flown, before):
    assert made_before(made, flown) is before
    score = scored(replace(kept(), made=made), flown=flown)
    assert score.before_flight is (before is True)
    told = {True: "before the flight.", False: "after the flight", None: "cannot be told"}
    assert told[before] in score.says


# ---------------------------------------------------------------- over a campaign


def campaign(flights, offset=0.0, spread=3.0, seed=4):
    """Forecasts of apogees that are right but for an offset, of flights that scatter."""
    stream = np.random.default_rng(seed)
    found = []
    for _ in range(flights):
        mean = stream.uniform(50.0, 90.0)
        samples = stream.normal(mean + offset, 3.0, FLIGHTS)
        score = score_figure("apogee_m", samples, estimate(stream.normal(mean, spread), 0.2))
        found.append(
            ForecastScore(
                flight="", made="", before_flight=True, figures=(score,), missing=(), says=""
            )
        )
    return found


def test_a_biased_model_is_found_out():
    found = model_bias(campaign(12, offset=5.0))[0]
    assert found.mean_error_low > 0.0
    assert found.mean_error_low < 5.0 < found.mean_error_high
    assert "too high" in found.says


def test_what_the_record_may_be_wrong_by_in_all_flights_is_not_the_models():
    scores = [
        replace(each, figures=tuple(replace(figure, u_data=8.0) for figure in each.figures))
        for each in campaign(12, offset=5.0)
    ]
    found = model_bias(scores)[0]
    assert found.mean_error_low > 0.0
    assert "the model is" not in found.says
    assert "by no more than the record itself may be wrong" in found.says


def test_a_model_that_is_too_sure_is_found_out():
    found = model_bias(campaign(20, spread=12.0))[0]
    assert found.coverage_high < 0.9
    assert "too sure" in found.says


def test_few_flights_show_little():
    one = model_bias(campaign(1, offset=20.0))[0]
    assert (one.mean_error_low, one.mean_error_high) == (-inf, inf)
    assert "shows no bias" in one.says
    assert (one.coverage_low, one.coverage_high) == clopper_pearson(0, 1)


def test_bias_is_seldom_seen_where_there_is_none():
    seen = [model_bias(campaign(6, seed=seed))[0] for seed in range(100)]
    outside = [each for each in seen if each.mean_error_low > 0.0 or each.mean_error_high < 0.0]
    assert 1 <= len(outside) <= 12  # 1 in 20 of 100; more would be seen once in 700 times
    covered = np.mean([each.coverage_90 for each in seen])
    assert covered == pytest.approx(0.9, abs=0.03)


def test_forecasts_made_before_count_alone():
    scores = campaign(3)
    later = [replace(each, before_flight=False) for each in campaign(3, offset=50.0)]
    assert model_bias([*scores, *later]) == model_bias(scores)
    assert "No forecast of these was made before" in model_bias(later)[0].says


@given(st.lists(st.floats(-10.0, 10.0), min_size=2, max_size=8))
def test_the_interval_of_a_mean_is_students(values):
    low, high = mean_interval(values)
    number = len(values)
    sem = np.std(values, ddof=1) / sqrt(number)
    half = stats.t.ppf(0.975, number - 1) * sem
    assert (low, high) == pytest.approx((np.mean(values) - half, np.mean(values) + half))
