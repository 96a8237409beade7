"""The coast from burnout to apogee under general-purpose compiled solvers, and under the engine's.

    python benchmarks/coast_baselines.py

Needs numbalsoda, jax and diffrax (dependency group ``bench``); says which are missing. All
integrate the very same equations: for numbalsoda the kernel's rates are compiled as they stand,
for JAX their source is translated, conditions into selections. The baselines are told when apogee
comes; the engine finds it. Times are those of the processor, on one thread.
"""

from __future__ import annotations

import ast
import builtins
import inspect
import os
import textwrap
import time
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

os.environ.setdefault(
    "XLA_FLAGS", "--xla_cpu_multi_thread_eigen=false intra_op_parallelism_threads=1"
)

import numpy as np
import scipy_flight
from ensemble import bodies_of, pointed

from loftwright.compiling.clone import compiled, reached
from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.fly import _items, _tables, _workspace
from loftwright.flight.kernel.rates import lane_rates

LANES = slots.LANES
ROWS = slots.ROWS[slots.COAST_PHASE]
TOLERANCE = 1e-6
TIGHT = 1e-12
FAR = np.zeros(1)


class Coast(NamedTuple):
    """Flights at burnout, and when each is at its top."""

    body: Any
    states: Any
    parameters: Any
    start: Any
    end: Any
    top: Any  # m, at TIGHT tolerance


def _place(name: str) -> int:
    return int(getattr(slots, name)) // LANES


def _fly(body: Any, states: Any, parameters: Any, times: Any, phase: int, tolerance: float) -> Any:
    """Fly one phase with the engine; return times, figures, and seconds of the processor."""
    flights = len(states)
    phases = np.full(flights, phase)
    rows = body._replace(states=states.copy(), parameters=parameters.copy())
    tables, tape = _tables(rows, times.copy(), phases, 0, 1, np.ones(2))
    work = _workspace(rows)
    begin = time.process_time()
    engine.compiled_engine()(phase, np.arange(flights), tolerance, FAR, tables, tape, work)
    return tables, time.process_time() - begin


def at_burnout(flights: int) -> Coast:
    """Fly an ensemble of the demo campaign to burnout; nothing is let go before apogee."""
    body = bodies_of(pointed(), flights)[0]
    p = body.parameters
    p[:, _place("ITEM_WHEN")] = slots.NEVER
    p[:, _place("CANOPY_KIND")] = slots.BY_APOGEE
    p[:, _place("CANOPY_DELAY")] = 0.0
    states, times = body.states, np.zeros(flights)
    for phase in (slots.TUBE_PHASE, slots.WATER_PHASE, slots.AIR_PHASE):
        if phase == slots.TUBE_PHASE and not (p[:, _place("TUBE_LENGTH")] > 0.0).all():
            continue
        tables, _ = _fly(body, states, p, times, phase, 1e-9)
        states, times, p = tables[0], tables[1], tables[2]
    tables, _ = _fly(body, states, p, times, slots.COAST_PHASE, TIGHT)
    figures = tables[4]
    end, top = figures[:, slots.APOGEE_TIME], figures[:, slots.APOGEE_HEIGHT]
    return Coast(body, states, p, times, end, top)


def least(work: Callable[[], Any], repeats: int = 5) -> float:
    """Least time of the processor for a piece of work [s], after a first go."""
    work()
    spans = []
    for _ in range(repeats):
        begin = time.process_time()
        work()
        spans.append(time.process_time() - begin)
    return min(spans)


# ---------------------------------------------------------------- the engine


def engine_coast(coast: Coast, batch: int) -> tuple[float, float]:
    """Seconds a flight, and the worst relative error of the height of apogee."""
    cut = slice(0, batch)
    spans, error = [], 0.0
    for _ in range(9):
        tables, seconds = _fly(
            coast.body, coast.states[cut], coast.parameters[cut], coast.start[cut],
            slots.COAST_PHASE, engine.tolerances(TOLERANCE)[slots.COAST_PHASE],
        )  # fmt: skip
        spans.append(seconds)
        error = float(np.abs(tables[4][:, slots.APOGEE_HEIGHT] / coast.top[cut] - 1.0).max())
    return min(spans) / len(coast.start[cut]), error


