"""Are the intervals of a fit to flights right? Many flights with drawn truths, fitted one by one.

    python benchmarks/flight_fit_calibration.py [--flights N] [--seed S] [--exact-too] [--write]

Each flight goes the whole way of a rehearsal: what the documents leave uncertain is drawn, gusts
and the sensors' noise with it, and the release program decides. The fit sees the log alone. If it
is right, the rank of each truth among draws of its posterior is uniform
(S. Talts, M. Betancourt, D. Simpson, A. Vehtari, A. Gelman, arXiv:1804.06788 (2018), from memory).

With ``--write`` the table is put into docs/physics/flight-fit.md.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "debrief"))

from flown_flights import FlownFlight, flown_flights, mended

from loftwright.debrief.fitting.fit import fit_observed
from loftwright.debrief.fitting.observed import observe

PAGE = Path(__file__).parents[1] / "docs" / "physics" / "flight-fit.md"
MARKS = ("<!-- calibration -->", "<!-- end of calibration -->")
DRAWS = 199
CELLS = 10
SHOWN = {
    "avionics.bay.0.port_coefficient": "port coefficient",
    "payload.carried.drag_coefficient": "drag coefficient, carried",
    "vehicle.fill.gauge_pressure": "gauge pressure",
    "vehicle.nozzle.velocity_coefficient": "velocity coefficient",
    "vehicle.canopy.drag_coefficient": "drag coefficient, canopy",
    "vehicle.nozzle.flow_coefficient": "flow coefficient",
    "vehicle.mass.dry": "dry mass",
}


def one(flight: FlownFlight, seed: int) -> dict[str, tuple[float, float, float]]:
    """Rank of each truth among the draws (0 to 1), its share learnt, and its error in sds."""
    fitting = fit_observed([observe(flight.given)], seed=seed)
    draws = fitting.posterior.draws(DRAWS, np.random.default_rng([seed, 11]))
    place = {number.path: i for i, number in enumerate(fitting.joint.numbers)}
    priors = fitting.joint.models[0].priors
    covariance = fitting.posterior.covariance
    mean = fitting.posterior.mean
    found = {}
    for path in SHOWN:
        true = float(priors[path].number_of(np.array([flight.truth[path]]))[0])
        if path not in place:
            continue
        i = place[path]
        rank = float(np.sum(draws[:, i] < true)) / DRAWS
        sd = float(np.sqrt(covariance[i, i]))
        found[path] = (rank, 1.0 - sd**2, (true - float(mean[i])) / sd)
    return found


def study(flights: int, seed: int, own_error: bool) -> dict[str, np.ndarray]:
    """Fit many flights; (n, 3) by path."""
    rows: dict[str, list[tuple[float, float, float]]] = {path: [] for path in SHOWN}
    done, first, begin = 0, 0, perf_counter()
    while done < flights:
        for flight in flown_flights(mended(), seed, first, 16, own_error=own_error):
            if done >= flights:
                break
            for path, row in one(flight, seed + done).items():
                rows[path].append(row)
            done += 1
            print(f"\r{done} of {flights}, {perf_counter() - begin:.0f} s", end="", file=sys.stderr)
        first += 16
    print(file=sys.stderr)
    return {path: np.array(each) for path, each in rows.items() if each}


def uniformity(ranks: np.ndarray) -> float:
    """Probability of ranks as uneven as these, were they uniform (chi-square of ten cells)."""
    from scipy.stats import chisquare

    counts, _ = np.histogram(ranks, bins=CELLS, range=(0.0, 1.0 + 1e-9))
    return float(chisquare(counts).pvalue)


def table(found: dict[str, np.ndarray]) -> list[str]:
    """The rows of the page."""
    lines = [
        "| field | share learnt | in 50 % interval | in 90 % interval | sd of error over sd told | "
        "uniform ranks, p |",
        "|---|---|---|---|---|---|",
    ]
    for path, rows in found.items():
        rank, learnt, error = rows.T
        half = np.mean(np.abs(rank - 0.5) <= 0.25)
        most = np.mean(np.abs(rank - 0.5) <= 0.45)
        lines.append(
            f"| {SHOWN[path]} | {100 * learnt.mean():.0f} % | {100 * half:.0f} % | "
            f"{100 * most:.0f} % | {error.std():.2f} | {uniformity(rank):.2f} |"
        )
    return lines


def main() -> None:
    """Run both studies, print the tables, and write them where asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--flights", type=int, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--exact-too", action="store_true", help="flights without own error too")
    parser.add_argument("--write", action="store_true")
    told = parser.parse_args()
    lines = []
    for own_error, title in (
        (True, "Records that are wrong by a draw of the model's own error, as the fit assumes"),
        (False, "Records of flights that follow the model exactly"),
    ):
        if not own_error and not told.exact_too:
            continue
        found = study(told.flights, told.seed, own_error)
        count = max(len(rows) for rows in found.values())
        lines += [f"{title} ({count} flights, seed {told.seed}):", "", *table(found), ""]
        print("\n".join(lines), flush=True)
    text = "\n".join(lines)
    if told.write:
        page = PAGE.read_text(encoding="utf-8")
        before, rest = page.split(MARKS[0])
        _, after = rest.split(MARKS[1])
        PAGE.write_text(f"{before}{MARKS[0]}\n\n{text}\n{MARKS[1]}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
