"""What the answer says of the payload's hold: it tears off, it may, it never does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from report import carried, synthetic

from loftwright.flight.results import Ensemble
from loftwright.report.answer import Answer, forecast_answer
from loftwright.report.parting_words import holds_table
from loftwright.report.reading import Reading


def said(answer: Answer, question: str) -> str:
    """All that answers a question, on one line with plain spaces."""
    (verdict,) = [each for each in answer.verdicts if each.question == question]
    return " ".join(verdict.sentences).replace("\u00a0", " ")


def of(ensemble: Ensemble) -> Answer:
    return forecast_answer(synthetic.campaign(), ensemble.nominal, ensemble)


HOLD, FREE, DOWN = "Will it hold?", "Does it let go cleanly?", "Where does it come down?"


def test_a_payload_that_tears_off_is_the_answer() -> None:
    answer = of(carried.many(np.linspace(5.95, 9.0, 100)))
    assert answer.lead.startswith("Wren tears off in 98 of 100 flights. About 41")
    hold = said(answer, HOLD)
    # Wilson's interval of 98 of 100, as E. B. Wilson's formula of 1927 gives it.
    assert hold.startswith("No. Wren tears off in 98 of 100 flights (93.0 to 99.45 in 100), 0.11 s")
    assert "0.90 m up: its hold gives way at 6.0 N" in hold
    assert "Tern 3 flies on without it to 41 m; with it on, it would reach 38 m." in hold
    free = said(answer, FREE)
    assert free.startswith("No. Wren is let go as meant in 2 of 100 flights (0.55 to 7.0 in 100)")
    assert "Wren, torn off, comes down" in said(answer, DOWN)
    assert all("supposes" not in each for v in answer.verdicts for each in v.sentences)


def test_a_hold_that_mostly_lasts_is_told_below_the_answer() -> None:
    answer = of(carried.many(np.linspace(2.0, 6.05, 100)))
    assert answer.lead.startswith("About 41")
    assert said(answer, HOLD).startswith("Mostly. The hold of Wren gives way in 2 of 100 flights")
    free = said(answer, FREE)
    assert free.startswith("Mostly. Wren is let go in 98 of 100 flights (93.0 to 99.45 in 100), 38")
    # Those that tear leave at another climb, which is not that of the release.
    assert "climbing at 15.2 m/s;" in free
    assert "torn off" not in said(answer, DOWN)


def test_a_hold_that_always_lasts_has_room() -> None:
    answer = of(carried.many(np.linspace(2.0, 4.0, 100)))
    hold = said(answer, HOLD)
    assert hold.startswith("Yes. The hold of Wren gives way in none of 100 flights (up to 3.7 in")
    assert "would bear 1.5 times that load in 19 of 20 flights" in hold
    assert not any(verdict.warn for verdict in answer.verdicts)


def test_a_hold_of_which_nothing_is_said_is_asked_and_no_more() -> None:
    ensemble = carried.many(np.full(50, 3.0), hold_margin=np.full(50, np.nan))
    hold = said(of(ensemble), HOLD)
    assert hold.startswith("Nobody has said what the hold of Wren bears: it is asked up to 3.0 N")
    read = Reading(synthetic.campaign(), ensemble.nominal, ensemble)
    table = holds_table(read)
    assert table is not None
    assert dict(table.rows)["gives way, flights in 100"] == ("not known",)


@settings(deadline=None, max_examples=40)
@given(st.lists(st.floats(0.1, 12.0), min_size=1, max_size=40), st.floats(1.0, 8.0))
def test_whether_the_answer_is_the_tearing_depends_on_most_flights(
    loads: list[float], strength: float
) -> None:
    answer = of(carried.many(np.array(loads), strength=strength))
    most = sum(load >= strength for load in loads) > len(loads) / 2
    assert ("tears off" in answer.lead) is most
    assert said(answer, HOLD).startswith("No.") is most


def test_one_flight_that_asks_too_much_of_its_hold() -> None:
    torn = forecast_answer(synthetic.campaign(), carried.one(7.5), None)
    assert torn.lead.startswith("Wren tears off. About 42")
    assert said(torn, HOLD).startswith(
        "No. Wren tears off, 0.11 s after liftoff and 0.90 m up: its hold gives way at 6.0 N."
    )
    assert said(torn, FREE).startswith("No. Wren has torn off before; it touches nothing of Tern 3")
    kept = forecast_answer(synthetic.campaign(), carried.one(3.0), None)
    assert said(kept, HOLD) == (
        "Yes. The hold of Wren is asked up to 3.0 N, and at its worst moment, 0.11 s after "
        "liftoff, would bear 2.0 times that load."
    )


def test_a_payload_that_comes_back_against_the_vehicle_is_no_clean_release() -> None:
    met = np.zeros(100)
    met[:60] = 1.0
    answer = of(carried.many(np.full(100, 2.0), recontact=met))
    (verdict,) = [each for each in answer.verdicts if each.question == FREE]
    assert verdict.warn
    assert "touches Tern 3 on its way in 60 of 100 flights (50 to 69 in 100)" in said(answer, FREE)
    some = of(carried.many(np.full(100, 2.0), recontact=np.where(np.arange(100) < 3, 1.0, 0.0)))
    assert said(some, FREE).startswith("Mostly.")


def test_what_is_never_let_go_as_written_is_no_bad_news() -> None:
    campaign = synthetic.campaign()
    assert campaign.payload is not None
    never = replace(campaign.payload, release=replace(campaign.payload.release, when="never"))
    ensemble = carried.many(np.full(20, 2.0), release_time_s=np.full(20, np.nan))
    answer = forecast_answer(replace(campaign, payload=never), ensemble.nominal, ensemble)
    assert said(answer, FREE) == "Wren is not let go, as written."
    assert not any(verdict.warn for verdict in answer.verdicts)
