"""What the answer says of the payload's hold: it tears off, it may, it never does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from report import synthetic

from loftwright.report.answer import Answer, forecast_answer

Floats = NDArray[np.float64]


def asked_of_the_hold(loads: Floats, strength: float = 6.0) -> Answer:
    """The answer of an ensemble whose hold is asked these loads, N, and bears ``strength``."""
    plain = synthetic.ensemble(loads.size)
    low, middle, high = np.percentile(loads, (5, 50, 95))
    nominal = replace(plain.nominal, figures=plain.nominal.figures | {"hold_load_n": float(middle)})
    ensemble = replace(
        plain,
        nominal=nominal,
        columns=plain.columns | {"hold_load_n": loads},
        drawn=plain.drawn | {"payload.hold.strength": np.full(loads.size, strength)},
        statistics=plain.statistics | {"hold_load_n": {"p05": low, "p50": middle, "p95": high}},
    )
    return forecast_answer(synthetic.campaign(), nominal, ensemble)


def test_a_payload_that_tears_off_is_the_answer() -> None:
    answer = asked_of_the_hold(np.linspace(5.95, 9.0, 100))
    assert answer.lead.startswith("Wren tears off in 98 of 100 flights: its hold is asked 6.1 to ")
    assert answer.lead.endswith("and bears 6.0\u00a0N.")
    usual = asked_of_the_hold(np.full(100, 1.0)).lead
    supposes = f"All else here supposes that it holds: {usual.replace('About', 'about')}"
    assert answer.sentences[0] == supposes
    assert "Wren is let go as meant in 2 of 100 flights." in answer.chances
    assert not any("than it bears" in chance for chance in answer.chances)


def test_a_hold_that_mostly_lasts_is_told_below_the_answer() -> None:
    answer = asked_of_the_hold(np.linspace(2.0, 6.05, 100))
    assert answer.lead == asked_of_the_hold(np.full(100, 1.0)).lead
    assert answer.sentences[0].startswith("The hold of Wren is asked 2.2 to 5.8\u00a0N and bears")
    assert "The hold is asked more than it bears in 2 of 100 flights." in answer.chances
    assert "Wren is let go as meant in 98 of 100 flights." in answer.chances


def test_a_hold_that_always_lasts_leaves_the_release_as_it_is() -> None:
    answer = asked_of_the_hold(np.linspace(2.0, 4.0, 100))
    assert "The hold is asked more than it bears in none of 100 flights." in answer.chances
    assert "Wren is let go in all 100 flights." in answer.chances


@settings(deadline=None)
@given(st.lists(st.floats(0.1, 12.0), min_size=1, max_size=40), st.floats(1.0, 8.0))
def test_whether_the_answer_is_the_tearing_depends_on_most_flights(
    loads: list[float], strength: float
) -> None:
    answer = asked_of_the_hold(np.array(loads), strength)
    most = sum(load > strength for load in loads) > len(loads) / 2
    assert ("tears off" in answer.lead) is most


def test_one_flight_that_asks_too_much_of_its_hold() -> None:
    flight = synthetic.flight()
    torn = replace(flight, figures=flight.figures | {"hold_load_n": 7.5})
    answer = forecast_answer(synthetic.campaign(), torn, None)
    assert answer.lead == "Wren tears off: its hold is asked 7.5\u00a0N and bears 6.0\u00a0N."
    kept = replace(flight, figures=flight.figures | {"hold_load_n": 3.0})
    answer = forecast_answer(synthetic.campaign(), kept, None)
    assert answer.sentences[0] == "The hold of Wren is asked 3.0\u00a0N and bears 6.0\u00a0N."
