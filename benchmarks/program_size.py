"""How much of a controller an emitted program takes: flash and RAM, by real cross compilers.

    python benchmarks/program_size.py [FILE ...]

FILE is a release program; left out, it is the one that tests run on emulated controllers. Needs
avr-gcc and arm-none-eabi-gcc. What is measured says tests/program/sizes.py.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from loftwright.program.table import Table

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))


def measure(tables: dict[str, Table]) -> list[str]:
    """Measure; return the lines of the table."""
    from program.sizes import TARGETS, size_on

    lines = [
        "| program on | flash, bytes | without checks | RAM, bytes | frames on the stack, bytes |",
        "|---|---|---|---|---|",
    ]
    for name, table in tables.items():
        for target in TARGETS:
            with tempfile.TemporaryDirectory() as folder:
                size = size_on(target, table, Path(folder))
            lines.append(f"| {name}, {target} | {' | '.join(map(str, size))} |")
    return lines


if __name__ == "__main__":
    from loftwright.program.reading import read_program

    asked = {path: read_program(Path(path)).table for path in sys.argv[1:]}
    if not asked:
        from program.made_up import demo

        asked = {demo().name: demo()}
    print("\n".join(measure(asked)))
