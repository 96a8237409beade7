"""Single-precision arithmetic of the 8-bit controller's library against that of this machine."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from program.agreement import bits
from program.builds import needs, run
from program.controllers import CONTROLLERS, emulate

__all__ = ["Differences", "differences"]

SMALLEST = np.float32(1.1754944e-38)  # that is normal


class Differences(NamedTuple):
    """How results differ: quotients below the normal range, by how many units, and all others."""

    small_quotients: int
    most_units: int
    others: int


def differences(count: int, seed: int, folder: Path) -> Differences:
    """Compare the sums, products, quotients and comparisons of ``count`` pairs of numbers."""
    controller = CONTROLLERS["atmega328p"]
    needs(controller.compiler[0], controller.emulator[0])
    image, source = folder / "arithmetic.elf", Path(__file__).with_name("arithmetic.c")
    flags = ["-std=c99", f"-DSEED={seed}UL", f"-DCOUNT={count}UL"]
    run([*controller.compiler, *flags, "-o", image, source])
    rows = [line.split() for line in emulate([*controller.emulator, str(image)])]
    assert len(rows) == count
    numbers = np.array([[int(each, 16) for each in row[:6]] for row in rows], np.uint32)
    x, y, *got = numbers.view(np.float32).T
    compared = np.array([int(row[6][0]) + 8 * int(row[6][1]) for row in rows])
    return _differ(x, y, got, compared)


def _differ(
    x: NDArray[np.float32],
    y: NDArray[np.float32],
    got: list[NDArray[np.float32]],
    compared: NDArray[np.int64],
) -> Differences:
    with np.errstate(all="ignore"):
        want = [x + y, x - y, x * y, x / y]
        comparisons = (x < y) + 2 * (x <= y) + 4 * (x > y) + 8 * (x >= y)
    off = [
        bits(g).astype(np.int64) - bits(w).astype(np.int64) for g, w in zip(got, want, strict=True)
    ]
    small = np.abs(want[3]) < SMALLEST
    others = sum(int(np.count_nonzero(each)) for each in off[:3])
    others += int(np.count_nonzero(off[3][~small])) + int(np.count_nonzero(compared != comparisons))
    return Differences(
        small_quotients=int(np.count_nonzero(off[3][small])),
        most_units=int(np.abs(off[3][small]).max(initial=0)),
        others=others,
    )
