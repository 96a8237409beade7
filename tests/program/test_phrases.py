"""Every phrase of the grammar reads and says itself again; no text gives anything but a message."""

from __future__ import annotations

import string
import time

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from hypothesis.extra.lark import from_lark

from loftwright.errors.catalogue import find
from loftwright.program.logic import truths
from loftwright.program.phrases import (
    LONGEST,
    Both,
    Compare,
    Either,
    Line,
    Not,
    PhraseError,
    _grammar,
    in_units,
    parse,
    phrase_in_units,
    postfix,
    words,
)
from loftwright.program.table import Op, Seen


def came(text):
    """Return the tree of a text, or what is said against it."""
    try:
        return parse(text)
    except PhraseError as error:
        return error


TOO_MUCH = ("program-phrase-deep", "program-phrase-long")
OPS = [Op.LESS, Op.AT_MOST, Op.MORE, Op.AT_LEAST]
QUANTITIES = {
    Seen.HEIGHT: ["12 m", "40 ft", "-3 m"],
    Seen.DROP: ["2 m", "5 ft"],
    Seen.CLIMB: ["50 ft/s", "15.24 m/s", "-2 m/s", "0 m/s", "1e1 km/h"],
    Seen.PRESSURE: ["98 kPa", "1008.5 hPa"],
    Seen.PUSH: ["3 g", "30 m/s^2", "-1g"],
}


def compared(pair):
    seen, op, written = pair
    node = parse(f"{seen.name.lower()} {SIGNS[op]} {written}")
    assert isinstance(node, Compare)
    return node


SIGNS = dict(zip(OPS, ["<", "<=", ">", ">="], strict=True))
comparisons = (
    st.sampled_from(list(QUANTITIES))
    .flatmap(
        lambda seen: st.tuples(
            st.just(seen), st.sampled_from(OPS), st.sampled_from(QUANTITIES[seen])
        )
    )
    .map(compared)
)
nodes = st.recursive(
    comparisons | st.builds(Line, st.booleans()),
    lambda inner: (
        st.builds(Not, inner)
        | st.builds(Both, st.lists(inner, min_size=2, max_size=3).map(tuple))
        | st.builds(Either, st.lists(inner, min_size=2, max_size=3).map(tuple))
    ),
    max_leaves=8,
)


@given(nodes)
def test_a_tree_said_and_read_is_the_same_tree(node):
    said = words(node)
    assume(len(said) <= LONGEST)
    again = came(said)
    if isinstance(again, PhraseError):
        assert again.code in TOO_MUCH
        return
    assert again == node
    assert words(again) == said


def padded(*each):
    """Tokens with the blanks that keep words apart."""
    return st.sampled_from([f" {token} " for token in each])


FAMILIES = [
    (("height", "drop"), ("12 m", "3.5 ft", "-1e1 mm")),
    (("climb",), ("50 ft/s", "0 m/s")),
    (("push",), ("3 g", "-9.8 m/s²")),
    (("pressure",), ("98 kPa", "30 inHg")),
]


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(FAMILIES), st.data())
def test_every_phrase_of_the_grammar_reads(family, data):
    seen, quantities = family
    tokens = {name: padded(name.lower()) for name in ("LINE", "OPEN", "CLOSED", "AND", "OR", "NOT")}
    tokens |= {"SEEN": padded(*seen), "QUANTITY": padded(*quantities)}
    phrase = data.draw(from_lark(_grammar(), start="phrase", explicit=tokens))
    assume(len(phrase) <= LONGEST)
    node = came(phrase)
    if isinstance(node, PhraseError):  # too much of it, and nothing else
        assert node.code in TOO_MUCH
        return
    assert parse(words(node)) == node


LIKE = st.lists(
    st.sampled_from(
        ["height", "climb", "push", "line", "open", "and", "or", "not", "(", ")", "<", ">=", "=",
         "3 g", "12 m", "1,5 m", "50 ft/s", "5", ".5", "±", "&&", "lambda", "__", "é", "\t", "²"]
    ),
    max_size=14,
).map(" ".join)  # fmt: skip


@given(st.text(max_size=80) | st.text(string.printable, max_size=80) | LIKE)
def test_any_text_reads_or_is_told_what_is_wrong(text):
    node = came(text)
    if isinstance(node, PhraseError):
        assert find(node.code) is not None
        assert node.message
        assert node.mend
        assert 0 <= node.at <= len(text)
        return
    assert len(postfix(node)) <= 32


