"""The C of an emitted program: its estimate, its exits, its stages, one step."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from loftwright.program.emit.conditions import Node, in_c
from loftwright.program.emit.estimate import estimate_functions, estimate_macros
from loftwright.program.emit.functions import Function, Lines, in_parts
from loftwright.program.emit.plan import Plan, Way
from loftwright.program.emit.words import plain
from loftwright.program.table import NO_TIME, Act, Action, Clock, Stage

__all__ = ["source"]


def source(plan: Plan, banner: Lines) -> str:
    """Return the text of the program's C."""
    head = _HEAD.replace("$name", plan.name).split("\n")
    macros = [f"#define NOT_YET {plan.upper}_NOT_YET"]
    if any(_has_exits(plan, number) for number in range(len(plan.stages))):
        macros.append(f"#define STAY {plan.upper}_STAGES")
    lines = [*banner, *head, *macros, *estimate_macros(plan), ""]
    for function in _functions(plan):
        lines += function.lines()
    return "\n".join(lines)


_HEAD = """\
#include "$name.h"

#include <assert.h>
#include <float.h>
#include <stddef.h>

/* Decisions are the same on every machine only where each operation rounds by itself. */
#if defined(__FAST_MATH__)
#error "compile this without -ffast-math"
#endif
#if defined(__FINITE_MATH_ONLY__) && (__FINITE_MATH_ONLY__ != 0)
#error "compile this without -ffinite-math-only"
#endif
#if defined(FLT_EVAL_METHOD) && (FLT_EVAL_METHOD != 0) && (FLT_EVAL_METHOD != 16)
#error "float must be worked out as float: on a 32-bit PC compile with -msse2 -mfpmath=sse"
#endif
#if defined(__clang__)
#pragma STDC FP_CONTRACT OFF
#elif defined(__GNUC__)
#pragma GCC optimize("fp-contract=off")
#endif

/* These do not compile where float is not IEEE 754 binary32. */
typedef char $name_float_has_32_bits[(sizeof(float) == sizeof(uint32_t)) ? 1 : -1];
typedef char $name_float_is_binary[((FLT_RADIX == 2) && (FLT_MANT_DIG == 24)) ? 1 : -1];
typedef char $name_float_has_range[((FLT_MIN_EXP == -125) && (FLT_MAX_EXP == 128)) ? 1 : -1];
"""


def _functions(plan: Plan) -> Iterator[Function]:
    yield from estimate_functions(plan)
    if plan.has_pulses:
        yield from _pulse_functions(plan)
    for number, ways in enumerate(plan.ways):
        for way in ways:
            if way.can_be_ready:
                yield from _exit_functions(plan, number, way)
        if _has_exits(plan, number):
            yield from _next_functions(plan, number)
    yield from _find_next(plan)
    for number, stage in enumerate(plan.table.stages):
        if _begins(stage):
            yield from _begin_functions(plan, number, stage)
    yield from _begin(plan)
    yield _enter(plan)
    yield _init(plan)
    yield _step(plan)


# ---------------------------------------------------------------- pulses


def _pulse_functions(plan: Plan) -> Iterator[Function]:
    yield Function(
        "End the pulses that are over; differences, so that a clock that wraps does no harm.",
        f"static void end_pulses({plan.name}_state *state, uint32_t now_ms)",
        [
            f"for ({plan.number} output = 0U; output < {plan.upper}_OUTPUTS; output++) {{",
            "    const uint32_t past_ms = now_ms - state->until_ms[output];",
            "    if ((state->until_ms[output] != NOT_YET) && (past_ms <= (UINT32_MAX / 2U))) {",
            "        state->level[output] = false;",
            "        state->until_ms[output] = NOT_YET;",
            "    }",
            "}",
        ],
        ["now_ms != NOT_YET"],
    )


# ---------------------------------------------------------------- exits


def _exit_functions(plan: Plan, stage: int, way: Way) -> Iterator[Function]:
    """Yield the function that says whether an exit is ready, after those of long conditions."""
    parts: list[Function] = []
    name = f"exit_{plan.stages[stage]}_{way.number}"

    def own_function(node: Node) -> str:
        number = len(parts) + 1
        parts.append(Function("", "", []))  # keeps its place while its own parts are made
        return_value = in_c(node, "       ", own_function)
        head = f"static bool part_{number}_of_{name}({_constant(plan)})"
        checks = [f"state->stage < {plan.upper}_STAGES"]
        said = f"Part {number} of the condition of {name}."
        parts[number - 1] = Function(said, head, [f"return {return_value};"], checks)
        return f"part_{number}_of_{name}(state, reading)"

    body = _exit_body(way, own_function)
    # Parts are made from the outside in: the last ones are called by those before.
    yield from reversed(parts)
    to = plain(plan.table.stages[way.exit.to].name)
    said = f'From "{plan.table.stages[stage].name}" to "{to}": {way.said}{_times_said(way)}.'
    state = f"{plan.name}_state *state" if way.slot >= 0 else f"const {plan.name}_state *state"
    head = f"static bool {name}({state}, const {plan.name}_reading *reading)"
    yield Function(said, head, body, [f"state->stage == {plan.stage(stage)}"])


