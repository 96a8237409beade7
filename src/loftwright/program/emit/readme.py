"""The page that goes with an emitted program: how to call it, build it, and what to heed."""

from __future__ import annotations

from loftwright.program.emit.plan import Plan
from loftwright.program.emit.words import plain

__all__ = ["readme"]


def readme(plan: Plan, mark: str) -> str:
    """Return the text of the page, in Markdown."""
    table = plan.table
    outputs = "\n".join(
        f"| `{plan.output(number)}` | {plain(name)} |" for number, name in enumerate(table.outputs)
    )
    values = {
        "$mark": mark,
        "$title": plain(table.name),
        "$step": str(table.step_ms),
        "$least": f"{table.least_pa:.6g}",
        "$most": f"{table.most_pa:.6g}",
        "$set": _set_outputs(plan),
        "$outputs": f"| number | output |\n|---|---|\n{outputs}"
        if outputs
        else "It has no outputs.",
        "$NAME": plan.upper,
        "$name": plan.name,
    }
    text = _TEXT
    for word, value in values.items():
        text = text.replace(word, value)
    return text


def _set_outputs(plan: Plan) -> str:
    return (
        "\n".join(
            f"    set_{word}(state->level[{plan.output(number)}]);"
            for number, word in enumerate(plan.outputs)
        )
        or "    (void)state;"
    )


_TEXT = """\
<!-- $mark. Change the program, not this file, and emit it again. -->
# $title, in C

`$name.h` and `$name.c` are the release program, in C99. They call nothing, allocate nothing and
keep everything in one `$name_state`. `harness.c` runs the program on a computer.

## Before it flies

This code decides as the program did in rehearsal, for the readings that it is given. Whether the
readings, the wiring and what the outputs move are right, it cannot know.

- Whoever flies it tests it: on the bench, with the very sensors, battery and actuators; then on the
  ground with the payload, people clear; then in a flight whose failure would hurt nobody.
- What comes down falls on somebody's field. Keep people and animals out from under the flight, and
  assume that the release fails.
- Pressure vessels are pressurised from a distance, behind cover. An output must not be able to let
  anything go while somebody stands at the rocket.
- Local codes and the rules of your field come first; where they ask for licensed practice or for a
  second person's eyes, this code is no substitute.

## In a controller's loop

Take one sample every $step ms, whatever else the loop does; the estimate reckons with that. The
clock is in milliseconds from power-up and never runs back. A reading that failed is passed on as
pressure 0: readings outside $least Pa to $most Pa are refused. Where nothing measures the push, it
is `NAN`.

```c
#include "$name.h"

static $name_state program;

static void set_outputs(const $name_state *state)
{
$set
}

void setup(void)
{
    $name_init(&program, milliseconds());
    set_outputs(&program);
}

void loop(void)
{
    $name_reading reading;

    wait_for_next_sample($NAME_STEP_MS);
    reading.now_ms = milliseconds();
    reading.pressure_pa = read_pressure();
    reading.push_ms2 = read_push();
    reading.line_open = line_is_open();
    $name_step(&program, &reading);
    set_outputs(&program);
}
```

`milliseconds`, `wait_for_next_sample`, `read_...` and `set_...` are yours. `program.stage`,
`program.height_m` and `program.climb_ms` may be read, to be logged.

$outputs

## Building

    cc -std=c99 -O2 -ffp-contract=off -o harness harness.c $name.c
    avr-gcc -std=c99 -Os -mmcu=atmega328p -ffp-contract=off -c $name.c
    arm-none-eabi-gcc -std=c99 -Os -mcpu=cortex-m4 -mthumb -mfloat-abi=hard -mfpu=fpv4-sp-d16 \\
        -ffp-contract=off -c $name.c

Never with `-ffast-math`, and always with `-ffp-contract=off`: else a compiler may round two
operations as one, and decide otherwise than the rehearsal did. The file refuses what it can see of
that.

`assert` checks what must always be true. On a controller it usually stops the program, and a
stopped program lets nothing go: keep the checks in while you test, then decide. `-DNDEBUG` leaves
them out.

The harness reads lines `now_ms pressure push line`, and prints the stage, height and climb as the
bits of their floats, and the outputs:

    printf '0 101325 9.8 0\\n$step 101320 9.8 0\\n' | ./harness
"""
