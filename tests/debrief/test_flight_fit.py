"""The fit to flights flown by the model with known truths, through the whole chain."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from debrief.flown_flights import FlownFlight, as_log, flown_flights, mended

from loftwright.debrief.fitting.fit import Fitting, fit_flights, fit_observed
from loftwright.debrief.fitting.joint import MOTION_LATE, is_of_the_day
from loftwright.debrief.fitting.model import FlightModel
from loftwright.debrief.fitting.observed import FitInput, observe
from loftwright.documents.campaign import Campaign
from loftwright.documents.flight_record import FlightRecord, Landed, Saw, Stopwatch
from loftwright.errors import ProblemError
from loftwright.units import Quantity

SEED = 5
DRAG = "payload.carried.drag_coefficient"
PORT = "avionics.bay.0.port_coefficient"


def calm() -> Campaign:
    """The demo campaign on a day without wind or gusts."""
    campaign = mended()
    wind = replace(campaign.site.wind, speed=Quantity(0.0, 0.0), gust=None)
    return replace(campaign, site=replace(campaign.site, wind=wind))


@pytest.fixture(scope="module")
def flown() -> list[FlownFlight]:
    return list(flown_flights(mended(), SEED, 0, 3))


@pytest.fixture(scope="module")
def one(flown: list[FlownFlight]) -> Fitting:
    return fit_observed([observe(flown[0].given)], seed=2)


def test_the_model_follows_a_flight_of_its_own() -> None:
    """At the true values and in calm air nothing is left but noise: through bay, filter, clock."""
    (flight,) = flown_flights(calm(), 3, 0, 1)
    observed = observe(flight.given)
    model = FlightModel(observed)
    numbers = {
        path: model.priors[path].number_of(np.array([true]))
        for path, true in flight.truth.items()
        if path in model.priors
    }
    shifts = np.linspace(MOTION_LATE - 0.1, MOTION_LATE + 0.1, 81)
    many = {path: np.repeat(each, len(shifts)) for path, each in numbers.items()}
    found = model.predict(many, shifts)
    away = found - observed.measured
    # First motion is not in the log: the best of the shifts is taken, to within 3 ms.
    best = int(np.argmin(np.square(away[:, :-1]).sum(axis=1)))
    assert np.abs(away[best, :-1]).max() < 0.35
    assert np.abs(away[best, -1]) < 0.05  # the rate under the canopy


def test_intervals_hold_the_truth_and_most_is_learnt_of_what_acts(
    flown: list[FlownFlight], one: Fitting
) -> None:
    fields = {each.path: each for each in one.fit.fields}
    assert fields[PORT].informed
    assert fields[DRAG].informed
    away = [
        (flown[0].truth[path] - each.posterior.value) / each.posterior.sd
        for path, each in fields.items()
    ]
    assert np.mean(np.abs(away) < 2.5) > 0.95
    assert one.fit.misfit < 2.0
    assert [each.learnt for each in one.fit.fields] == sorted(
        (each.learnt for each in one.fit.fields), reverse=True
    )


def test_what_acts_on_nothing_recorded_keeps_its_prior_to_the_last_digit(one: Fitting) -> None:
    fields = {each.path: each for each in one.fit.fields}
    for path in ("vehicle.vessel.0.wall", "payload.wing.camber", "avionics.battery.0.voltage"):
        assert fields[path].posterior == fields[path].prior
        assert fields[path].learnt == 0.0
        assert fields[path].overlap == 1.0
        assert not fields[path].informed
        assert fields[path].goes_with == ()


def test_pressure_and_jet_losses_are_known_together_only(one: Fitting) -> None:
    fields = {each.path: each for each in one.fit.fields}
    pairs = dict(fields["vehicle.fill.gauge_pressure"].goes_with)
    assert pairs["vehicle.nozzle.velocity_coefficient"] < -0.3
    both = {"vehicle.fill.gauge_pressure", "vehicle.nozzle.velocity_coefficient"}
    assert any(both <= {*each.plus, *each.minus} for each in one.fit.together)
    assert all(0.0 < each.left < 1.0 for each in one.fit.together)


def test_correlations_are_of_the_fields_in_their_order(one: Fitting) -> None:
    correlation = np.array(one.fit.correlation)
    assert correlation.shape == (len(one.fit.fields),) * 2
    np.testing.assert_allclose(correlation, correlation.T, atol=1e-12)
    np.testing.assert_allclose(np.diag(correlation), 1.0)
    assert np.linalg.eigvalsh(correlation).min() > -1e-9


def test_two_flights_tell_more_than_one_of_what_they_share(
    flown: list[FlownFlight], one: Fitting
) -> None:
    both = fit_flights([flown[0].given, flown[1].given], seed=2)
    shared = {each.path: each for each in both.fields if not each.flight}
    alone = {each.path: each for each in one.fit.fields}
    assert shared[DRAG].posterior.sd < alone[DRAG].posterior.sd
    own = [each for each in both.fields if each.path == "vehicle.fill.gauge_pressure"]
    assert {each.flight for each in own} == {each.given.name for each in flown[:2]}
    assert all(line.startswith("flight ") for line in both.used)


def test_the_same_seed_gives_the_same_fit(flown: list[FlownFlight], one: Fitting) -> None:
    assert fit_observed([observe(flown[0].given)], seed=2).fit == one.fit


def test_spikes_do_not_move_a_fit(flown: list[FlownFlight], one: Fitting) -> None:
    given = flown[0].given
    assert given.log is not None
    assert given.log.pressure_pa is not None
    pressure = given.log.pressure_pa.copy()
    rng = np.random.default_rng(1)
    pressure[rng.choice(len(pressure), 25, replace=False)] += 900.0
    log = as_log(given.log.name, given.log.time_s, pressure)
    fit = fit_flights([replace(given, log=log)], seed=2)
    for path in (PORT, DRAG):
        before, after = (
            next(each for each in some.fields if each.path == path) for some in (one.fit, fit)
        )
        assert abs(before.posterior.value - after.posterior.value) < 0.6 * before.posterior.sd
    assert any("stand alone" in line for line in fit.used)


def test_without_a_record_nothing_is_learnt() -> None:
    given = FitInput("told", mended(), FlightRecord(name="told"))
    fit = fit_flights([given])
    assert all(each.posterior == each.prior for each in fit.fields)
    assert fit.warnings[0].startswith("nothing was measured")


def test_a_watch_and_a_landing_count_without_a_log() -> None:
    record = FlightRecord(
        name="watched",
        stopwatch=(Stopwatch(end="touchdown", time=Quantity(30.0, 0.2)),),
        landed=(Landed(distance=Quantity(150.0, 5.0), bearing=Quantity(0.9, 0.05)),),
    )
    fit = fit_flights([FitInput("watched", mended(), record)])
    fields = {each.path: each for each in fit.fields}
    assert fields["vehicle.canopy.drag_coefficient"].learnt > 0.05
    assert fields["site.wind.speed"].learnt > 0.2
    assert fields["site.wind.speed"].posterior.value > fields["site.wind.speed"].prior.value


def test_a_canopy_that_did_not_open_teaches_nothing_of_it(flown: list[FlownFlight]) -> None:
    given = flown[0].given
    record = FlightRecord(name="seen", saw=(Saw(what="canopy open", happened="no"),))
    observed = observe(replace(given, record=record))
    assert observed.descent is None
    assert any("did not open" in line for line in observed.warnings)


def test_the_ascent_ends_where_the_payload_leaves(flown: list[FlownFlight]) -> None:
    observed = observe(flown[0].given)
    left = observed.moments.of("payload")
    assert left is not None
    assert observed.ascent is not None
    assert observed.ascent.times[-1] < left
    assert any("before the payload left" in line for line in observed.used)


def test_a_field_that_is_asked_for_alone_is_as_unsure_as_among_all(
    flown: list[FlownFlight], one: Fitting
) -> None:
    fit = fit_flights([flown[0].given], fields=[DRAG], seed=2)
    assert [each.path for each in fit.fields] == [DRAG]
    assert fit.fields[0].posterior == next(
        each.posterior for each in one.fit.fields if each.path == DRAG
    )


def test_a_field_without_doubt_is_refused(flown: list[FlownFlight]) -> None:
    with pytest.raises(ProblemError, match="no uncertain field"):
        fit_flights([flown[0].given], fields=["vehicle.body.diameter"])
    with pytest.raises(ProblemError, match="no flight"):
        fit_flights([])


def test_flights_that_do_not_follow_the_model_are_told(flown: list[FlownFlight]) -> None:
    """Half of the push has gone: nothing in the documents makes such a flight."""
    given = flown[0].given
    assert given.log is not None
    assert given.log.pressure_pa is not None
    rest = float(np.median(given.log.pressure_pa[:50]))
    squeezed = rest + 0.35 * (given.log.pressure_pa - rest)
    log = as_log("weak", given.log.time_s, squeezed)
    fit = fit_flights([replace(given, log=log)], seed=2)
    assert any("does not follow" in line or "standard deviations" in line for line in fit.warnings)


@pytest.mark.parametrize(
    ("path", "is_own"),
    [
        ("vehicle.fill.gauge_pressure", True),
        ("site.wind.speed", True),
        ("vehicle.canopy.delay", True),
        ("vehicle.nozzle.flow_coefficient", False),
        ("payload.carried.drag_coefficient", False),
        ("avionics.bay.0.port_coefficient", False),
    ],
)
def test_what_is_of_the_day(path: str, is_own: bool) -> None:
    assert is_of_the_day(path) is is_own
