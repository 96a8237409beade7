"""How much of a controller an emitted program takes, by real cross compilers.

Flash is what the program adds to an image that does nothing, with the library's floating point
where the processor has none.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path
from typing import NamedTuple

from loftwright.program.emit import emit
from loftwright.program.table import Table

__all__ = ["TARGETS", "Size", "size_on"]

TARGETS = {
    "ATmega328P, 8 bits": ("avr-gcc", "-mmcu=atmega328p"),
    "Cortex-M0, 32 bits": ("arm-none-eabi-gcc", "-mcpu=cortex-m0", "-mthumb"),
    "Cortex-M4F, 32 bits": (
        "arm-none-eabi-gcc", "-mcpu=cortex-m4", "-mthumb", "-mfloat-abi=hard",
        "-mfpu=fpv4-sp-d16",
    ),
}  # fmt: skip
FLAGS = ("-std=c99", "-Os", "-ffp-contract=off", "-ffunction-sections", "-Wl,--gc-sections")
MAIN = """
#include "program.h"
volatile program_reading now_read;
volatile unsigned char shown;
static program_state state;
int main(void)
{
    program_init(&state, 0U);
    for (;;) {
        program_reading reading = now_read;
        program_step(&state, &reading);
        shown = (unsigned char)(state.stage);
    }
}
"""
# The same without the program: what the image takes anyhow.
EMPTY = """
#include "program.h"
volatile program_reading now_read;
volatile unsigned char shown;
int main(void)
{
    for (;;) {
        program_reading reading = now_read;
        shown = (unsigned char)reading.line_open;
    }
}
"""
# On a bare controller a check that fails stops it; nothing is printed.
STOP = """
void __assert_func(const char *a, int b, const char *c, const char *d);
void __assert_func(const char *a, int b, const char *c, const char *d)
{
    (void)a, (void)b, (void)c, (void)d;
    for (;;) {
    }
}
"""


class Size(NamedTuple):
    """Bytes that a program takes of a controller."""

    flash: int
    flash_without_checks: int
    ram: int  # what it remembers
    frames: int  # of its functions together, on the stack, without the library's


def size_on(target: str, table: Table, folder: Path) -> Size:
    """Build a program for a target and say what it takes."""
    for name, text in emit(table, "program").items():
        (folder / name).write_text(text, encoding="utf-8")
    stop = STOP if target.startswith("Cortex") else ""
    (folder / "main.c").write_text(MAIN + stop)
    (folder / "empty.c").write_text(EMPTY)
    empty = _image(target, folder, "empty.c")
    checked = _image(target, folder, "main.c", "program.c", "-fstack-usage")
    free = _image(target, folder, "main.c", "program.c", "-DNDEBUG")
    usage = "".join(path.read_text() for path in folder.glob("*program.su"))
    frames = sum(int(line.split("\t")[1]) for line in usage.splitlines())
    return Size(checked[0] - empty[0], free[0] - empty[0], checked[1] - empty[1], frames)


def _image(target: str, folder: Path, *words: str) -> tuple[int, int]:
    """Return bytes of flash and of RAM of a whole image."""
    compiler, *options = TARGETS[target]
    image = folder / "image.elf"
    bare = ["-nostartfiles", "-Wl,-emain"] if compiler.startswith("arm") else []
    subprocess.run(
        [compiler, *options, *FLAGS, *bare, "-o", str(image), *words],
        check=True, cwd=folder, capture_output=True,
    )  # fmt: skip
    told = subprocess.run(
        [compiler.replace("gcc", "size"), str(image)], check=True, capture_output=True, text=True
    ).stdout
    text, data, bss = map(int, re.findall(r"\d+", told.splitlines()[1])[:3])
    return text + data, data + bss
