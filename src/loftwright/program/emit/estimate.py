"""C of how height and climb follow from pressure: one operation a line, each rounded once."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.program.emit.functions import Function, Lines
from loftwright.program.emit.plan import Plan
from loftwright.program.emit.words import constant
from loftwright.program.single import single
from loftwright.program.table import Estimator

__all__ = ["estimate_functions", "estimate_macros"]


def estimate_macros(plan: Plan) -> Lines:
    """Return the constants that the functions read."""
    table = plan.table
    values = {"LEAST_PA": table.least_pa, "MOST_PA": table.most_pa}
    if table.estimator != Estimator.RAW:
        values |= {"HEIGHT_GAIN": table.height_gain, "CLIMB_GAIN": table.climb_gain}
    if plan.has_ground:
        values["GROUND_GAIN"] = table.reference_gain
    values["STEP_S"] = _seconds(table.step_ms)
    return [f"#define {name} {constant(value)}" for name, value in values.items()]


def _seconds(step_ms: int) -> float:
    # Both are exact in double precision, and so near that rounding twice is rounding once: the
    # quotient of two single-precision numbers has no nearer neighbour in double precision.
    return single(single(step_ms) / 1000.0)


def estimate_functions(plan: Plan) -> Iterator[Function]:
    """Yield the functions of the estimate, callees first."""
    yield _height_above(plan)
    yield _follow_ground(plan)
    if plan.table.estimator == Estimator.TRACKING:
        yield _predict(plan)
    yield _take_height(plan)
    if plan.sees_drop:
        yield _follow_highest(plan)
    yield _estimate(plan)


def _height_above(plan: Plan) -> Function:
    *others, last = plan.table.height_series
    body = [
        "const float fall = reference_pa - pressure_pa;",
        "const float x = fall / reference_pa;",
    ]
    body += [f"float height_m = {constant(last)};", "float product;", ""]
    for coefficient in reversed(others):
        body += ["product = x * height_m;", f"height_m = {constant(coefficient)} + product;"]
    body += ["product = x * height_m;", "return product;"]
    return Function(
        "Height of a good reading above where the reference was read: a series in the share of the "
        "pressure that is lost, in place of a power function.",
        "static float height_above(float reference_pa, float pressure_pa)",
        body,
        ["pressure_pa >= LEAST_PA", "pressure_pa <= MOST_PA"],
    )


def _follow_ground(plan: Plan) -> Function:
    first = ["if (!state->has_height) {", "    state->reference_pa = pressure_pa;"]
    later = [
        "} else if (state->on_ground) {",
        "    const float off = pressure_pa - state->reference_pa;",
        "    const float change = GROUND_GAIN * off;",
        "    state->reference_pa = state->reference_pa + change;",
    ]
    return Function(
        "Take the first good reading as the ground's, and follow it while the stage asks for that.",
        f"static void follow_ground({plan.name}_state *state, float pressure_pa)",
        [*first, *(later if plan.has_ground else []), "}"],
        ["pressure_pa >= LEAST_PA"],
    )


def _predict(plan: Plan) -> Function:
    return Function(
        "Move the height on by the climb.",
        f"static void predict({plan.name}_state *state)",
        [
            "const float way = state->climb_ms * STEP_S;",
            "state->height_m = state->height_m + way;",
        ],
        ["state->has_height"],
    )


def _take_height(plan: Plan) -> Function:
    bodies = {
        Estimator.RAW: _RAW,
        Estimator.FILTER: _FILTER,
        Estimator.TRACKING: _TRACKING,
    }
    return Function(
        "Bring height and climb up to date with a height as it was read.",
        f"static void take_height({plan.name}_state *state, float measured_m)",
        bodies[plan.table.estimator],
        [f"state->stage < {plan.upper}_STAGES"],
    )


_RAW = [
    "if (state->has_height) {",
    "    const float rise = measured_m - state->height_m;",
    "    state->climb_ms = rise / STEP_S;",
    "}",
    "state->height_m = measured_m;",
    "state->has_height = true;",
]
_FILTER = [
    "if (!state->has_height) {",
    "    state->height_m = measured_m;",
    "    state->has_height = true;",
    "} else {",
    "    const float before = state->height_m;",
    "    const float off = measured_m - before;",
    "    const float change = HEIGHT_GAIN * off;",
    "    const float height_m = before + change;",
    "    const float rise = height_m - before;",
    "    const float rate = rise / STEP_S;",
    "    const float faster = rate - state->climb_ms;",
    "    const float turn = CLIMB_GAIN * faster;",
    "    state->height_m = height_m;",
    "    state->climb_ms = state->climb_ms + turn;",
    "}",
]
_TRACKING = [
    "if (!state->has_height) {",
    "    state->height_m = measured_m;",
    "    state->has_height = true;",
    "} else {",
    "    const float off = measured_m - state->height_m;",
    "    const float change = HEIGHT_GAIN * off;",
    "    const float turn = CLIMB_GAIN * off;",
    "    state->height_m = state->height_m + change;",
    "    state->climb_ms = state->climb_ms + turn;",
    "}",
]


def _follow_highest(plan: Plan) -> Function:
    return Function(
        "Keep the greatest height, and how far the height is below it.",
        f"static void follow_highest({plan.name}_state *state)",
        [
            "if (state->has_height && (state->height_m > state->highest_m)) {",
            "    state->highest_m = state->height_m;",
            "}",
            "state->drop_m = state->highest_m - state->height_m;",
        ],
        [f"state->stage < {plan.upper}_STAGES"],
    )


def _estimate(plan: Plan) -> Function:
    body = [
        "/* Written so that not-a-number is refused. */",
        "const bool good = (pressure_pa >= LEAST_PA) && (pressure_pa <= MOST_PA);",
        "",
    ]
    if plan.table.estimator == Estimator.TRACKING:
        body += ["if (state->has_height) {", "    predict(state);", "}"]
    body += ["if (good) {", "    follow_ground(state, pressure_pa);"]
    body += ["    take_height(state, height_above(state->reference_pa, pressure_pa));", "}"]
    if plan.sees_drop:
        body.append("follow_highest(state);")
    return Function(
        "Bring height and climb up to date; a reading that is refused leaves what is known.",
        f"static void estimate({plan.name}_state *state, float pressure_pa)",
        body,
        [f"state->stage < {plan.upper}_STAGES"],
    )
