"""Causes in words: what the lead says, whom it names, what it never claims."""

from __future__ import annotations

import io
from xml.etree import ElementTree

import numpy as np
import pytest

from loftwright.debrief.causes.calibration import reliability
from loftwright.debrief.causes.results import Argument, Cause, Causes, Telling
from loftwright.report.cause_terminal import print_causes
from loftwright.report.cause_words import cause_answer, chance_of, name_of, shown_causes
from loftwright.report.reliability import draw_reliability


def cause(name, probability, alike=None, part="cell", **more):
    faults, parts = ((name,), (part,)) if name else ((), ())
    says = f"The {part} has {name}." if name else "Nothing failed."
    return Cause(
        faults, parts, says, 0.01, probability, probability / 2, min(2 * probability, 1.0),
        alike=alike, **more,
    )  # fmt: skip


def found(*causes, in_set=1, fits=True, **more):
    return Causes(
        causes=causes,
        in_set=in_set,
        evidence=("The log of board: pressure.",),
        tellings=more.pop("tellings", ()),
        fits=fits,
        fits_says="None of the causes in the library makes this record."
        if not fits
        else "It fits.",
        flights=300,
        cases=50,
        seed=1,
        **more,
    )


def test_a_cause_that_stands_alone_is_the_answer():
    answer = cause_answer(found(cause("battery flat", 0.96), cause("", 0.04)), "third")
    assert answer.lead == "The cell has battery flat. That is the cause with 96 %."


def test_causes_that_cannot_be_told_apart_are_named_together():
    alike = [cause("battery flat", 0.5, 1), cause("connector open", 0.45, 1), cause("", 0.05)]
    answer = cause_answer(found(*alike, in_set=2), "third")
    assert "95 % together, and this evidence cannot say which" in answer.lead
    assert "battery flat (cell) and connector open (cell)" in answer.lead


def test_where_nothing_fits_the_lead_says_so_first():
    answer = cause_answer(found(cause("battery flat", 0.99), fits=False), "third")
    assert answer.lead.startswith("None of the causes in the library makes this record.")
    assert "What comes nearest to third" in answer.lead


def test_what_was_broken_off_is_told():
    answer = cause_answer(found(cause("battery flat", 0.99), stopped=True), "third")
    assert "This was broken off after 300 flights of each cause." in answer.sentences


def test_arguments_and_tellings_are_answers_to_questions():
    argued = cause(
        "battery flat",
        0.6,
        speaks_for=(Argument("The record ends 2.1 s after liftoff.", 0.5, "height", 2.1),),
        speaks_against=(Argument("The canopy opened.", -0.3),),
    )
    tells = (Telling("somebody who watches the canopy", (0, 1), 0.84),)
    answer = cause_answer(found(argued, cause("", 0.4), in_set=2, tellings=tells), "third")
    asked = {each.question: each.sentences for each in answer.verdicts}
    assert asked["Battery flat (cell), 60 %?"] == (
        "For it: The record ends 2.1 s after liftoff.",
        "Against it: The canopy opened.",
    )
    assert asked["What would tell them apart next time?"] == (
        "Somebody who watches the canopy would name the right one in 84 of 100 such flights.",
    )


@pytest.mark.parametrize(
    ("probability", "words"),
    [(1.0, "over 99 %"), (0.994, "99 %"), (0.5, "50 %"), (0.004, "under 1 %"), (0.0, "under 1 %")],
)
def test_nothing_is_certain(probability, words):
    assert chance_of(probability) == words


def test_names():
    assert name_of(cause("", 0.1)) == "nothing failed"
    assert name_of(cause("wrong water", 0.1, part="vehicle")) == "wrong water"
    assert name_of(cause("battery flat", 0.1)) == "battery flat (cell)"


def test_causes_that_are_next_to_impossible_are_not_listed():
    shown = shown_causes(found(cause("battery flat", 0.995), cause("", 0.005)))
    assert [each.faults for each in shown] == [("battery flat",)]


def test_the_terminal_has_a_table_and_what_was_left_out():
    out = io.StringIO()
    result = found(cause("battery flat", 0.96), cause("", 0.04))
    print_causes(result, "third", ["a.csv: nobody said whose it is"], out)
    text = out.getvalue()
    assert "battery flat (cell)" in text
    assert "300 flights of each of 50 causes." in text
    assert "Left out: a.csv: nobody said whose it is." in text


def test_a_reliability_diagram_shows_every_bin_that_holds_something():
    dice = np.random.default_rng(1)
    said = dice.uniform(0.3, 1.0, 500)
    picture = draw_reliability(reliability(said, dice.random(500) < said))
    drawn = ElementTree.fromstring(picture)
    squares = [each for each in drawn.iter() if each.tag.endswith("rect")]
    assert len(squares) == 7  # of ten bins, those from 0.3 on
