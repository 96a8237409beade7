"""What emitted C looks like: rules for code that people trust with falling things.

The rules are those of G. J. Holzmann, "The Power of Ten: rules for developing safety-critical
code", IEEE Computer 39(6), 2006, 95-99: simple control flow, loops with fixed bounds, no memory
allocated, functions of one sheet, two checks a function, no pointers to functions.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from program.made_up import demo, table

from loftwright.program.emit import emit, is_emitted
from loftwright.program.emit.conditions import in_words, tree
from loftwright.program.emit.words import comment, constant, identifiers, plain
from loftwright.program.table import Act, Action, Exit, Op, Seen, Stage, Step

SEEDS = st.integers(0, 2**32 - 1)


def bare(text: str) -> str:
    """C without its comments and strings."""
    return re.sub(r'"(\\.|[^"\\])*"', '""', re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL))


def functions(text: str) -> dict[str, list[str]]:
    """Lines of each function, its head first, by name."""
    found: dict[str, list[str]] = {}
    lines = bare(text).splitlines()
    for start, line in enumerate(lines):
        if line == "{":
            stop = lines.index("}", start)
            name = re.search(r"(\w+)\(", lines[start - 1]).group(1)
            found[name] = lines[start - 1 : stop + 1]
    return found


def large():
    """A program with long conditions and many of everything."""
    leaves = [Step(Op.MORE, Seen(i % 5), float(i)) for i in range(90)]
    joints = [Step(Op.AND if i % 7 else Op.OR) for i in range(89)]
    steps = [leaves[0]]
    for leaf, joint in zip(leaves[1:], joints, strict=True):
        steps += [leaf, joint]
    outputs = tuple(f"output {i}" for i in range(31))
    stages = tuple(
        Stage(
            name=f"stage {i}",
            exits=tuple(Exit((i + j) % 26, _lengths(steps, i, j), 20) for j in range(16)),
            acts=tuple(Act(j, Action(j % 4), 10) for j in range(31)),
            is_ground=i % 2 == 0,
        )
        for i in range(26)
    )
    return replace(demo(), outputs=outputs, stages=stages)


def _lengths(steps, stage, number):
    """The whole condition once, short ones elsewhere."""
    return tuple(steps if stage == number == 3 else steps[: 2 * (number % 3) + 1])


PROGRAMS = [demo(), large(), *(table(seed) for seed in range(40))]


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.name)
def test_functions_fit_a_sheet_and_hold_two_checks_each_on_average(program):
    parsed = functions(emit(program, "program")["program.c"])
    assert len(parsed) > 5
    assert max(len(lines) for lines in parsed.values()) < 60
    checks = sum(line.count("assert(") for lines in parsed.values() for line in lines)
    assert checks >= 2 * len(parsed)


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.name)
def test_control_flow_is_simple(program):
    for name, text in emit(program, "program").items():
        if not name.endswith(".c"):
            continue
        code = bare(text)
        words = set(re.findall(r"\w+", code))
        assert not words & {"goto", "setjmp", "longjmp", "malloc", "calloc", "realloc", "free"}
        assert not re.search(r"\(\s*\*\s*\w+\s*\)\s*\(", code)  # no pointer to a function
        assert not re.search(r"\bwhile\b", code) or name == "harness.c"
        bounds = re.findall(r"for \(\w+ (\w+) = 0U; (\w+) < (\w+); (\w+)\+\+\)", code)
        assert len(bounds) == len(re.findall(r"\bfor\b", code))
        assert all(re.fullmatch(r"\d+U|PROGRAM_[A-Z_]+", bound) for _, _, bound, _ in bounds)
        assert all(len({first, second, third}) == 1 for first, second, _, third in bounds)


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.name)
def test_nothing_calls_itself_not_even_by_others(program):
    parsed = functions(emit(program, "program")["program.c"])
    calls = {
        name: {word for line in lines[1:] for word in re.findall(r"(\w+)\(", line)} & set(parsed)
        for name, lines in parsed.items()
    }
    before: set[str] = set()
    for name in parsed:  # in order: each calls only what stands above it
        assert calls[name] <= before, name
        before.add(name)


@given(seed=SEEDS)
def test_any_program_can_be_emitted(seed):
    files = emit(table(seed))
    assert len(files) == 4
    assert all(is_emitted(text.encode()) for text in files.values())


def test_what_a_person_wrote_stands_in_the_comments():
    text = emit(demo(), phrases={(0, 0): "push > 3 g or height > 12 m"})["main_release.c"]
    assert 'From "pad" to "climbing": push > 3 g or height > 12 m, held for 60 ms.' in text
    assert "climb < 15.24 m/s" in text  # in its own words where none are given


def test_names_cannot_break_out_of_a_comment():
    name = 'end */ int x; /* and \\\n// ??/ "quoted" \u202e päd'
    program = replace(demo(), name=name, outputs=(name, "int", "9 lives"))
    program = replace(program, stages=tuple(replace(s, name=name) for s in program.stages))
    for file, text in emit(program).items():
        if not file.endswith(".md"):
            assert text.isascii()
            assert "int x" not in bare(text)
            assert "??" not in text


@given(st.text())
def test_any_text_is_one_comment(text):
    lines = comment(text)
    whole = "\n".join(lines)
    assert whole.startswith("/* ")
    assert whole.endswith(" */")
    assert whole.count("*/") == 1
    assert plain(text).isascii()


@given(st.lists(st.text()))
def test_any_names_become_different_identifiers(texts):
    words = identifiers(texts, "stage")
    assert len(set(words)) == len(texts)
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", word) for word in words)


@given(st.floats(width=32, allow_nan=False, allow_infinity=False))
def test_a_constant_is_read_back_as_the_very_number(value):
    text = constant(value)
    number = text.strip("()").removesuffix("F")
    assert np.float32(number) == np.float32(value)
    assert "." in text or "e" in text


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e39])
def test_what_no_single_precision_number_holds_is_no_constant(value):
    with pytest.raises(ValueError, match="no constant"):
        constant(value)


def test_what_cannot_be_a_program_is_refused():
    for stages in ((), demo().stages[:2]):
        with pytest.raises(ValueError, match=r"stage"):
            emit(replace(demo(), stages=stages))


def test_a_condition_is_said_as_people_would():
    steps = (
        Step(Op.MORE, Seen.PUSH, 30.0),
        Step(Op.AT_LEAST, Seen.SWITCH, 1.0),
        Step(Op.NOT),
        Step(Op.LESS, Seen.HEIGHT, 5.5),
        Step(Op.OR),
        Step(Op.AND),
    )
    assert in_words(tree(steps)) == "push > 30 m/s2 and (line closed or height < 5.5 m)"


def test_what_is_known_beforehand_is_worked_out():
    never = (Step(Op.MORE, Seen.SWITCH, 1.5), Step(Op.LESS, Seen.CLIMB, 0.0), Step(Op.AND))
    assert tree(never) is False
    assert tree((*never, Step(Op.NOT))) is True
    assert tree(()) is True
