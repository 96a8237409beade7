"""Strips side by side: one clock, and one scale for lanes of one name."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from report.stripped import long_strip

from loftwright.report.drawn import gathered_strips
from loftwright.report.pair import Pair, on_one_clock, pairs_context
from loftwright.report.strip_model import Curve, Lane, Role, Strip
from loftwright.report.templating import environment

numbers = st.floats(-1e4, 1e4)


@st.composite
def strips(draw) -> Strip:
    start = draw(st.floats(-5.0, 0.0))
    end = start + draw(st.floats(0.1, 60.0))
    lanes = []
    for name in draw(st.lists(st.sampled_from(["height", "climb", "board"]), max_size=3)):
        value = np.array(draw(st.lists(numbers, max_size=5)))
        curve = Curve("", np.linspace(start, end, value.size), value, Role.RECORD)
        lanes.append(Lane(name, "m", (curve,)))
    return Strip("one", "d", start, end, tuple(lanes), close_up=(0.0, 1.0))


@given(st.lists(strips(), min_size=1, max_size=3))
def test_all_have_one_clock_and_one_scale_a_lane(given_strips: list[Strip]) -> None:
    shown = list(on_one_clock(given_strips))
    assert {(each.start, each.end) for each in shown} == {
        (min(s.start for s in given_strips), max(s.end for s in given_strips))
    }
    scales: dict[str, set[tuple[float, ...]]] = {}
    for strip, before in zip(shown, given_strips, strict=True):
        assert strip.close_up is None
        for lane, own in zip(strip.lanes, before.lanes, strict=True):
            assert replace(lane, reach=()) == own
            scales.setdefault(lane.name, set()).add(lane.reach)
            for value in own.curves[0].value.tolist():
                assert lane.reach[0] <= value <= lane.reach[1]
    assert all(len(each) == 1 for each in scales.values())


def test_figures_of_several_pairs_are_numbered_in_their_order() -> None:
    one = long_strip(50)
    pairs = [Pair(f"pair {k}", ("left", "right"), (one, one), "said") for k in range(2)]
    with gathered_strips() as gathered:
        context = pairs_context(pairs)
    assert len(gathered) == 4
    text = environment().get_template("pairs.html.j2").render(context)
    places = [text.index(f'data-strip="{number}"') for number in range(4)]
    assert places == sorted(places)
    assert text.count("<h3>Left</h3>") == 2


def test_without_pairs_nothing_is_shown() -> None:
    context = pairs_context([])
    assert environment().get_template("pairs.html.j2").render(context).strip() == ""