# ---------------------------------------------------------------- numbalsoda


def numbalsoda_coast(
    coast: Coast, flights: int, tolerances: Sequence[float]
) -> list[tuple[float, float, float]]:
    """Tolerance, seconds a flight and error of LSODA with compiled rates, flight by flight."""
    import numba
    from numbalsoda import lsoda, lsoda_sig

    items = _items(coast.body)
    width, size, phase, states = (
        coast.parameters.shape[1] * LANES,
        slots.SIZE,
        slots.COAST_PHASE,
        ROWS,
    )
    one = compiled(scipy_flight.one_flight)
    total = width + 2 * size

    @numba.cfunc(lsoda_sig)
    def rates(t: Any, u: Any, du: Any, data: Any) -> None:
        table = numba.carray(data, (total,))
        state = numba.carray(u, (states,))
        p, y, dy = table[:width], table[width : width + size], table[width + size :]
        one(phase, items, states, t, state, y, p, dy)
        for row in range(states):
            du[row] = dy[row * 16]

    address = rates.address

    @numba.njit
    def all_of_them(
        tolerance: float, start: Any, end: Any, first: Any, tables: Any, tops: Any
    ) -> None:
        for i in range(len(start)):
            when = np.array([start[i], end[i]])
            found, _ = lsoda(address, first[i], when, tables[i], tolerance, tolerance)
            tops[i] = found[1, 2]

    tables = np.zeros((flights, total))
    tables[:, :width:LANES] = coast.parameters[:flights]
    # What a phase does not move stays where it was.
    tables[:, width : width + size : LANES] = coast.states[:flights]
    first = np.ascontiguousarray(coast.states[:flights, :ROWS])
    tops = np.zeros(flights)
    found = []
    for tolerance in tolerances:

        def work(tolerance: float = tolerance) -> None:
            all_of_them(tolerance, coast.start[:flights], coast.end[:flights], first, tables, tops)

        seconds = least(work) / flights
        error = float(np.abs(tops / coast.top[:flights] - 1.0).max())
        found.append((tolerance, seconds, error))
    return found


# ---------------------------------------------------------------- diffrax


class _Selections(ast.NodeTransformer):
    """Turns ``a if c else b`` into ``where(c, a, b)``, and ``x and y`` into ``both(x, y)``."""

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        self.generic_visit(node)
        return ast.Call(ast.Name("where", ast.Load()), [node.test, node.body, node.orelse], [])

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        self.generic_visit(node)
        if not isinstance(node.op, ast.And):
            return node
        return ast.Call(ast.Name("both", ast.Load()), node.values, [])


def translated(entry: Any) -> Any:
    """Return a law and all that it calls, for JAX to trace."""
    import math
    from functools import reduce

    import jax.numpy as jnp

    ours = {math.exp: jnp.exp, math.log: jnp.log, math.sqrt: jnp.sqrt, math.cos: jnp.cos}
    own = {
        "where": jnp.where,
        "both": lambda *tests: reduce(jnp.logical_and, tests),
        "max": lambda *values: reduce(jnp.maximum, values),
        "min": lambda *values: reduce(jnp.minimum, values),
        "abs": jnp.abs,
    }
    made: dict[Any, Any] = {}
    for function in reached(entry):
        tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
        tree = ast.fix_missing_locations(_Selections().visit(tree))
        names = {**function.__globals__, **own, "__builtins__": builtins}
        for name, value in function.__globals__.items():
            if callable(value) and getattr(value, "__hash__", None):
                names[name] = made.get(value, ours.get(value, value))
        exec(compile(tree, function.__name__, "exec"), names)
        made[function] = names[function.__name__]
    return made[entry]


