"""Probabilities of causes on made-up failures; the benchmark of the same name does more of it."""

from __future__ import annotations

import numpy as np
import pytest
from debrief.made_up_failures import campaign_folder, failure, plan_in

from loftwright.debrief.causes.calibration import Kind, judge_causes, reliability
from loftwright.debrief.causes.find import priors_of
from loftwright.debrief.causes.flights import fly_causes, trials_of
from loftwright.debrief.causes.records import layout_of
from loftwright.rehearsal.cases import known_happenings

FLIGHTS = 50
WATCHED = (("release", "payload", 0.9), ("canopy open", "vehicle", 0.95))


def only_wrong(truth):
    return (truth["good"] < 0.5).astype(float)


@pytest.fixture(scope="module")
def flown(tmp_path_factory):
    folder = campaign_folder(tmp_path_factory.mktemp("calibration"))
    found = []
    for seed in (1, 2, 3):
        plan = plan_in(folder, seed)
        trials = trials_of(known_happenings(plan))
        stages = tuple(stage.name for stage in plan.tables["board"].stages)
        layouts = {"board": layout_of("board", None, 0.02, stages, 290.0)}
        found.append(fly_causes(plan, trials, layouts, FLIGHTS, keep=only_wrong)[0])
    return found, priors_of(trials, failure())


@pytest.fixture(scope="module")
def judged(flown):
    ensembles, prior = flown
    kind = Kind("one log, two watched", ("board",), WATCHED)
    return judge_causes(kind, *ensembles, prior, cases=150, seed=1)


def test_the_true_cause_is_in_the_90_percent_set(judged):
    # 150 cases: two standard deviations below 90 %.
    assert judged.in_set.mean() >= 0.9 - 2.0 * np.sqrt(0.09 / 150)


def test_the_true_cause_stands_first_where_it_can_be_told(judged):
    assert judged.tellable.sum() > 50
    assert judged.first[judged.tellable].mean() >= 0.8


def test_what_is_given_is_what_is_so(judged):
    best = reliability(judged.probability.max(axis=1), judged.first)
    assert best.error < 0.05 + 0.04  # the second part is luck, of 150 cases in ten bins


def test_probabilities_add_up(judged):
    np.testing.assert_allclose(judged.probability.sum(axis=1), 1.0)


def test_words_alone_tell_less_than_a_log(flown, judged):
    ensembles, prior = flown
    words = judge_causes(Kind("words", (), WATCHED), *ensembles, prior, cases=150, seed=1)
    assert words.first.mean() < judged.first.mean()
    assert words.in_set.mean() >= 0.9 - 2.0 * np.sqrt(0.09 / 150)
