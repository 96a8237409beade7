"""Emitted programs built by real compilers, and run on this machine."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from program.made_up import Readings

from loftwright.program.emit import emit
from loftwright.program.runner import Decisions
from loftwright.program.table import Table

__all__ = ["GCC", "build", "feed", "load", "needs", "run", "run_library", "write"]

# Everything that the compiler can warn of and that concerns C99.
GCC_WORDS = (
    "gcc -std=c99 -O2 -ffp-contract=off -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion "
    "-Wshadow -Wdouble-promotion -Wfloat-equal -Wstrict-prototypes -Wmissing-prototypes -Wundef "
    "-Wswitch-enum -Wswitch-default -Wcast-qual -Wcast-align -Wlogical-op -Wunused-macros "
    "-Wduplicated-cond -Wduplicated-branches -Wformat=2 -Wvla -Wnull-dereference "
    "-Wbad-function-cast -Werror"
)
GCC = GCC_WORDS.split()


def needs(*tools: str) -> None:
    """Skip the test that calls this where a tool is not installed; in CI it fails instead."""
    missing = [tool for tool in tools if shutil.which(tool) is None]
    if missing and os.environ.get("CI"):
        pytest.fail(f"{', '.join(missing)} must be installed where the whole suite is run")
    if missing:
        pytest.skip(f"{', '.join(missing)} is not installed here")


def run(command: Sequence[object], text: str = "") -> str:
    """Run a tool to its end and return what it printed; its complaints fail the test."""
    words = [str(word) for word in command]
    done = subprocess.run(
        words, input=text, capture_output=True, text=True, check=False, timeout=600
    )
    assert done.returncode == 0, f"{' '.join(words)}\n{done.stdout}{done.stderr}"
    return done.stdout + done.stderr


def write(table: Table, folder: Path, name: str = "program") -> Path:
    """Emit a program into a folder; return the path of its C."""
    folder.mkdir(parents=True, exist_ok=True)
    for file, text in emit(table, name).items():
        (folder / file).write_text(text, encoding="utf-8")
    return folder / f"{name}.c"


def build(table: Table, folder: Path, command: Sequence[str] = GCC) -> Path:
    """Build the harness of a program; return the path of what can be run."""
    source = write(table, folder)
    program = folder / "harness"
    run([*command, "-o", program, folder / "harness.c", source])
    return program


def feed(harness: Path, readings: Readings, stream: int = 0) -> list[str]:
    """Feed one stream to a harness; return its lines. Only samples with power are fed."""
    lines = []
    for k in range(readings.pressure.shape[1]):
        if readings.restart[stream, k]:
            lines.append("power up")
        if readings.alive[stream, k]:
            values = (readings.pressure, readings.push)
            floats = [float(each[stream, k]).hex().replace("nan", "NAN") for each in values]
            lines.append(f"{readings.now[stream, k]} {' '.join(floats)} {readings.line[stream, k]}")
    return run([harness], "\n".join([*lines, ""])).splitlines()


# ---------------------------------------------------------------- many streams at once

_DRIVER = """
#include "$name.h"
void drive_$name(long streams, long samples, const float *pressure, const float *push,
    const int32_t *line, const int32_t *now, const int32_t *alive, const int32_t *restart,
    int32_t *stage, float *height, float *climb, int32_t *levels)
{
    for (long stream = 0; stream < streams; stream++) {
        $name_state state;
        $name_init(&state, 0U);
        for (long k = stream * samples; k < (stream + 1) * samples; k++) {
            $name_reading reading = {(uint32_t)now[k], pressure[k], push[k], line[k] != 0};
            if (restart[k]) { $name_init(&state, 0U); }
            if (alive[k]) { $name_step(&state, &reading); }
            stage[k] = state.stage;
            height[k] = state.height_m;
            climb[k] = state.climb_ms;
            levels[k] = 0;
            $levels
        }
    }
}
"""
_LEVELS = "for (int i = 0; i < (int)$NAME_OUTPUTS; i++) { levels[k] |= (int)state.level[i] << i; }"


def load(tables: Sequence[Table], folder: Path) -> ctypes.CDLL:
    """Build a library of several programs, named ``program_0`` and so on."""
    sources = []
    for number, table in enumerate(tables):
        name = f"program_{number}"
        sources.append(write(table, folder, name))
        text = _DRIVER.replace("$levels", _LEVELS if table.outputs else "")
        driver = folder / f"drive_{number}.c"
        driver.write_text(text.replace("$NAME", name.upper()).replace("$name", name))
        sources.append(driver)
    library = folder / "programs.so"
    flags = ["-std=c99", "-O2", "-ffp-contract=off", "-shared", "-fPIC"]
    run(["gcc", *flags, "-o", library, *sources])
    return ctypes.CDLL(str(library))


def run_library(library: ctypes.CDLL, number: int, readings: Readings) -> Decisions:
    """Run one program of a library over streams; first openings are not worked out."""
    streams, samples = readings.pressure.shape
    given = [
        *(np.ascontiguousarray(each, np.float32) for each in (readings.pressure, readings.push)),
        *(
            np.ascontiguousarray(each, np.int32)
            for each in (readings.line, readings.now, readings.alive, readings.restart)
        ),
    ]
    found: list[NDArray[Any]] = [
        np.zeros((streams, samples), kind) for kind in ("i4", "f4", "f4", "i4")
    ]
    pointers = [each.ctypes.data_as(ctypes.c_void_p) for each in (*given, *found)]
    drive = getattr(library, f"drive_program_{number}")
    drive(ctypes.c_long(streams), ctypes.c_long(samples), *pointers)
    nobody = np.zeros(0, np.int32)
    return Decisions(nobody, nobody, nobody, *found)
