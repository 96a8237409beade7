"""A small program that feeds an emitted one from standard input, to try it on a computer."""

from __future__ import annotations

from loftwright.program.emit.functions import Lines
from loftwright.program.emit.plan import Plan

__all__ = ["harness"]


def harness(plan: Plan, banner: Lines) -> str:
    """Return the text of the harness."""
    levels = _LEVELS if plan.outputs else _NO_LEVELS
    text = (
        _TEXT.replace("$levels", levels)
        .replace("$NAME", plan.upper)
        .replace("$number", plan.number)
    )
    return "\n".join([*banner, text.replace("$name", plan.name)])


_LEVELS = """\
    for ($number output = 0U; output < $NAME_OUTPUTS; output++) {
        (void)putchar(state->level[output] ? '1' : '0');
    }"""
_NO_LEVELS = "    (void)putchar('-');"

_TEXT = """\
/* Reads one sample a line, "now_ms pressure push line" (nan where nothing measures a value; line 1
 * when it is open), or the words "power up". Prints what is after each: the stage's number, height
 * and climb as the bits of their floats, and the levels of the outputs. */
#include "$name.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LINE_LENGTH 128

/* Read one sample from a line; false when it is not one. */
static bool read_line(const char *line, $name_reading *reading)
{
    char *end = NULL;
    char *start = NULL;

    assert(line != NULL);
    assert(reading != NULL);
    reading->now_ms = (uint32_t)strtoul(line, &end, 10);
    if (end == line) {
        return false;
    }
    start = end;
    reading->pressure_pa = strtof(start, &end);
    if (end == start) {
        return false;
    }
    start = end;
    reading->push_ms2 = strtof(start, &end);
    if (end == start) {
        return false;
    }
    start = end;
    reading->line_open = strtoul(start, &end, 10) != 0UL;
    return end != start;
}

static uint32_t bits_of(float value)
{
    uint32_t bits = 0U;

    assert(sizeof(bits) == sizeof(value));
    (void)memcpy(&bits, &value, sizeof(bits));
    return bits;
}

static void print_state(const $name_state *state)
{
    assert(state != NULL);
    assert(state->stage < $NAME_STAGES);
    (void)printf("%u %08" PRIx32 " %08" PRIx32 " ", (unsigned)state->stage,
                 bits_of(state->height_m), bits_of(state->climb_ms));
$levels
    (void)putchar('\\n');
}

int main(void)
{
    char line[LINE_LENGTH];
    $name_state state;
    $name_reading reading = {0U, 0.0F, 0.0F, false};

    $name_init(&state, 0U);
    while (fgets(line, LINE_LENGTH, stdin) != NULL) {
        if (strncmp(line, "power up", strlen("power up")) == 0) {
            $name_init(&state, 0U);
        } else if (read_line(line, &reading)) {
            $name_step(&state, &reading);
            print_state(&state);
        } else {
            (void)fputs("this line is no sample\\n", stderr);
            return EXIT_FAILURE;
        }
    }
    return EXIT_SUCCESS;
}
"""
