"""What turns a climb, how a glider glides, what everything does at the ground: in words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from report import carried, synthetic
from report.test_ground import on_a_field
from report.test_hold_words import said

from loftwright.flight.results import Carrying
from loftwright.report.answer import forecast_answer
from loftwright.report.carrying_words import causes
from loftwright.report.glider_words import glides
from loftwright.report.reading import Reading

STRAIGHT, DOWN, STAGES = (
    "Does it fly straight?", "Where does it come down?", "Do the stages part?",
)  # fmt: skip


def reading(known: Carrying | None, load: float = 3.0, units: str = "metric") -> Reading:
    flight = replace(carried.one(load), carrying=known)
    return Reading(synthetic.campaign(units), flight, None)


def straight(known: Carrying, load: float = 3.0) -> str:
    read = reading(known, load)
    return said(forecast_answer(read.campaign, read.flight, None), STRAIGHT)


def test_how_far_a_payload_takes_the_climb_aside_and_where_to() -> None:
    words = straight(carried.carrying())
    assert words.startswith("Wren takes it 5.0 m to the south of the climb without")
    assert "costs it 4.0 m of height" in words
    assert "settles at no more than 0.80° to the flow, and turns 1.5 times about its axis" in words


def test_a_payload_that_tears_off_is_supposed_to_hold_for_this_alone() -> None:
    assert straight(carried.carrying(), load=9.0).startswith("If it held: Wren takes it")
    assert "If it held" not in straight(carried.carrying())


def test_a_vehicle_that_holds_no_angle_is_said_to_be_unstable() -> None:
    assert "it is not stable" in straight(carried.carrying(carry_trim_deg=None))


def test_causes_add_up_to_the_whole() -> None:
    found = causes(reading(carried.carrying()))
    assert found is not None
    veer = dict(found.veer)
    assert veer["acting together"] == "0.50\u00a0m"
    assert veer["all of it"] == "5.0\u00a0m"
    assert dict(found.trim)["all of it"] == "0.80°"
    assert causes(reading(None)) is None
    assert causes(reading(Carrying())) is None


# ---------------------------------------------------------------- gliders


def glide(**changed: object) -> str:
    flight = replace(carried.one(3.0), gliders={"payload": carried.glider(**changed)})
    (words,) = glides(Reading(synthetic.campaign(), flight, None))
    return " ".join(words.sentences).replace("\u00a0", " ")


def test_a_swing_that_halves_in_one_turn() -> None:
    # Halving in a swing takes 2 pi zeta / sqrt(1 - zeta^2) = ln 2: zeta = 0.10965.
    assert "half as wide after 1.0 swings" in glide(phugoid_damping=0.10965)
    assert "for long" in glide(phugoid_damping=0.02)
    assert "half as wide within one" in glide(phugoid_damping=0.6)
    assert "grows by itself: it will stall" in glide(phugoid_damping=-0.01)


def test_a_spiral_is_told_by_the_time_in_which_it_doubles_or_halves() -> None:
    # ln 2 of ten seconds.
    assert "widens again by itself, half as steep in 6.9 s" in glide()
    assert "twice as steep in 6.9 s: it ends in a spiral" in glide(spiral_time_constant_s=-10.0)
    assert "one slow swing" in glide(spiral_time_constant_s=None)
    assert "yaw and roll grows" in glide(dutch_roll_damping=-0.1)


def test_a_glider_that_never_trims_says_why() -> None:
    flight = replace(
        carried.one(3.0), gliders={"payload": carried.glider(trims=False, says="it never trims")}
    )
    (words,) = glides(Reading(synthetic.campaign(), flight, None))
    assert words.sentences == ("Wren: it never trims.",)


# ---------------------------------------------------------------- stages and landings


def test_every_body_of_a_stack_is_named() -> None:
    ensemble, campaign = carried.staged(), carried.staged_campaign()
    answer = forecast_answer(campaign, ensemble.nominal, ensemble)
    assert answer.lead.startswith("Scroll tears off in all 60 flights. Plover goes about 90")
    stages = said(answer, STAGES)
    assert stages.startswith("Both Terns part in all 60 flights (at least 94.0 in 100), 0.12 s")
    assert "It fires in 57 of 60 flights" in stages
    down = said(answer, DOWN)
    for name in ("Teasel", "Plover", "Terns 1", "Terns 2", "Dunlin", "Scroll, torn off,"):
        assert f"{name} comes down" in down
    assert "camera" not in down


@pytest.mark.parametrize(
    ("energy", "words"),
    [
        (12.0, "In none of 50 flights (up to 7.1 in 100) does anything come down"),
        (20.0, "More than"),
    ],
)
def test_energies_are_held_against_the_published_threshold(energy: float, words: str) -> None:
    # 14 CFR 107.120: 11 ft lbf, which is 14.9 J.
    ensemble = synthetic.ensemble(50)
    columns = ensemble.columns | {"touchdown_vehicle_energy_j": np.full(50, energy)}
    changed = replace(ensemble, columns=columns)
    down = said(forecast_answer(synthetic.campaign(), ensemble.nominal, changed), DOWN)
    assert f"{words} with more than 15 J" in down or f"{words} 15 J at the ground" in down


def test_landings_outside_the_field_are_counted_with_their_interval() -> None:
    campaign, ensemble = on_a_field(), synthetic.ensemble(200)
    down = said(forecast_answer(campaign, ensemble.nominal, ensemble), DOWN)
    assert "outside" in down
    assert "in 100)" in down
