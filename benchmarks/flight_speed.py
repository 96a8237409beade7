"""How fast flights are, as ratios measured in one run on one machine.

    python benchmarks/flight_speed.py [--write]

``--write`` puts the tables into docs/speed.md.
"""

from __future__ import annotations

import argparse
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import arithmetic
import coast_baselines
import numpy as np
import scipy_flight
from ensemble import CAMPAIGN, alone, bodies_of, pointed, winged

from loftwright.documents import read_campaign
from loftwright.flight import engine
from loftwright.flight.forecast import forecast
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.fly import fly

HOME = Path(__file__).resolve().parent.parent
FLIGHTS = 2000
SCIPY_FLIGHTS = 5
PHASES = ("boost", "tube", "water", "air", "coast", "canopy", "point", "glide")
# Figures that two solvers are held against each other by.
COMPARED = {
    "apogee": slots.APOGEE_HEIGHT,
    "vehicle down": slots.DOWN_TIME,
    "payload down": slots.DOWN_TIME,
}


def body_of(name: str) -> str:
    """Return which body a compared figure is of."""
    return "payload" if name.startswith("payload") else "vehicle"


def timed(work: Callable[[], Any], repeats: int) -> float:
    """Return the median time of a piece of work, in seconds."""
    spans = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        spans.append(time.perf_counter() - start)
    return statistics.median(spans)


def busy(work: Callable[[], Any], repeats: int) -> float:
    """Return the least time of the processor for a piece of work, in seconds.

    On a machine that others use as well this is what the work takes; on two threads, of both.
    """
    spans = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        spans.append(time.process_time() - start)
    return min(spans)


def per_flight(bodies: Sequence[Body], tolerance: float, descent: float | None = None) -> float:
    """Seconds of one processor for a flight of an ensemble."""

    def work() -> Any:
        return engine.fly_all(bodies, tolerance=tolerance, descent_tolerance=descent, threads=1)

    work()
    return busy(work, 5) / len(bodies[0].parameters)


