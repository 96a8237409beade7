"""How much arithmetic a flight is, by counting; and how much a core can do, by doing.

Operations are counted in a run of the plain Python laws on numbers that count. Elementary
functions count as what their polynomials take in the compiled kernel; choices count as nothing.
"""

from __future__ import annotations

import math
import time
import types
from collections.abc import Callable, Sequence
from typing import Any

import numba
import numpy as np

from loftwright.compiling.clone import reached
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.fly import _items
from loftwright.flight.kernel.rates import lane_rates

__all__ = ["count_rates", "count_step", "peak"]

LANES = slots.LANES
# Operations of the polynomials in compiling.elementary, argument reduction included.
ELEMENTARY = {math.exp: 34, math.log: 26, math.cos: 25, math.sqrt: 1}


class Counted(float):
    """A number that counts what is done with it."""

    done = 0

    # A change of sign is no operation: it goes into the instruction that takes the number.
    def __neg__(self) -> Counted:
        return Counted(-float(self))

    def __abs__(self) -> Counted:
        return Counted(abs(float(self)))


def _counting(name: str) -> Callable[..., Any]:
    plain = getattr(float, name)

    def operate(*numbers: Any) -> Any:
        Counted.done += 1
        return Counted(plain(*(float(number) for number in numbers)))

    return operate


for _name in ("add", "radd", "sub", "rsub", "mul", "rmul", "truediv", "rtruediv"):
    setattr(Counted, f"__{_name}__", _counting(f"__{_name}__"))


def _elementary(function: Callable[[float], float], operations: int) -> Callable[[Any], Any]:
    def operate(x: Any) -> Any:
        Counted.done += operations
        return Counted(function(x))

    return operate


def _counting_twin(entry: Any) -> Any:
    """Rebuild a law and all that it calls with elementary functions that count."""
    swapped = {function: _elementary(function, n) for function, n in ELEMENTARY.items()}
    made: dict[Any, Any] = {}
    for function in reached(entry):
        names = {
            name: made.get(value, swapped.get(value, value)) if callable(value) else value
            for name, value in function.__globals__.items()
        }
        made[function] = types.FunctionType(
            function.__code__, names, function.__name__, function.__defaults__
        )
    return made[entry]


def count_rates(body: Body, phase: int, state: Sequence[float]) -> int:
    """Operations of one set of rates of the first flight of a body."""
    table = [Counted(0.0)] * (LANES * body.parameters.shape[1])
    table[::LANES] = [Counted(value) for value in body.parameters[0]]
    y = [Counted(0.0)] * slots.SIZE
    y[::LANES] = [Counted(value) for value in state]
    items = _items(body) if phase < slots.POINT_PHASE else 0
    rates = _counting_twin(lane_rates)
    Counted.done = 0
    rates(phase, items, Counted(1.0), y, table, [Counted(0.0)] * slots.SIZE, 0)
    return Counted.done


def count_step(body: Body, phase: int, state: Sequence[float]) -> int:
    """Operations of a whole step: six sets of rates, sums over stages, and the error."""
    sums = sum(2 * stage + 1 for stage in range(1, 7))
    error = 2 * 7 + 6
    return 6 * count_rates(body, phase, state) + slots.ROWS[phase] * (sums + error)


@numba.njit(fastmath={"contract"})
def _multiply_and_add(rounds: int, x: Any) -> None:
    """Chains of multiply-adds in a block that stays in registers."""
    for _ in range(rounds):
        for _again in range(64):
            for i in range(64):
                x[i] = x[i] * 0.999999 + 1e-9


def peak() -> float:
    """Largest rate of multiplications and additions that a core reached here [1/s]."""
    x = np.ones(64)
    _multiply_and_add(10, x)
    best = 0.0
    for _ in range(7):
        begin = time.process_time()
        _multiply_and_add(100_000, x)
        best = max(best, 2.0 * 64 * 64 * 100_000 / (time.process_time() - begin))
    return best