def _constant(plan: Plan) -> str:
    return f"const {plan.name}_state *state, const {plan.name}_reading *reading"


def _times_said(way: Way) -> str:
    each = way.exit
    of = "launch" if each.clock == Clock.LAUNCH else "the stage"
    times = [
        (each.hold_ms > 0, f", held for {each.hold_ms} ms"),
        (each.not_before_ms > 0, f", not before {each.not_before_ms} ms of {of}"),
        (each.not_after_ms != NO_TIME, f", not after {each.not_after_ms} ms of {of}"),
        (each.backup_ms != NO_TIME, f"; in any case from {each.backup_ms} ms of {of}"),
    ]
    return "".join(said for is_there, said in times if is_there)


def _exit_body(way: Way, own_function: Callable[[Node], str]) -> Lines:
    body = _clock_lines(way)
    if way.exit.backup_ms == 0:
        return [*body, "return true;"]
    if way.exit.backup_ms != NO_TIME:
        body += [f"if (clock_ms >= {way.exit.backup_ms}U) {{", "    return true;", "}"]
    if way.condition is False:
        return [*body, "return false;"]
    holds = _holds(way, own_function)
    if way.slot < 0:
        return [*body, f"return {holds};"]
    since = f"state->held_since_ms[{way.slot}]"
    return [
        *body,
        f"const bool holds = {holds};",
        "if (!holds) {",
        f"    {since} = NOT_YET;",
        "    return false;",
        "}",
        f"if ({since} == NOT_YET) {{",
        f"    {since} = reading->now_ms;",
        "}",
        f"const uint32_t held_ms = reading->now_ms - {since};",
        f"return held_ms >= {way.exit.hold_ms}U;",
    ]


def _clock_lines(way: Way) -> Lines:
    lines: Lines = []
    since = "launched_ms" if way.exit.clock == Clock.LAUNCH else "entered_ms"
    if way.exit.clock == Clock.LAUNCH:
        lines += ["if (state->launched_ms == NOT_YET) {", "    return false;", "}"]
    if way.needs_times:
        lines.append(f"const uint32_t clock_ms = reading->now_ms - state->{since};")
    return lines


def _holds(way: Way, own_function: Callable[[Node], str]) -> str:
    """Return whether window and condition hold, as an expression."""
    texts = []
    if way.exit.not_before_ms > 0:
        texts.append(f"(clock_ms >= {way.exit.not_before_ms}U)")
    if way.has_end:
        texts.append(f"(clock_ms <= {way.exit.not_after_ms}U)")
    if way.condition is not True:
        texts.append(in_c(way.condition, "                   ", own_function))
    return "\n    && ".join(texts) if texts else "true"


# ---------------------------------------------------------------- from stage to stage


def _next_functions(plan: Plan, stage: int) -> Iterator[Function]:
    ways = [way for way in plan.ways[stage] if way.can_be_ready]
    name = f"next_{plan.stages[stage]}"
    pieces = [
        [
            f"if (exit_{plan.stages[stage]}_{way.number}(state, reading)) {{",
            f"    return {plan.stage(way.exit.to)};",
            "}",
        ]
        for way in ways
    ]
    state = "" if any(way.slot >= 0 for way in ways) else "const "
    parameters = f"{state}{plan.name}_state *state, const {plan.name}_reading *reading"
    parts = in_parts(name, pieces)
    for number, (part, body) in reversed(list(enumerate(parts))):
        last = number == len(parts) - 1
        then = "return STAY;" if last else f"return {parts[number + 1][0]}(state, reading);"
        said = f'Of the exits of "{plan.table.stages[stage].name}" take the first that is ready.'
        head = f"static {plan.number} {part}({parameters})"
        yield Function(said, head, [*body, then], [f"state->stage == {plan.stage(stage)}"])


def _find_next(plan: Plan) -> Iterator[Function]:
    cases = {
        number: f"next = next_{plan.stages[number]}(state, reading);"
        for number in range(len(plan.stages))
        if _has_exits(plan, number)
    }
    writes = any(way.slot >= 0 for ways in plan.ways for way in ways)
    state = f"{plan.name}_state *state" if writes else f"const {plan.name}_state *state"
    head = f"static {plan.number} $part({state}, const {plan.name}_reading *reading)"
    said = "Return the stage that is to be entered, or STAY."
    for name, switch in _switches(plan, "find_next", cases, "next = $part(state, reading);"):
        body = [f"{plan.number} next = STAY;", "", *switch, "return next;"]
        yield Function(said, head.replace("$part", name), body, [_in_range(plan)])


def _switches(
    plan: Plan, name: str, cases: dict[int, str], otherwise: str
) -> Iterator[tuple[str, Lines]]:
    """Yield switches over the stage, each with its function's name, the last one first.

    Each but the last hands what it does not know to the next.
    """
    pieces = [
        [f"case {plan.stage(number)}:", f"    {statement}", "    break;"]
        for number, statement in cases.items()
    ]
    parts = in_parts(name, pieces) if pieces else []
    after: Lines = []
    for part, lines in reversed(parts):
        yield part, ["switch (state->stage) {", *lines, "default:", *after, "    break;", "}"]
        after = [f"    {otherwise.replace('$part', part)}"]


