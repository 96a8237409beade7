"""The plain interpreter of a release program: what it does here is what it means.

Written to be read beside the table, one sample at a time, with every rounding in sight: single
precision throughout, one operation a line where two could be fused. The compiled runner and the
emitted C do the same, to the bit.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from loftwright.program.table import (
    NO_TIME,
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

__all__ = ["Reading", "State", "power_up", "step"]

Single = np.float32
NOTHING = Single(0.0)


@dataclass(frozen=True, slots=True)
class Reading:
    """What the sensors say in one sample; ``push`` is not-a-number where nothing measures it.

    ``pressure`` in Pa, ``push`` the specific force along the axis in m/s2, ``switch`` 1 when its
    line is open; ``now_ms`` by the controller's clock, from power-up.
    """

    pressure: float
    push: float = float("nan")
    switch: int = 0
    now_ms: int = 0


@dataclass(slots=True)
class State:
    """What a controller remembers from one sample to the next."""

    stage: int = 0
    entered_ms: int = 0
    launched_ms: int = NO_TIME
    reference: Single = NOTHING  # Pa, 0 before the first good reading
    height: Single = NOTHING
    climb: Single = NOTHING
    highest: Single = NOTHING
    has_height: bool = False  # whether there has been a good reading
    # since when each exit of the stage holds, or NO_TIME
    holding: list[int] = field(default_factory=list)
    level: list[int] = field(default_factory=list)  # of each output
    until_ms: list[int] = field(default_factory=list)  # end of each output's pulse, or NO_TIME


def power_up(table: Table, now_ms: int = 0) -> State:
    """Return the state at power-up: in the first stage, whose acts are done at once."""
    outputs = len(table.outputs)
    state = State(level=[0] * outputs, until_ms=[NO_TIME] * outputs)
    _enter(table, state, 0, now_ms)
    return state


@np.errstate(all="ignore")  # readings may be anything; what comes of them is defined
def step(table: Table, state: State, reading: Reading) -> None:
    """Take one sample: end what is over, estimate, then leave the stage if an exit is ready."""
    now = reading.now_ms
    _end_pulses(state, now)
    _estimate(table, state, Single(reading.pressure))
    stage = table.stages[state.stage]
    for number, way in enumerate(stage.exits):
        # Those behind the one that is taken are not looked at: entering forgets every hold.
        if _is_ready(way, number, state, reading):
            _enter(table, state, way.to, now)
            return


def _end_pulses(state: State, now: int) -> None:
    for output, until in enumerate(state.until_ms):
        if until != NO_TIME and now >= until:
            state.level[output] = 0
            state.until_ms[output] = NO_TIME


# ---------------------------------------------------------------- the estimate


def _estimate(table: Table, state: State, pressure: Single) -> None:
    """Bring height and climb up to date; a reading that is refused leaves a prediction."""
    # Written so that not-a-number is refused.
    good = bool(pressure >= Single(table.least_pa)) and bool(pressure <= Single(table.most_pa))
    if good:
        _follow_reference(table, state, pressure)
    _ESTIMATES[table.estimator](table, state, good, pressure)
    if state.has_height and bool(state.height > state.highest):
        state.highest = state.height


def _follow_reference(table: Table, state: State, pressure: Single) -> None:
    if not state.has_height:
        state.reference = pressure
    elif table.stages[state.stage].is_ground:
        off = pressure - state.reference
        state.reference = state.reference + Single(table.reference_gain) * off


def height_of(table: Table, reference: Single, pressure: Single) -> Single:
    """Height above where the reference was read [m], by the table's series."""
    x = (reference - pressure) / reference
    height = Single(table.height_series[-1])
    for coefficient in table.height_series[-2::-1]:
        product = x * height
        height = Single(coefficient) + product
    return Single(x * height)


def _raw(table: Table, state: State, good: bool, pressure: Single) -> None:
    if not good:
        return
    height = height_of(table, state.reference, pressure)
    if state.has_height:
        state.climb = (height - state.height) / _seconds(table)
    state.height = height
    state.has_height = True


