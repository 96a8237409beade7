"""Small random tables, and an abstract machine that tries every outcome of every condition."""

from __future__ import annotations

from itertools import product

from hypothesis import strategies as st

from loftwright.program.table import (
    ALWAYS,
    NO_TIME,
    Act,
    Action,
    Clock,
    Estimator,
    Exit,
    Op,
    Seen,
    Stage,
    Step,
    Table,
)

STEP = 20  # ms
SERIES = (8434.5, 3414.9, 2060.0, 1447.0, 1102.5, 883.8)


def table_of(stages, outputs=("latch",), step=STEP, estimator=Estimator.RAW):
    return Table(
        "test", tuple(outputs), tuple(stages), step, estimator, 1.0, 1.0, 0.01, 3e4, 1.1e5, SERIES
    )


# Conditions of which a stream can make any true or false: on a line, and on a push.
OPEN = (Step(Op.AT_LEAST, Seen.SWITCH, 0.5),)
CONDITIONS = (
    OPEN,
    (Step(Op.LESS, Seen.SWITCH, 0.5),),
    (Step(Op.MORE, Seen.PUSH, 10.0),),
    (Step(Op.LESS, Seen.PUSH, -10.0), Step(Op.NOT)),
    (Step(Op.MORE, Seen.HEIGHT, 20.0), Step(Op.LESS, Seen.PUSH, 5.0), Step(Op.AND)),
    ALWAYS,
)


@st.composite
def exits(draw, count, conditions=CONDITIONS, longest=6):
    times = st.integers(0, longest * STEP)
    before = draw(st.sampled_from([0, 0, 0, draw(times)]))
    after = draw(st.sampled_from([NO_TIME, NO_TIME, before + draw(times)]))
    return Exit(
        to=draw(st.integers(0, count - 1)),
        condition=draw(st.sampled_from(conditions)),
        hold_ms=draw(st.sampled_from([0, 0, draw(st.integers(0, 2 * STEP))])),
        not_before_ms=before,
        not_after_ms=after,
        backup_ms=draw(st.sampled_from([NO_TIME, NO_TIME, draw(times)])),
        clock=draw(st.sampled_from(list(Clock))),
    )


@st.composite
def tables(draw, conditions=CONDITIONS, most=4, longest=6):
    count = draw(st.integers(1, most))
    stages = []
    for number in range(count):
        ways = draw(st.lists(exits(count, conditions, longest), max_size=3))
        opens = draw(st.sampled_from([False, False, True])) and number > 0
        acts = (Act(0, draw(st.sampled_from([Action.OPEN, Action.PULSE])), 100),) if opens else ()
        launch = draw(st.sampled_from([False, True]))
        stages.append(Stage(f"s{number}", tuple(ways), acts, marks_launch=launch))
    return table_of(stages)


def reached(table, longest):
    """Return every (stage, samples since power-up, since launch or None) of a first opening.

    Each condition that is not ALWAYS holds or fails as it likes in every sample: all outcomes are
    tried. The second result tells whether a run is still going on after ``longest`` samples.
    """
    opened, live = set(), set()
    start = _entered(table, 0, 0, None)
    states = {start}
    if table.stages[0].acts:
        return {(0, 0, 0 if table.stages[0].marks_launch else None)}, {start}
    for now in range(longest):
        following = set()
        for stage, entered, launched, holding in states:
            ways = table.stages[stage].exits
            free = [[True] if not way.condition else [False, True] for way in ways]
            for truths in product(*free):
                to, held = _sample(ways, truths, now, entered, launched, holding)
                if to is None:
                    following.add((stage, entered, launched, held))
                    continue
                state = _entered(table, to, now, launched)
                if table.stages[to].acts:
                    opened.add((to, now, None if state[2] is None else now - state[2]))
                else:
                    following.add(state)
        states = live = following
    return opened, live


def _entered(table, stage, now, launched):
    if launched is None and table.stages[stage].marks_launch:
        launched = now
    return stage, now, launched, (None,) * len(table.stages[stage].exits)


def _sample(ways, truths, now, entered, launched, holding):
    held = list(holding)
    for number, (way, truth) in enumerate(zip(ways, truths, strict=True)):
        if way.clock == Clock.LAUNCH and launched is None:
            continue
        clock = STEP * (now - (entered if way.clock == Clock.STAGE else launched))
        if way.backup_ms != NO_TIME and clock >= way.backup_ms:
            return way.to, None
        late = way.not_after_ms != NO_TIME and clock > way.not_after_ms
        if not truth or clock < way.not_before_ms or late:
            held[number] = None
            continue
        if held[number] is None:
            held[number] = now
        if STEP * (now - held[number]) >= way.hold_ms:
            return way.to, None
    return None, tuple(held)
