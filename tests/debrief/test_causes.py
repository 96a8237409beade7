"""Why a flight went wrong, on made-up flights whose cause is known."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from debrief.made_up_failures import campaign_folder, failure, plan_in, saw, trial_of

from loftwright.debrief.causes.find import MISMEASURED, find_causes, priors_of
from loftwright.debrief.synthetic import flight_log_of, synthetic_log
from loftwright.documents.fields import Quantity
from loftwright.documents.flight_record import Conditions, FlightRecord
from loftwright.documents.reading import read_campaign
from loftwright.errors import ProblemError

FLIGHTS = 48


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return campaign_folder(tmp_path_factory.mktemp("causes"))


@pytest.fixture(scope="module")
def campaign(folder):
    return read_campaign(folder)


@pytest.fixture(scope="module")
def unknown(folder):
    """A plan on a seed that the search does not use."""
    return plan_in(folder, 4711)


def log_of(unknown, fault, flight=0):
    record = synthetic_log(unknown, trial_of(unknown, fault), flight, "board")
    return flight_log_of(record)


@pytest.fixture(scope="module")
def opened(campaign, unknown):
    log = log_of(unknown, "connector opens at liftoff: bay plug")
    seen = (saw("canopy open", "no"), saw("release", "no", of="payload"))
    return find_causes(campaign, failure(*seen), {"board": log}, flights=FLIGHTS)


def test_a_connector_that_opened_is_found(opened):
    first = opened.causes[0]
    assert first.faults in (("connector opens at liftoff",), ("battery flat",))
    assert "connector opens at liftoff" in {
        name for each in opened.causes[: opened.in_set] for name in each.faults
    }
    assert opened.fits


def test_probabilities_add_up_and_lie_within_their_bounds(opened):
    assert sum(each.probability for each in opened.causes) == pytest.approx(1.0)
    assert all(each.low <= each.probability <= each.high for each in opened.causes)
    assert sum(each.probability for each in opened.causes[: opened.in_set]) >= 0.9
    ordered = [each.probability for each in opened.causes]
    assert ordered == sorted(ordered, reverse=True)


def test_arguments_are_sentences_with_a_place(opened):
    first = opened.causes[0]
    assert first.speaks_for
    assert all(each.weight > 0.0 for each in first.speaks_for)
    assert all(each.weight < 0.0 for each in first.speaks_against)
    for each in first.speaks_for + first.speaks_against:
        assert each.says[0].isupper()
        assert each.says.endswith(".")
        assert "nan" not in each.says
        assert each.lane in (None, "height", "push", "stages", "supply")


def test_what_was_looked_at_is_told(opened):
    assert "The log of board: pressure, push, stages, supply." in opened.evidence
    assert any(each.startswith("The canopy did not open") for each in opened.evidence)


@pytest.mark.parametrize(
    ("fault", "flight", "seen"),
    [
        ("sensor dead: baro", 1, ()),
        ("vent blocked: nose bay", 2, ()),
        ("canopy does not fill", 1, (saw("canopy open", "no"),)),
        ("actuator stuck: door servo", 1, (saw("canopy open", "no"),)),
    ],
)
def test_a_cause_that_leaves_its_mark_stands_first(campaign, unknown, fault, flight, seen):
    log = log_of(unknown, fault, flight)
    found = find_causes(campaign, failure(*seen), {"board": log}, flights=FLIGHTS)
    assert found.causes[0].faults == (fault.partition(":")[0],)


def test_the_same_seed_gives_the_same_answer(campaign, unknown, opened):
    log = log_of(unknown, "connector opens at liftoff: bay plug")
    seen = (saw("canopy open", "no"), saw("release", "no", of="payload"))
    again = find_causes(campaign, failure(*seen), {"board": log}, flights=FLIGHTS)
    assert again == opened


def test_words_alone_are_evidence(campaign):
    found = find_causes(campaign, failure(saw("canopy open", "no", 0.99)), {}, flights=FLIGHTS)
    named = {each.faults for each in found.causes[: found.in_set]}
    assert ("canopy does not fill",) in named
    assert found.causes[0].faults != ()
    # Words leave much open, which a log would tell.
    assert found.tellings
    log = next(each for each in found.tellings if each.says == "a log of board")
    assert 0.0 < log.resolved <= 1.0
    assert set(log.between) <= set(range(found.in_set))


def test_what_was_not_looked_for_counts_nothing(campaign, unknown):
    """No word of the canopy is not the same as no canopy."""
    log = log_of(unknown, "actuator stuck: latch servo")
    silent = find_causes(campaign, failure(), {"board": log}, flights=FLIGHTS)
    assert "Nobody said whether the canopy opened." in silent.evidence
    doubtful = find_causes(
        campaign, failure(saw("canopy open", "no", 0.5)), {"board": log}, flights=FLIGHTS
    )
    # Somebody who may as well be wrong tells nothing either.
    for one, other in zip(silent.causes[:1], doubtful.causes[:1], strict=True):
        assert one.faults == other.faults
        assert one.probability == pytest.approx(other.probability, abs=0.1)


def test_a_record_of_something_else_fits_no_cause(campaign, unknown):
    log = log_of(unknown, "actuator stuck: latch servo")
    # Ten times as high as anything that these documents can do.
    far = log.pressure_pa.max() - 10.0 * (log.pressure_pa.max() - log.pressure_pa)
    found = find_causes(
        campaign, failure(), {"board": replace(log, pressure_pa=far)}, flights=FLIGHTS
    )
    assert not found.fits
    assert found.fits_says.startswith("None of the causes in the library makes this record.")


def test_breaking_off_answers_with_what_was_flown(campaign, unknown):
    def stop(done, _):
        if done:
            raise KeyboardInterrupt

    log = log_of(unknown, "vent blocked: nose bay", 2)
    found = find_causes(campaign, failure(), {"board": log}, flights=400, progress=stop)
    assert found.stopped
    assert found.flights < 400
    assert found.causes[0].faults == ("vent blocked",)


def test_pairs_are_tried_when_asked_for(campaign, unknown):
    log = log_of(unknown, "vent blocked: nose bay", 2)
    found = find_causes(campaign, failure(), {"board": log}, flights=FLIGHTS, pairs=True)
    assert any(len(each.faults) == 2 for each in found.causes)
    assert found.causes[0].faults == ("vent blocked",)  # a second fault is not needed
    assert sum(each.probability for each in found.causes) == pytest.approx(1.0)


def test_people_who_contradict_each_other_are_heard_all_the_same(campaign):
    pairs = [saw("canopy open", word, 0.99) for word in ("yes", "no") for _ in range(4)]
    found = find_causes(campaign, failure(*pairs), {}, flights=20)
    assert sum(each.probability for each in found.causes) == pytest.approx(1.0)


def test_no_evidence_is_refused(campaign):
    with pytest.raises(ProblemError) as caught:
        find_causes(campaign, FlightRecord(name="Empty"), {}, flights=20)
    assert caught.value.problems[0].code == "causes-no-evidence"


def test_a_log_of_nobody_is_refused(campaign, unknown):
    log = log_of(unknown, "vent blocked: nose bay")
    with pytest.raises(ProblemError) as caught:
        find_causes(campaign, failure(), {"bord": log}, flights=20)
    assert caught.value.problems[0].code == "causes-no-recorder"


def test_what_was_measured_at_the_pad_makes_its_fault_unlikely(unknown):
    trials = [trial_of(unknown, name) for name in ("wrong pressure", "canopy tangles")]
    plain = priors_of(trials, failure())
    conditions = Conditions(gauge_pressure=Quantity(5.5e5, 1e4))
    measured = priors_of(trials, replace(failure(), conditions=conditions))
    odds = (measured[0] / measured[1]) / (plain[0] / plain[1])
    assert odds == pytest.approx(MISMEASURED)
    assert np.isclose(measured.sum(), 1.0)


def test_a_dead_barometer_that_is_written_as_zero_is_a_dead_barometer(campaign, unknown):
    log = log_of(unknown, "sensor dead: baro")
    blind = np.zeros(len(log.time_s))
    found = find_causes(
        campaign, failure(), {"board": replace(log, pressure_pa=blind)}, flights=FLIGHTS
    )
    assert found.causes[0].faults == ("sensor dead",)
    for each in found.causes:
        for argument in each.speaks_for + each.speaks_against:
            shares = re.findall(r"(\d+ of 100(?: or fewer)?)", argument.says)
            assert len(shares) != 2 or shares[0] != shares[1]
