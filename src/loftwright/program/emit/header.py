"""The header of an emitted program: its names, what it remembers, and its two functions."""

from __future__ import annotations

from loftwright.program.emit.functions import Lines
from loftwright.program.emit.plan import Plan
from loftwright.program.emit.words import comment, plain

__all__ = ["header"]


def header(plan: Plan, banner: Lines) -> str:
    """Return the text of the header."""
    guard = f"{plan.upper}_H"
    lines = [*banner, f"#ifndef {guard}", f"#define {guard}", ""]
    lines += ["#include <stdbool.h>", "#include <stdint.h>", ""]
    lines += [*_macros(plan), *_reading(plan), *_state(plan), *_functions(plan)]
    return "\n".join([*lines, f"#endif /* {guard} */", ""])


def _macros(plan: Plan) -> Lines:
    upper, table = plan.upper, plan.table
    lines = comment("Take one sample every so many milliseconds: the estimate reckons with it.")
    lines += [f"#define {upper}_STEP_MS {table.step_ms}U", ""]
    lines += [
        *comment("In place of a time that has not come."),
        f"#define {upper}_NOT_YET UINT32_MAX",
    ]
    lines += ["", *comment("Stages, by number.")]
    for number, stage in enumerate(table.stages):
        lines.append(f"#define {plan.stage(number)} {number}U /* {plain(stage.name)} */")
    lines += [f"#define {upper}_STAGES {len(table.stages)}U", "", *comment("Outputs, by number.")]
    for number, output in enumerate(table.outputs):
        lines.append(f"#define {plan.output(number)} {number}U /* {plain(output)} */")
    return [*lines, f"#define {upper}_OUTPUTS {len(table.outputs)}U", ""]


def _reading(plan: Plan) -> Lines:
    return [
        *comment("What the sensors say in one sample."),
        "typedef struct {",
        "    uint32_t now_ms; /* the controller's clock from power-up; it never runs back */",
        "    float pressure_pa; /* absolute; a reading that is not to be trusted: 0 */",
        "    float push_ms2; /* specific force along the axis; NAN where nothing measures it */",
        "    bool line_open;",
        f"}} {plan.name}_reading;",
        "",
    ]


def _state(plan: Plan) -> Lines:
    lines = comment("What the program remembers from one sample to the next: to be read, not set.")
    lines += ["typedef struct {", "    float reference_pa; /* pressure on the ground */"]
    lines += ["    float height_m;", "    float climb_ms;"]
    if plan.sees_drop:
        lines += ["    float highest_m; /* since launch */", "    float drop_m; /* below that */"]
    lines += ["    uint32_t entered_ms; /* when the stage was entered */"]
    lines += ["    uint32_t launched_ms; /* when launch was sensed */"]
    if plan.holds:
        since = "since when each exit's condition holds"
        lines.append(f"    uint32_t held_since_ms[{plan.holds}]; /* {since} */")
    outputs = f"{plan.upper}_OUTPUTS"
    if plan.has_pulses:
        lines.append(f"    uint32_t until_ms[{outputs}]; /* end of each output's pulse */")
    lines += [
        f"    {plan.number} stage;",
        "    bool has_height; /* whether there was a good reading */",
    ]
    if plan.has_ground:
        lines.append("    bool on_ground; /* whether this stage follows the ground's pressure */")
    if plan.outputs:
        lines.append(f"    bool level[{outputs}]; /* what each output is to be now */")
    return [*lines, f"}} {plan.name}_state;", ""]


def _functions(plan: Plan) -> Lines:
    name = plan.name
    return [
        *comment("Begin as at power-up, now_ms by the controller's clock. Then set the outputs."),
        f"void {name}_init({name}_state *state, uint32_t now_ms);",
        "",
        *comment("Take one sample. Then set the outputs as state->level says."),
        f"void {name}_step({name}_state *state, const {name}_reading *reading);",
        "",
    ]
