"""Emitted programs on emulated controllers: how they are built for each, and run."""

from __future__ import annotations

import subprocess
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from program.builds import needs, run, write
from program.made_up import Readings

from loftwright.program.table import Table

__all__ = ["CONTROLLERS", "Controller", "emulate", "run_on"]

HERE = Path(__file__).parent
COMMON = ("-std=c99", "-ffp-contract=off", "-Wall", "-Wextra", "-Werror")
BARE = ("-nostartfiles", "--specs=nano.specs", f"-T{HERE / 'controller.ld'}", "-mthumb")


@dataclass(frozen=True)
class Controller:
    """A kind of controller: its compiler and what emulates it."""

    compiler: tuple[str, ...]
    emulator: tuple[str, ...]
    samples: int  # that fit its memory, each 13 bytes


_ARM = ("-nographic", "-semihosting-config", "enable=on,target=native", "-kernel")

CONTROLLERS = {
    "atmega328p": Controller(
        ("avr-gcc", "-Os", "-mmcu=atmega328p"),
        ("qemu-system-avr", "-machine", "uno", "-display", "none", "-monitor", "none",
         "-serial", "stdio", "-bios"),
        1500,
    ),
    "cortex-m0": Controller(
        ("arm-none-eabi-gcc", "-Os", "-mcpu=cortex-m0", *BARE),
        ("qemu-system-arm", "-machine", "microbit", *_ARM),
        9000,
    ),
    "cortex-m4": Controller(
        ("arm-none-eabi-gcc", "-O2", "-mcpu=cortex-m4", "-mfloat-abi=hard", "-mfpu=fpv4-sp-d16",
         *BARE),
        ("qemu-system-arm", "-machine", "mps2-an386", *_ARM),
        9000,
    ),
}  # fmt: skip


def run_on(name: str, table: Table, readings: Readings, folder: Path) -> list[str]:
    """Run a program over streams on an emulated controller; return a line for each sample taken.

    Streams are run one after the other, each from power-up.
    """
    controller = CONTROLLERS[name]
    needs(controller.compiler[0], controller.emulator[0])
    source = write(table, folder)
    count = readings.pressure.size
    assert count <= controller.samples
    (folder / "readings.h").write_text(_arrays(readings), encoding="utf-8")
    image = folder / f"{name}.elf"
    main = HERE / "controller_main.c"
    run([*controller.compiler, *COMMON, f"-I{folder}", "-o", image, main, source])
    return emulate([*controller.emulator, str(image)])


def _arrays(readings: Readings) -> str:
    """Write readings as C arrays, in program memory where that is apart."""
    flags = readings.line + 2 * readings.alive + 4 * readings.restart
    flags = flags.copy()
    flags[:, 0] |= 4
    arrays: list[tuple[str, str, str, NDArray[np.uint32]]] = [
        ("PRESSURE", "uint32_t", "dword", readings.pressure.view(np.uint32)),
        ("PUSH", "uint32_t", "dword", readings.push.view(np.uint32)),
        ("NOW", "uint32_t", "dword", readings.now.astype(np.uint32)),
        ("FLAGS", "uint8_t", "byte", flags.astype(np.uint32)),
    ]
    lines = [f"#define SAMPLES {readings.pressure.size}U", "#if defined(__AVR__)"]
    lines += ["#include <avr/pgmspace.h>", "#define KEPT PROGMEM"]
    lines += [f"#define {name}(i) pgm_read_{size}(&kept_{name}[i])" for name, _, size, _ in arrays]
    lines += ["#else", "#define KEPT"]
    lines += [f"#define {name}(i) kept_{name}[i]" for name, *_ in arrays]
    lines.append("#endif")
    for name, kind, _, values in arrays:
        numbers = ", ".join(f"{value}U" + "L" * (kind == "uint32_t") for value in values.ravel())
        lines.append(f"static const {kind} kept_{name}[] KEPT = {{{numbers}}};")
    return "\n".join([*lines, ""])


def emulate(command: Sequence[str]) -> list[str]:
    """Run an emulator until the program says that it is done (some never stop by themselves)."""
    lines: list[str] = []
    with subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as emulator:
        watch = threading.Timer(120, emulator.kill)
        watch.start()
        assert emulator.stdout is not None
        for line in emulator.stdout:
            if line.strip() == ".":
                break
            lines.append(line.rstrip("\r\n"))
        else:
            lines.append("the emulator ended before the program was done")
        watch.cancel()
        emulator.kill()
    return lines