def phase_by_phase(
    bodies: Sequence[Body], last: int = slots.ENDED
) -> dict[tuple[str, int], tuple[float, float, float]]:
    """Steps, operations and seconds a flight of each body's phases, up to ``last``."""
    flights = len(bodies[0].parameters)
    found: dict[tuple[str, int], tuple[float, float, float]] = {}
    fast = engine.compiled_engine()
    taken = [slot // slots.LANES for slot in (slots.STEPS_TAKEN, slots.STEPS_REFUSED)]

    def noting(
        phase: int, queue: Any, tolerance: float, shapes: Any, tables: Any, *rest: Any
    ) -> None:
        states, _, parameters = tables[:3]
        if phase >= last:
            tables[3][queue] = slots.ENDED
            return
        state = states[queue[0]].copy()
        before = parameters[queue][:, taken].sum()
        begin = time.process_time()
        fast(phase, queue, tolerance, shapes, tables, *rest)
        seconds = time.process_time() - begin
        steps = parameters[queue][:, taken].sum() - before
        body = next(each for each in cut if each.parameters is parameters)
        operations = steps * arithmetic.count_step(body, phase, state)
        was = found.get((body.name, phase), (0.0, 0.0, 0.0))
        found[body.name, phase] = (
            was[0] + steps / flights,
            was[1] + operations / flights,
            was[2] + seconds / flights,
        )

    for start in range(0, flights, engine.LONG_CHUNK):
        cut = [engine._cut(body, start, start + engine.LONG_CHUNK) for body in bodies]
        fly(noting, cut, engine.tolerances(1e-6), np.zeros(1), 0, 1, np.ones(2))
    return found


def over_and_over(bodies: Sequence[Body], times: int) -> list[Body]:
    """The same few flights many times, so that all lanes are in use."""
    return [
        body._replace(
            parameters=np.tile(body.parameters, (times, 1)),
            states=np.tile(body.states, (times, 1)),
        )
        for body in bodies
    ]


def under_scipy(
    make_lane: Any, flights: Sequence[list[Body]], method: str, rtol: Any
) -> tuple[float, list[Any]]:
    """Seconds of the processor for a flight under one of SciPy's solvers, and figures."""
    found: list[Any] = []

    def work() -> None:
        found[:] = [scipy_flight.fly(make_lane, bodies, method, rtol)[0] for bodies in flights]

    scipy_flight.fly(make_lane, flights[0], "LSODA", 1e-3)  # what has to be compiled
    return busy(work, 1) / len(flights), found


def exact(flights: Sequence[list[Body]]) -> list[Any]:
    """Figures of flights under SciPy's DOP853 at 1e-12."""
    return [
        scipy_flight.fly(scipy_flight.CompiledLane, bodies, "DOP853", 1e-12)[0]
        for bodies in flights
    ]


def differ(ours: Sequence[Any], theirs: Sequence[Any]) -> str:
    """Median and worst relative difference of two lots of figures, apogee and both landings."""
    said = []
    for name, slot in COMPARED.items():
        body = body_of(name)
        differences = [
            abs(float(one[body][slot] / other[body][slot]) - 1.0)
            for one, other in zip(ours, theirs, strict=True)
            if np.isfinite(other[body][slot])
        ]
        said.append(f"{name} {statistics.median(differences):.0e} ({max(differences):.0e})")
    return ", ".join(said)


def flown(flights: Sequence[list[Body]], **asked: Any) -> list[Any]:
    """Figures of flights, body by body, as SciPy's."""
    return [
        {name: rows[0] for name, rows in engine.fly_all(bodies, **asked).bodies.items()}
        for bodies in flights
    ]


def memory(flights: int) -> float:
    """Largest memory of a process that flies so many, block by block [MB]."""
    code = (
        "import resource;"
        "from pathlib import Path;"
        "from loftwright.documents import read_campaign;"
        "from loftwright.flight import blocks;"
        f"recipe = blocks.recipe_of(read_campaign(Path({str(CAMPAIGN)!r})), 1, 1e-4);"
        f"[None for _ in blocks.fly_here(recipe, 256, 256 + {flights})];"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    said = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    return float(said.stdout) / 1024.0


def fresh_process(code: str, **environment: str) -> float:
    """Seconds that a new Python process takes for ``code``, start-up included."""
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        env={**os.environ, **environment},
        stdout=subprocess.DEVNULL,
    )
    return time.perf_counter() - start


FIRST_FLIGHT = (
    "from pathlib import Path;"
    "from loftwright.documents import read_campaign;"
    "from loftwright.flight.forecast import forecast;"
    f"forecast(read_campaign(Path({str(CAMPAIGN)!r})));"
    "import os; os._exit(0)"  # the flight has been flown; what follows is taking leave
)


def command(*words: str) -> float:
    """Median seconds of a loftwright command as a whole process, after one warm-up."""

    def work() -> None:
        subprocess.run(
            [sys.executable, "-m", "loftwright", *words], check=True, stdout=subprocess.DEVNULL
        )

    work()
    return timed(work, 5)


def cold_start() -> float:
    """Seconds to the first flight of a machine that never compiled the engine."""
    with tempfile.TemporaryDirectory() as empty:
        return fresh_process(FIRST_FLIGHT, XDG_CACHE_HOME=empty, LOCALAPPDATA=empty, HOME=empty)


def ensembles() -> list[str]:
    """Rates of flights, and where their time goes."""
    with_wing, as_point = bodies_of(winged(), FLIGHTS), bodies_of(pointed(), FLIGHTS)
    lines = ["| ensemble of 2000, a flight on one thread | 1e-6 | 1e-4 |", "|---|---|---|"]
    climb = phase_by_phase(as_point, slots.CANOPY_PHASE)
    ascent = sum(seconds for (body, _), (_, _, seconds) in climb.items() if body == "vehicle")
    lines.append(
        f"| to the opening of the canopy | {ascent * 1e6:.0f} µs: "
        f"**{2.0 / ascent:.0f} a second** on two processors | |"
    )
    for name, bodies in (("payload as a point", as_point), ("payload with a wing", with_wing)):
        one, loose = per_flight(bodies, 1e-6), per_flight(bodies, 1e-4)
        lines.append(
            f"| to both landings, {name} | {one * 1e6:.0f} µs: {2.0 / one:.0f} a second on two, "
            f"a million in {one * 5e5 / 60.0:.0f} min | {loose * 1e6:.0f} µs |"
        )
    top = arithmetic.peak()
    lines += [
        "",
        f"A core here does {top / 1e9:.0f} thousand million multiplications and additions "
        "a second, as this compiler makes them.",
        "",
        "| phase, at 1e-6 | steps | operations | time | share of that |",
        "|---|---|---|---|---|",
    ]
    for (body, phase), (steps, operations, seconds) in phase_by_phase(with_wing).items():
        lines.append(
            f"| {body}, {PHASES[phase]} | {steps:.0f} | {operations / 1e3:.0f} thousand | "
            f"{seconds * 1e6:.0f} µs | {100.0 * operations / seconds / top:.0f} % |"
        )
    return lines


def against_scipy() -> list[str]:
    """Ratios to SciPy's solvers, and how far all are from its tightest."""
    looser = engine.tolerances(1e-6)
    # Each phase asked for what the engine's phase is asked for, before its share for single steps.
    asked = [
        1e-6 if phase < slots.CANOPY_PHASE else tolerance / engine.DESCENT_LOCAL_SHARE
        for phase, tolerance in enumerate(looser)
    ]
    lines = [
        "| boost to both landings, the same flights | a flight | ratio | "
        "median (worst) relative error |",
        "|---|---|---|---|",
    ]
    for name, campaign in (("point", pointed()), ("wing", winged())):
        bodies = bodies_of(campaign, SCIPY_FLIGHTS)
        few = [alone(bodies, flight) for flight in range(SCIPY_FLIGHTS)]
        same = over_and_over(bodies, FLIGHTS // SCIPY_FLIGHTS)
        best = exact(few)
        for says, rtol, ask in (
            ("1e-6, descents looser", asked, {"tolerance": 1e-6}),
            ("1e-6 throughout", 1e-6, {"tolerance": 1e-6, "descent_tolerance": 1e-6}),
        ):
            ours = per_flight(same, 1e-6, ask.get("descent_tolerance"))
            lines.append(
                f"| {name}, {says}: engine | {ours * 1e6:.0f} µs | 1 | "
                f"{differ(flown(few, **ask), best)} |"
            )
            for kind, lane, method in (
                ("Python under DOP853", scipy_flight.PlainLane, "DOP853"),
                ("compiled under LSODA", scipy_flight.CompiledLane, "LSODA"),
            ):
                seconds, figures = under_scipy(lane, few, method, rtol)
                lines.append(
                    f"| {name}, {says}: {kind} | {seconds * 1e3:.0f} ms | "
                    f"**{seconds / ours:.0f}** | {differ(figures, best)} |"
                )
    return lines


def waiting() -> list[str]:
    """What a person waits for."""
    campaign = read_campaign(CAMPAIGN)
    forecast(campaign)
    single = timed(lambda: forecast(campaign), 9)
    fresh_process(FIRST_FLIGHT)
    few, many = memory(2_000), memory(20_000)
    return [
        "| what a person waits for | measured |",
        "|---|---|",
        f"| one warm flight, recorded, documents to figures | {single * 1e3:.1f} ms |",
        f"| new process to first flight, compiled before | "
        f"{timed(lambda: fresh_process(FIRST_FLIGHT), 5):.2f} s |",
        f"| new process to first flight, never compiled | {cold_start():.1f} s |",
        f"| `loftwright --help` | {command('--help'):.3f} s |",
        f"| `loftwright check` | {command('check', str(CAMPAIGN)):.2f} s |",
        f"| `loftwright forecast` | {command('forecast', str(CAMPAIGN)):.2f} s |",
        f"| `loftwright forecast --flights {FLIGHTS}` | "
        f"{command('forecast', str(CAMPAIGN), '--flights', str(FLIGHTS)):.2f} s |",
        f"| largest memory, 2 000 and 20 000 flights | {few:.0f} and {many:.0f} MB |",
    ]


def measure() -> list[str]:
    """Measure everything; return the lines of the tables."""
    parts = (waiting, ensembles, against_scipy, coast_baselines.measure)
    lines: list[str] = []
    for part in parts:
        print(f"... {part.__module__}.{part.__name__}", file=sys.stderr)
        lines += [*part(), ""]
    return lines[:-1]


def main() -> None:
    """Measure, print, and write the table where asked."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--write", action="store_true", help="put the tables into docs/speed.md")
    asked = parser.parse_args()
    lines = measure()
    machine = (
        f"{platform.machine()}, {os.cpu_count()} processors, {platform.system()}, "
        f"Python {platform.python_version()}, NumPy {np.__version__}"
    )
    table = "\n".join(lines)
    print(f"{machine}\n{table}")
    if asked.write:
        page = HOME / "docs" / "speed.md"
        before, _, rest = page.read_text(encoding="utf-8").partition("<!-- measured -->\n")
        _, _, after = rest.partition("<!-- end -->")
        page.write_text(
            f"{before}<!-- measured -->\nMeasured on {machine}.\n\n{table}\n\n<!-- end -->{after}",
            encoding="utf-8",
        )


if __name__ == "__main__":
    main()
