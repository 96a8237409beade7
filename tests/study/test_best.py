"""The best point of the demo campaign: found, held by its limits, and honest about what it is."""

from __future__ import annotations

import numpy as np
import pytest
from study.cases import PRESSURE, WATER, asked, bare_lift, codes, lift

from loftwright.errors import ProblemError
from loftwright.study.best import best
from loftwright.study.evaluate import evaluate
from loftwright.study.spans import read_span

FILL = [f"{WATER}=0.3 L..2.0 L"]
BOTH = [*FILL, f"{PRESSURE}=40 psi..120 psi"]


def test_the_highest_flight_is_that_of_a_fine_row_of_points():
    found = best(asked(bare_lift(), FILL, ["apogee"]))
    points = read_span(bare_lift(), FILL[0]).points(401)
    row = evaluate(bare_lift(), {WATER: points}).columns["apogee_m"]
    assert found.aims["apogee"] >= row.max() - 1e-3
    assert found.values[WATER] == pytest.approx(points[row.argmax()], abs=2e-5)
    assert not found.ends
    assert not found.stopped


def test_the_answer_is_the_flight_of_its_values():
    found = best(asked(bare_lift(), FILL, ["apogee"]))
    there = evaluate(bare_lift(), {WATER: np.array([found.values[WATER]])}).columns
    assert found.aims["apogee"] == there["apogee_m"][0]
    assert found.figures["max_speed_m_s"] == there["max_speed_m_s"][0]


def test_a_limit_binds_and_loosening_it_gains():
    question = asked(bare_lift(), FILL, ["apogee"], ["max_acceleration < 40 g"])
    found = best(question)
    binding = found.bindings[0]
    assert binding.binds
    assert binding.value == pytest.approx(40 * 9.80665, rel=2e-4)
    looser = best(asked(bare_lift(), FILL, ["apogee"], ["max_acceleration < 40.4 g"]))
    assert binding.gain == pytest.approx(looser.aims["apogee"] - found.aims["apogee"], rel=0.05)


def test_a_limit_with_room_does_not_bind():
    binding = best(asked(bare_lift(), FILL, ["apogee"], ["apogee > 20 m"])).bindings[0]
    assert not binding.binds
    assert binding.gain is None
    assert binding.room > 1.0


def test_the_documents_hold_the_pressure_and_say_why():
    found = best(asked(bare_lift(), BOTH, ["apogee"]))
    end = next(each for each in found.ends if each.path == PRESSURE)
    assert end.at_most
    assert "proof pressure" in end.why
    assert found.values[PRESSURE] == pytest.approx(100 * 6894.757, rel=1e-5)


def test_a_proof_margin_can_be_asked_for():
    found = best(asked(bare_lift(), BOTH, ["apogee"], ["proof_margin > 1.3"]))
    assert found.values[PRESSURE] == pytest.approx(100 * 6894.757 / 1.3, rel=1e-3)


def test_whole_numbers_stay_whole():
    vary = ["vehicle.fins.0.count=3..6", "vehicle.fins.0.span=80 mm..140 mm"]
    found = best(asked(bare_lift(), vary, ["stability"]))
    assert found.values["vehicle.fins.0.count"] == 6.0
    assert found.values["vehicle.fins.0.span"] == pytest.approx(0.14, rel=1e-6)


def test_a_height_can_be_met():
    found = best(asked(bare_lift(), FILL, ["apogee near 90 m"]))
    assert found.aims["apogee near 90 m"] == pytest.approx(90.0, abs=0.05)


def test_several_solutions_as_good_are_told():
    """One height below the greatest is reached with little water and with much."""
    found = best(asked(bare_lift(), FILL, ["apogee near 90 m"]))
    assert len(found.alike.groups) == 2
    for group in found.alike.groups:
        there = evaluate(bare_lift(), {WATER: np.array([group[WATER]])}).columns["apogee_m"][0]
        assert there == pytest.approx(90.0, abs=0.5)


def test_two_aims_give_a_front_that_nothing_beats():
    found = best(asked(bare_lift(), BOTH, ["apogee", "least max_acceleration"]))
    heights = [trade.aims[0] for trade in found.trade]
    loads = [trade.aims[1] for trade in found.trade]
    assert len(found.trade) > 10
    assert heights == sorted(heights, reverse=True)
    assert loads == sorted(loads, reverse=True)
    # Any point of the grid is matched or beaten at its acceleration, but for what a straight line
    # between two levels cuts off where the front is most curved.
    points = np.linspace(0.4e-3, 1.9e-3, 12), np.linspace(3e5, 6.8e5, 12)
    grid = [each.ravel() for each in np.meshgrid(*points)]
    flown = evaluate(bare_lift(), {WATER: grid[0], PRESSURE: grid[1]}).columns
    reached = np.interp(flown["max_acceleration_m_s2"], loads[::-1], heights[::-1])
    inside = flown["max_acceleration_m_s2"] >= min(loads)
    assert np.all((flown["apogee_m"] - reached)[inside] < 0.04 * max(heights))


def test_many_flights_judge_by_their_median():
    found = best(asked(bare_lift(), FILL, ["apogee"], ["max_acceleration < 60 g"], flights=16))
    there = evaluate(
        bare_lift(), {WATER: np.array([found.values[WATER]])}, found.question.draws
    ).columns
    assert found.aims["apogee"] == pytest.approx(float(np.median(there["apogee_m"][0])))
    assert np.percentile(there["max_acceleration_m_s2"][0], 95) <= 60 * 9.80665 * (1 + 2e-4)
    assert found.alike.noise > 0.0


def test_limits_that_no_point_keeps_are_named_with_how_far_they_are():
    question = asked(bare_lift(), FILL, ["apogee"],
                     ["apogee > 300 m", "max_acceleration < 100 g"])  # fmt: skip
    with pytest.raises(ProblemError) as caught:
        best(question)
    assert codes(caught.value) == ["study-infeasible"]
    problem = caught.value.problems[0]
    assert '"apogee > 300 m" by' in problem.message
    assert "100 g" not in problem.message
    assert WATER in problem.mend


@pytest.mark.parametrize(
    ("aims", "limits", "vary", "code"),
    [
        (["release energy"], [], FILL, "study-never-happens"),
        (["apogee"], ["hold_margin > 1"], FILL, "study-never-happens"),
        (["apogee"], [], [f"{PRESSURE}=110 psi..140 psi"], "study-refused"),
    ],
)
def test_hopeless_questions_are_refused(aims, limits, vary, code):
    with pytest.raises(ProblemError) as caught:
        best(asked(bare_lift(), vary, aims, limits))
    assert codes(caught.value) == [code]


def test_stopped_it_answers_with_the_best_so_far(monkeypatch):
    question = asked(bare_lift(), FILL, ["apogee"])
    calls = []

    def told(done, total):
        calls.append((done, total))
        if len(calls) == 3:
            raise KeyboardInterrupt

    found = best(question, progress=told)
    assert found.stopped
    assert found.aims["apogee"] > 0.9 * found.aims_now["apogee"]
    assert calls[0][1] == calls[-1][1]


def test_the_same_seed_gives_the_same_answer():
    one, other = (best(asked(lift(), FILL, ["apogee"]), seed=3) for _ in range(2))
    assert one.values == other.values
