"""The stages of a program: every way out has its words, and no line meets a word."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report import rehearsed
from report.test_strip import boxes

from loftwright.program.table import NO_TIME, Act, Action, Clock, Exit, Stage
from loftwright.report.folding import folded
from loftwright.report.stage_words import (
    StagePicture,
    act_words,
    duration,
    exit_words,
)
from loftwright.report.stages import WIDTHS, draw_stages
from loftwright.report.svg import Box, text_width
from loftwright.report.tracks import assign_tracks

NAMESPACE = "{http://www.w3.org/2000/svg}"
WORDS = st.sampled_from(["pad", "climbing", "let go", "waiting for the canopy to open", "W" * 60])
CONDITION = st.sampled_from(
    ["", "push > 3 g or height > 12 m", "climb < 50 ft/s", "not (line open and height < 2 m) " * 4]
)


@st.composite
def pictures(draw: st.DrawFn) -> StagePicture:
    count = draw(st.integers(1, 7))
    ways = st.builds(
        Exit, st.integers(0, count - 1), st.just(()), st.sampled_from([0, 40, 2000]),
        st.sampled_from([0, 800]), st.sampled_from([NO_TIME, 5000]),
        st.sampled_from([NO_TIME, 3600]), st.sampled_from(list(Clock)),
    )  # fmt: skip
    acts = st.builds(Act, st.integers(0, 1), st.sampled_from(list(Action)), st.just(500))
    stages = tuple(
        Stage(draw(WORDS), tuple(draw(st.lists(ways, max_size=4))),
              tuple(draw(st.lists(acts, max_size=2))), draw(st.booleans()), draw(st.booleans()))
        for _ in range(count)
    )  # fmt: skip
    conditions = [[draw(CONDITION) for _ in stage.exits] for stage in stages]
    return StagePicture(replace(rehearsed.table(), stages=stages), conditions)


def lines(drawn: str) -> list[tuple[float, float, float, float]]:
    """Every straight piece of every line, arrow heads left out."""
    found = []
    root = ET.fromstring(drawn)
    for line in root.iter(f"{NAMESPACE}line"):
        found.append(tuple(float(line.get(k, 0)) for k in ("x1", "y1", "x2", "y2")))
    for path in root.iter(f"{NAMESPACE}path"):
        if path.get("fill") != "none":
            continue
        for piece in path.get("d", "")[1:].split("M"):
            x, y = (float(v) for v in piece.split("l")[0].split(","))
            for step in piece.split("l")[1:]:
                dx, dy = (float(v) for v in step.split(","))
                found.append((x, y, x + dx, y + dy))
                x, y = x + dx, y + dy
    return found


def crosses(piece: tuple[float, float, float, float], box: Box) -> bool:
    x1, y1, x2, y2 = piece
    return Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)).overlaps(box, gap=-0.5)


@settings(max_examples=60)
@given(pictures(), st.sampled_from(list(WIDTHS)))
def test_no_word_meets_a_word_or_a_line_or_the_edge(picture: StagePicture, width: str) -> None:
    drawn = draw_stages(picture, WIDTHS[width], width)
    texts = boxes(drawn)
    for one, other in combinations(texts, 2):
        assert not one.overlaps(other, gap=-1.5), (one, other)
    for box in texts:
        assert box.left >= 0
        assert box.right <= WIDTHS[width].width + 0.5
        assert not [piece for piece in lines(drawn) if crosses(piece, box)]


@settings(max_examples=60)
@given(pictures())
def test_two_ways_aside_never_run_along_the_same_track(picture: StagePicture) -> None:
    drawn = draw_stages(picture, WIDTHS["narrow"])
    asides = [
        piece for path in ET.fromstring(drawn).iter(f"{NAMESPACE}path")
        if path.get("fill") == "none"
        for piece in lines(f'<svg xmlns="{NAMESPACE[1:-1]}">{ET.tostring(path).decode()}</svg>')
        if piece[0] == piece[2]
    ]  # fmt: skip
    for one, other in combinations(asides, 2):
        if abs(one[0] - other[0]) < 1:
            low, high = max(min(one[1::2]), min(other[1::2])), min(max(one[1::2]), max(other[1::2]))
            assert low >= high


def test_every_stage_way_out_and_act_is_told() -> None:
    drawn = draw_stages(rehearsed.picture(), WIDTHS["wide"])
    shown = " ".join(t.text or "" for t in ET.fromstring(drawn).iter(f"{NAMESPACE}text"))
    for words in (
        "climbing", "to pad (back)", "when height < 2 m, held for 0.5\u00a0s", "– latch opens",
        "– beeper sounds for 2\u00a0s", "launch is sensed here", "at power-up", "stays here",
    ):  # fmt: skip
        assert words in shown
    root = ET.fromstring(drawn)
    assert root.find(f"{NAMESPACE}title").text == "Stages of Main release"
    assert "To let go when climb < 50 ft/s" in root.find(f"{NAMESPACE}desc").text


def test_only_what_leads_back_is_dashed() -> None:
    drawn = draw_stages(rehearsed.picture(), WIDTHS["wide"])
    assert drawn.count("stroke-dasharray") == 1


@pytest.mark.parametrize(
    ("way", "condition", "words"),
    [
        (Exit(1, (), 60), "push > 3 g", "when push > 3 g, held for 60 ms"),
        (Exit(1, ()), "", "at once"),
        (Exit(1, (), 0, 500), "", "not before 0.5 s (in this stage)"),
        (Exit(1, (), 0, 0, 9000, clock=Clock.LAUNCH), "line open",
         "when line open, not after 9 s (since launch)"),
        (Exit(1, (), 40, 800, 3000, 3600, Clock.LAUNCH), "climb < 15 m/s",
         "when climb < 15 m/s, held for 40 ms, from 0.8 s to 3 s; at 3.6 s whatever happens "
         "(since launch)"),
        (Exit(1, (), backup_ms=0), "line open", "when line open; at 0 s whatever happens "
         "(in this stage)"),
    ],
)  # fmt: skip
def test_a_way_out_in_words(way: Exit, condition: str, words: str) -> None:
    assert exit_words(way, condition).replace("\u00a0", " ") == words


@pytest.mark.parametrize(
    ("milliseconds", "words"), [(0, "0 s"), (60, "60 ms"), (100, "0.1 s"), (1250, "1.25 s"),
                                (60_000, "60 s")],
)  # fmt: skip
def test_times_are_written_short(milliseconds: int, words: str) -> None:
    assert duration(milliseconds).replace("\u00a0", " ") == words


def test_acts_in_words() -> None:
    table = rehearsed.table()
    assert act_words(table, Act(0, Action.CLOSE)) == "latch closes"
    assert act_words(table, Act(1, Action.PULSE, 500)) == "beeper pulses for 0.5\u00a0s"


@given(pictures(), st.sampled_from(sorted(WIDTHS)))
def test_all_words_stand_within_the_drawing(picture: StagePicture, width: str) -> None:
    root = ET.fromstring(draw_stages(picture, WIDTHS[width]))
    height = float(root.get("viewBox", "").split()[3])
    assert all(float(text.get("y", 0)) <= height for text in root.iter(f"{NAMESPACE}text"))


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 100)).map(lambda s: tuple(sorted(s)))))
def test_what_shares_a_track_does_not_meet(spans: list[tuple[float, float]]) -> None:
    tracks = assign_tracks(spans, apart=1.0)
    for one, other in combinations(range(len(spans)), 2):
        if tracks[one] == tracks[other]:
            (a, b), (c, d) = spans[one], spans[other]
            assert b + 1.0 < c or d + 1.0 < a


@given(st.lists(st.sampled_from(["pad", "W" * 20, "a-b-c-" * 9, "latch"])), st.floats(30, 300))
def test_folded_lines_fit_and_keep_all_short_words(words: list[str], width: float) -> None:
    found = folded(" ".join(words), width, 12)
    assert all(text_width(line, 12) <= width for line in found)
    assert " ".join(found).split().count("pad") == words.count("pad")
