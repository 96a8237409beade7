"""How fast flights are, as ratios measured in one run on one machine.

    python benchmarks/flight_speed.py [--write]

``--write`` puts the table into docs/speed.md.
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

import numpy as np
import scipy_flight

from loftwright.documents import read_campaign
from loftwright.documents.flatten import flatten
from loftwright.flight import engine, prepare
from loftwright.flight.draws import bounds_of, draw
from loftwright.flight.forecast import forecast
from loftwright.flight.gusts import draw_gusts
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.fly import Body

HOME = Path(__file__).resolve().parent.parent
CAMPAIGN = HOME / "examples" / "sedge-lift"
FLIGHTS = 2000
SEED = 1
# Figures that two solvers are held against each other by.
COMPARED = {
    "apogee": slots.APOGEE_HEIGHT,
    "time of apogee": slots.APOGEE_TIME,
    "water out": slots.WATER_OUT_TIME,
    "burnout speed": slots.BURNOUT_SPEED,
    "release height": slots.RELEASED_HEIGHT,
    "vehicle down": slots.DOWN_TIME,
    "payload down": slots.DOWN_TIME,
}


def bodies_of(flights: int) -> list[Body]:
    """Return the bodies of an ensemble of the demo campaign."""
    campaign = read_campaign(CAMPAIGN)
    values, sds, words = flatten(campaign)
    varied: Any = {**values, **draw(values, sds, bounds_of(campaign), SEED, flights)}
    gusts = draw_gusts(
        SEED,
        flights,
        prepare.gust_deviation(varied),
        prepare.carrying_wind(varied),
        varied["site.wind.from"],
    )
    return prepare.prepare(varied, words, flights=flights, gusts=gusts)


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


def alone(bodies: Sequence[Body], flight: int) -> list[Body]:
    """Return one flight in tables of its own."""
    return [
        body._replace(
            parameters=body.parameters[flight : flight + 1],
            states=body.states[flight : flight + 1],
        )
        for body in bodies
    ]


def per_flight(bodies: Sequence[Body], tolerance: float, threads: int) -> float:
    def work() -> Any:
        return engine.fly_all(bodies, tolerance=tolerance, threads=threads)

    work()
    return timed(work, 5) / len(bodies[0].parameters)


def under_scipy(make_lane: Any, flights: Sequence[list[Body]], method: str, rtol: float) -> float:
    def work() -> None:
        for bodies in flights:
            scipy_flight.fly(make_lane, bodies, method, rtol)

    scipy_flight.fly(make_lane, flights[0], method, rtol)
    return timed(work, 3) / len(flights)


def agreement(flights: Sequence[list[Body]]) -> list[str]:
    """Worst relative difference of a figure between the engine and SciPy at 1e-12, in rows."""
    theirs = [
        scipy_flight.fly(scipy_flight.CompiledLane, bodies, "DOP853", 1e-12)[0]
        for bodies in flights
    ]
    found = []
    for tolerance in (1e-6, 1e-9):
        ours = [engine.fly_all(bodies, tolerance=tolerance).bodies for bodies in flights]
        differences = {
            name: max(
                float(abs(one[body_of(name)][0, slot] / other[body_of(name)][slot] - 1.0))
                for one, other in zip(ours, theirs, strict=True)
                if np.isfinite(other[body_of(name)][slot])
            )
            for name, slot in COMPARED.items()
        }
        worst = max(differences, key=lambda name: differences[name])
        found.append(
            f"| worst difference from SciPy's DOP853 at 1e-12, at tolerance {tolerance:.0e} | "
            f"{differences[worst]:.1e} ({worst}) |"
        )
    return found


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


def measure() -> list[str]:
    """Measure everything; return the lines of the table."""
    bodies = bodies_of(FLIGHTS)
    few = [alone(bodies, flight) for flight in range(6)]
    one = per_flight(bodies, 1e-6, 1)
    two = per_flight(bodies, 1e-6, 2)
    loose = per_flight(bodies, 1e-4, 2)
    python = under_scipy(scipy_flight.PlainLane, few, "DOP853", 1e-6)
    lsoda = under_scipy(scipy_flight.CompiledLane, few, "LSODA", 1e-6)
    one_again = per_flight(bodies, 1e-6, 1)
    campaign = read_campaign(CAMPAIGN)
    forecast(campaign)
    single = timed(lambda: forecast(campaign), 9)
    fresh_process(FIRST_FLIGHT)
    flown = engine.fly_all(bodies).bodies.values()
    steps = sum(np.nansum(figures[:, slots.STEPS]) for figures in flown) / FLIGHTS
    base = (one + one_again) / 2
    return [
        "| what | measured |",
        "|---|---|",
        f"| one flight in an ensemble of {FLIGHTS}, tolerance 1e-6, one thread | "
        f"{base * 1e6:.0f} µs ({steps:.0f} steps) |",
        f"| the same on two threads | {two * 1e6:.0f} µs |",
        f"| the same at tolerance 1e-4, two threads | {loose * 1e6:.0f} µs |",
        f"| same equations in Python under SciPy's DOP853 | {python * 1e3:.1f} ms: "
        f"**{python / base:.0f} times** one thread's, {python / two:.0f} times two threads' |",
        f"| same equations compiled under SciPy's LSODA | {lsoda * 1e3:.1f} ms: "
        f"**{lsoda / base:.0f} times** one thread's, {lsoda / two:.0f} times two threads' |",
        *agreement(few),
        f"| one warm flight, recorded, documents to figures | {single * 1e3:.1f} ms |",
        f"| new process to first flight, compiled before | "
        f"{timed(lambda: fresh_process(FIRST_FLIGHT), 5):.2f} s |",
        f"| new process to first flight, never compiled | {cold_start():.1f} s |",
        f"| `loftwright --help` | {command('--help'):.3f} s |",
        f"| `loftwright check` | {command('check', str(CAMPAIGN)):.2f} s |",
        f"| `loftwright forecast` | {command('forecast', str(CAMPAIGN)):.2f} s |",
        f"| `loftwright forecast --flights {FLIGHTS}` | "
        f"{command('forecast', str(CAMPAIGN), '--flights', str(FLIGHTS)):.2f} s |",
    ]


def main() -> None:
    """Measure, print, and write the table where asked."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--write", action="store_true", help="put the table into docs/speed.md")
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