@pytest.mark.parametrize(
    "text",
    [
        "(" * LONGEST, "not " * 75, "(" * 140 + "line open" + ")" * 140, "height > 1 m or " * 18,
        "height > " + "9" * 280 + " m", "a" * LONGEST, " " * LONGEST, "height > 1 m" + ")" * 280,
        "x" * 10**6,
    ],
)  # fmt: skip
def test_monsters_are_refused_in_no_time(text):
    started = time.perf_counter()
    with pytest.raises(PhraseError):
        parse(text)
    assert time.perf_counter() - started < 5.0


def test_the_place_of_a_comparison_is_known():
    text = "push > 3 g or  (height   > 12 m)"
    node = parse(text)
    second = node.parts[1]
    assert text[second.at : second.at + second.width] == "height   > 12 m"
    assert second.value == 12.0


def test_and_binds_closer_than_or_and_not_closest():
    left = parse("not line open and height > 1 m or climb < 2 m/s")
    assert isinstance(left, Either)
    assert isinstance(left.parts[0], Both)
    assert isinstance(left.parts[0].parts[0], Not)


# ---------------------------------------------------------------- what a condition can come to


@pytest.mark.parametrize(
    ("phrase", "possible"),
    [
        ("climb < 5 m/s and climb > 10 m/s", {False}),
        ("climb < 5 m/s and climb >= 5 m/s", {False}),
        ("climb <= 5 m/s and climb >= 5 m/s", {True, False}),
        ("climb < 5 m/s or climb > 4 m/s", {True, False}),  # not-a-number is neither
        ("drop >= 0 m or not (drop >= 0 m)", {True}),
        ("drop < 0 m", {False}),
        ("line open and line closed", {False}),
        ("line open or line closed", {True}),
        ("height > 1 m and (climb < 1 m/s and (push > 1 g and push < 0.5 g))", {False}),
        # Between these two is no number of single precision.
        ("pressure > 101325 Pa and pressure < 101325.005 Pa", {False}),
    ],
)
def test_contradictions_are_found(phrase, possible):
    assert truths(parse(phrase)) == possible


def test_ranges_narrow_what_can_be():
    node = parse("height > 100 m or climb < -40 m/s")
    ranges = {Seen.HEIGHT: (0.0, 92.0), Seen.CLIMB: (-30.0, 40.0)}
    assert truths(node, ranges, unmeasured=False) == {False}
    assert truths(node, {Seen.HEIGHT: (0.0, 101.0)}, unmeasured=False) == {True, False}


values = st.sampled_from(
    [float("nan"), -1e3, -2.0, 0.0, 1.0, 2.0, 3.0, 12.0, 15.24, 29.42, 98e3, 1e6]
)


@given(nodes, st.tuples(values, values, values, values, values), st.integers(0, 1))
def test_what_comes_out_is_among_what_can(node, sensed, line):
    from loftwright.program.interpreter import Reading, State, _holds

    height, climb, highest, pressure, push = sensed
    assume(len(postfix(node)) <= 32)
    assume(not highest < height)  # no drop is below zero
    import numpy as np

    single = np.float32
    state = State(height=single(height), climb=single(climb), highest=single(highest))
    state.has_height = True
    assert _holds(postfix(node), state, Reading(pressure, push, line)) in truths(node)


@given(nodes, st.sampled_from(["us", "metric"]))
def test_a_phrase_in_other_units_asks_the_same(node, system):
    """What is read to a person is what is compared, to three digits, and the sense stays."""
    assume(len(words(node)) <= LONGEST and not isinstance(came(words(node)), PhraseError))
    said = in_units(node, system)
    assert shape(said) == shape(node)
    again = came(words(said))  # a longer unit may be one too many
    assume(not isinstance(again, PhraseError))
    assert shape(again) == shape(node)
    for (one, refused), (other, also) in zip(told(node), told(again), strict=True):
        assert refused == also
        if isinstance(one, Compare):
            assert other.value == pytest.approx(one.value, rel=5e-3, abs=1e-9)
    assert phrase_in_units(words(node), system) == words(said)
    assert in_units(node, None) == node


def told(node):
    from loftwright.program.phrases import comparisons as found

    return found(node)


def shape(node):
    """Return a tree without its numbers."""
    if isinstance(node, Compare):
        return (node.seen, node.op)
    if isinstance(node, Line):
        return node.is_open
    inner = (node.inner,) if isinstance(node, Not) else node.parts
    return (type(node), *map(shape, inner))


def test_what_is_no_phrase_is_said_as_it_is():
    assert phrase_in_units("backup", "us") == "backup"
    assert phrase_in_units("", "us") == ""
    assert phrase_in_units("climb  < 40 ft/s", "us") == "climb  < 40 ft/s"
