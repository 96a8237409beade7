"""Numbers of release programs that can be turned, by name."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents import read_campaign
from loftwright.errors import ProblemError
from loftwright.program.assemble import assemble
from loftwright.program.table import Seen
from loftwright.rehearsal.knobs import knobs_of, read_knobs, read_setting, turned

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
PROGRAMS = read_campaign(EXAMPLES / "sedge-lift-rehearsed").programs
KNOBS = {knob.path: knob for knob in knobs_of(PROGRAMS)}


def test_every_number_of_every_program_has_a_name_of_its_own():
    assert len(KNOBS) == len(list(knobs_of(PROGRAMS)))
    assert {
        "board.climbing.climb",
        "board.climbing.hold",
        "board.climbing.not_before",
        "board.climbing.backup",
        "board.let go.drop",
        "board.estimate.unsteadiness",
        "timer.flying.backup",
        "timer.pad.hold",
    } <= set(KNOBS)


@pytest.mark.parametrize("path", sorted(KNOBS))
def test_turning_a_number_to_what_it_is_changes_nothing(path):
    knob = KNOBS[path]
    same = turned(PROGRAMS, {knob: knob.now})
    for name, program in PROGRAMS.items():
        assert assemble(same[name]) == assemble(program)


@given(st.sampled_from(sorted(KNOBS)), st.floats(1.1, 1.9))
def test_a_number_reads_back_as_it_was_turned(path, factor):
    knob = KNOBS[path]
    again = {each.path: each for each in knobs_of(turned(PROGRAMS, {knob: knob.now * factor}))}
    assert again[path].now == pytest.approx(knob.now * factor, rel=1e-12)
    others = {name: each.now for name, each in again.items() if name != path}
    assert others == {name: each.now for name, each in KNOBS.items() if name != path}


def test_only_its_own_comparison_is_turned():
    knob = KNOBS["board.let go.drop"]
    (way,) = assemble(turned(PROGRAMS, {knob: 5.0})["board"]).stages[2].exits
    constants = {step.seen: step.constant for step in way.condition[:2]}
    assert constants == {Seen.CLIMB: 2.0, Seen.DROP: 5.0}


def test_a_range_is_read_in_its_own_unit():
    (knob,) = read_knobs(PROGRAMS, ["board.climbing.climb=40 ft/s..60 ft/s"])
    assert (knob.low, knob.high) == (pytest.approx(12.192), pytest.approx(18.288))
    assert knob.shown(15.24) == "50 ft/s"
    assert read_setting(PROGRAMS, "timer.flying.backup=5 s")[1] == 5.0


@pytest.mark.parametrize(
    ("texts", "code", "said"),
    [
        (["board.climbing.clim=1 m/s..2 m/s"], "tune-unknown-knob", "did you mean"),
        (["nothing like it"], "tune-unknown-knob", "there are"),
        (["board.climbing.climb"], "study-range", "write it like"),
        (["board.climbing.climb=3 m/s"], "study-range", "write it like"),
        (["board.climbing.climb=3 m/s..2 m/s"], "study-range", "lesser"),
        (["board.climbing.climb=3 m..4 m"], "quantity-wrong-dimension", ""),
        (["board.climbing.hold=0 s..1 s"], "study-range", "narrow"),
        (["board.climbing.climb=1 m/s..2 m/s"] * 2, "study-range", "once"),
    ],
)
def test_what_is_no_range_is_told(texts, code, said):
    with pytest.raises(ProblemError) as raised:
        read_knobs(PROGRAMS, texts)
    assert raised.value.problems[0].code == code
    assert said in raised.value.problems[0].mend