def diffrax_coast(coast: Coast, batches: Sequence[int]) -> list[tuple[int, float, float]]:
    """Batch size, seconds a flight and error of a batched solver of the same pair."""
    import diffrax
    import jax
    import jax.numpy as jnp

    jax.config.update("jax_enable_x64", True)
    rates = translated(lane_rates)
    items = _items(coast.body)
    gas = range(ROWS, slots.STATES)

    def change(t: Any, u: Any, about: Any) -> Any:
        table, still = about
        y = {row * LANES: u[row] for row in range(ROWS)}
        y.update({row * LANES: still[row - ROWS] for row in gas})
        p = {column * LANES: table[column] for column in range(table.shape[0])}
        dy: dict[int, Any] = {}
        rates(slots.COAST_PHASE, items, t, y, p, dy, 0)
        return jnp.stack([jnp.asarray(dy[row * LANES], float) for row in range(ROWS)])

    def one(start: Any, end: Any, first: Any, table: Any, still: Any) -> Any:
        return diffrax.diffeqsolve(
            diffrax.ODETerm(change), diffrax.Tsit5(), start, end, 1e-2, first, (table, still),
            saveat=diffrax.SaveAt(t1=True), max_steps=4096,
            stepsize_controller=diffrax.PIDController(rtol=TOLERANCE, atol=TOLERANCE),
        ).ys[0, 2]  # fmt: skip

    many = jax.jit(jax.vmap(one))
    found = []
    for batch in batches:
        given = [
            jnp.asarray(part[:batch])
            for part in (
                coast.start, coast.end, coast.states[:, :ROWS], coast.parameters,
                coast.states[:, ROWS:],
            )
        ]  # fmt: skip
        tops = np.asarray(many(*given))
        seconds = least(lambda given=given: many(*given).block_until_ready(), 3) / batch
        found.append((batch, seconds, float(np.abs(tops / coast.top[:batch] - 1.0).max())))
    return found


# ---------------------------------------------------------------- all together


def _missing(name: str) -> str | None:
    from importlib.util import find_spec

    return None if find_spec(name) else f"| {name} | not installed | | |"


def measure() -> list[str]:
    """Measure all three; return the lines of a table."""
    coast = at_burnout(4096)
    ours = {batch: engine_coast(coast, batch) for batch in (64, 256, 1024, 4096)}
    best = min(ours, key=lambda batch: ours[batch][0])
    base, error = ours[best]
    lines = [
        "| coast to apogee, 1e-6, one thread | best batch | a flight | error of apogee |",
        "|---|---|---|---|",
        f"| the engine, which looks for apogee | {best} | {base * 1e6:.1f} µs | {error:.0e} |",
    ]
    lost = _missing("numbalsoda")
    if lost:
        lines.append(lost)
    else:
        for tolerance, seconds, error in numbalsoda_coast(coast, 512, (1e-6, 1e-7, 1e-8)):
            lines.append(
                f"| numbalsoda's LSODA at {tolerance:.0e}, told when apogee is | 1 | "
                f"{seconds * 1e6:.0f} µs, **{seconds / base:.1f} times** | {error:.0e} |"
            )
    lost = _missing("diffrax") or _missing("jax")
    if lost:
        lines.append(lost)
    else:
        found = diffrax_coast(coast, (32, 128, 512, 2048))
        batch, seconds, error = min(found, key=lambda each: each[1])
        others = ", ".join(f"{one * 1e6:.0f} at {size}" for size, one, _ in found)
        lines.append(
            f"| diffrax's Tsit5 under vmap, told when apogee is | {batch} ({others}) | "
            f"{seconds * 1e6:.0f} µs, **{seconds / base:.0f} times** | {error:.0e} |"
        )
    return lines


if __name__ == "__main__":
    print("\n".join(measure()))