def _in_range(plan: Plan) -> str:
    return f"state->stage < {plan.upper}_STAGES"


def _has_exits(plan: Plan, number: int) -> bool:
    return any(way.can_be_ready for way in plan.ways[number])


def _begins(stage: Stage) -> bool:
    """Tell whether something is done on entering a stage."""
    return bool(stage.acts) or stage.is_ground or stage.marks_launch


def _begin_functions(plan: Plan, number: int, stage: Stage) -> Iterator[Function]:
    pieces = [_act_lines(plan, act) for act in stage.acts]
    if stage.is_ground:
        pieces.insert(0, ["state->on_ground = true;"])
    if stage.marks_launch:
        highest = ["    state->highest_m = state->height_m;"] if plan.sees_drop else []
        launch = ["if (state->launched_ms == NOT_YET) {", "    state->launched_ms = now_ms;"]
        pieces.insert(0, [*launch, *highest, "}"])
    after: Lines = []
    for part, body in reversed(in_parts(f"begin_{plan.stages[number]}", pieces)):
        yield Function(
            f'Do what "{stage.name}" asks for.',
            f"static void {part}({plan.name}_state *state, uint32_t now_ms)",
            [*body, *after],
            [f"state->stage == {plan.stage(number)}"],
        )
        after = [f"{part}(state, now_ms);"]


def _act_lines(plan: Plan, act: Act) -> Lines:
    output = plan.output(act.output)
    level = "false" if act.action == Action.CLOSE else "true"
    pulsed = act.action in (Action.PULSE, Action.SOUND)
    until = f"now_ms + {act.for_ms}U" if pulsed else "NOT_YET"
    ends = [f"state->until_ms[{output}] = {until};"] if plan.has_pulses else []
    return [f"state->level[{output}] = {level};", *ends]


def _begin(plan: Plan) -> Iterator[Function]:
    cases = {
        number: f"begin_{plan.stages[number]}(state, now_ms);"
        for number, stage in enumerate(plan.table.stages)
        if _begins(stage)
    }
    head = f"static void $part({plan.name}_state *state, uint32_t now_ms)"
    said = "Do what the stage that has just been entered asks for."
    for name, switch in _switches(plan, "begin", cases, "$part(state, now_ms);"):
        yield Function(said, head.replace("$part", name), switch, [_in_range(plan)])


def _enter(plan: Plan) -> Function:
    body = ["state->stage = stage;", "state->entered_ms = now_ms;"]
    if plan.holds:
        body += [f"for ({plan.number} slot = 0U; slot < {plan.holds}U; slot++) {{"]
        body += ["    state->held_since_ms[slot] = NOT_YET;", "}"]
    if plan.has_ground:
        body.append("state->on_ground = false;")
    if any(_begins(stage) for stage in plan.table.stages):
        body.append("begin(state, now_ms);")
    return Function(
        "Enter a stage; its exits begin to be watched with the next sample.",
        f"static void enter({plan.name}_state *state, {plan.number} stage, uint32_t now_ms)",
        body,
        [f"stage < {plan.upper}_STAGES"],
    )


# ---------------------------------------------------------------- what others call


def _init(plan: Plan) -> Function:
    floats = ["reference_pa", "height_m", "climb_ms"]
    floats += ["highest_m", "drop_m"] if plan.sees_drop else []
    body = [f"state->{name} = 0.0F;" for name in floats]
    body += ["state->launched_ms = NOT_YET;", "state->has_height = false;"]
    if plan.outputs:
        body.append(f"for ({plan.number} output = 0U; output < {plan.upper}_OUTPUTS; output++) {{")
        body.append("    state->level[output] = false;")
        body += ["    state->until_ms[output] = NOT_YET;"] if plan.has_pulses else []
        body.append("}")
    return Function(
        "At power-up: in the first stage, whose acts are done at once.",
        f"void {plan.name}_init({plan.name}_state *state, uint32_t now_ms)",
        [*body, f"enter(state, {plan.stage(0)}, now_ms);"],
        ["now_ms != NOT_YET"],
    )


def _step(plan: Plan) -> Function:
    body = ["end_pulses(state, reading->now_ms);"] if plan.has_pulses else []
    body.append("estimate(state, reading->pressure_pa);")
    if any(_has_exits(plan, number) for number in range(len(plan.stages))):
        body += ["", f"const {plan.number} next = find_next(state, reading);"]
        body += ["if (next != STAY) {", "    enter(state, next, reading->now_ms);", "}"]
    return Function(
        "One sample: end what is over, estimate, then leave the stage if an exit is ready.",
        f"void {plan.name}_step({plan.name}_state *state, const {plan.name}_reading *reading)",
        body,
        [_in_range(plan), "reading->now_ms != NOT_YET"],
    )