def _filter(table: Table, state: State, good: bool, pressure: Single) -> None:
    if not good:
        return
    measured = height_of(table, state.reference, pressure)
    if not state.has_height:
        state.height = measured
        state.has_height = True
        return
    before = state.height
    change = Single(table.height_gain) * (measured - before)
    state.height = before + change
    rate = (state.height - before) / _seconds(table)
    turn = Single(table.climb_gain) * (rate - state.climb)
    state.climb = state.climb + turn


def _tracking(table: Table, state: State, good: bool, pressure: Single) -> None:
    if not state.has_height:
        if good:
            state.height = height_of(table, state.reference, pressure)
            state.has_height = True
        return
    way = state.climb * _seconds(table)
    state.height = state.height + way
    if good:
        off = height_of(table, state.reference, pressure) - state.height
        change = Single(table.height_gain) * off
        state.height = state.height + change
        turn = Single(table.climb_gain) * off
        state.climb = state.climb + turn


_ESTIMATES = {Estimator.RAW: _raw, Estimator.FILTER: _filter, Estimator.TRACKING: _tracking}


def _seconds(table: Table) -> Single:
    return Single(table.step_ms) / Single(1000.0)


# ---------------------------------------------------------------- the stages


def _is_ready(way: Exit, number: int, state: State, reading: Reading) -> bool:
    clock = _clock(way, state, reading.now_ms)
    if clock == NO_TIME:
        return False
    if way.backup_ms != NO_TIME and clock >= way.backup_ms:
        return True
    in_window = clock >= way.not_before_ms and (
        way.not_after_ms == NO_TIME or clock <= way.not_after_ms
    )
    if not (in_window and _holds(way.condition, state, reading)):
        state.holding[number] = NO_TIME
        return False
    if state.holding[number] == NO_TIME:
        state.holding[number] = reading.now_ms
    return reading.now_ms - state.holding[number] >= way.hold_ms


def _clock(way: Exit, state: State, now: int) -> int:
    """Milliseconds that count for an exit, NO_TIME while its clock has not started."""
    if way.clock == Clock.STAGE:
        return now - state.entered_ms
    return NO_TIME if state.launched_ms == NO_TIME else now - state.launched_ms


def _holds(condition: tuple[Step, ...], state: State, reading: Reading) -> bool:
    """Work a condition out, postfix; one without steps always holds."""
    stack = [True]
    for each in condition:
        if each.op == Op.NOT:
            stack.append(not stack.pop())
        elif each.op in (Op.AND, Op.OR):
            right, left = stack.pop(), stack.pop()
            stack.append(left and right if each.op == Op.AND else left or right)
        else:
            stack.append(_compare(each, _look(each.seen, state, reading)))
    return stack[-1]


def _look(seen: Seen, state: State, reading: Reading) -> Single:
    """What a condition sees; estimates are not-a-number before the first good reading."""
    if seen == Seen.PRESSURE:
        return Single(reading.pressure)
    if seen == Seen.PUSH:
        return Single(reading.push)
    if seen == Seen.SWITCH:
        return Single(reading.switch)
    if not state.has_height:
        return Single(np.nan)
    if seen == Seen.DROP:
        return Single(state.highest - state.height)
    return state.height if seen == Seen.HEIGHT else state.climb


def _compare(each: Step, value: Single) -> bool:
    constant = Single(each.constant)
    if each.op == Op.LESS:
        return bool(value < constant)
    if each.op == Op.AT_MOST:
        return bool(value <= constant)
    if each.op == Op.MORE:
        return bool(value > constant)
    return bool(value >= constant)


def _enter(table: Table, state: State, number: int, now: int) -> None:
    """Enter a stage and do what it asks for; its exits begin to be watched with the next sample."""
    stage: Stage = table.stages[number]
    state.stage = number
    state.entered_ms = now
    state.holding = [NO_TIME] * len(stage.exits)
    if stage.marks_launch and state.launched_ms == NO_TIME:
        state.launched_ms = now
        state.highest = state.height
    for act in stage.acts:
        state.level[act.output] = 0 if act.action == Action.CLOSE else 1
        pulsed = act.action in (Action.PULSE, Action.SOUND)
        state.until_ms[act.output] = now + act.for_ms if pulsed else NO_TIME
