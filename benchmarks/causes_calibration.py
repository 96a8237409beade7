"""How far the probabilities of causes can be believed: made-up failures whose cause is known.

    python benchmarks/causes_calibration.py [--flights N] [--cases N] [--keep FOLDER] [--write]

``--flights`` is how many of each cause are learnt from, ``--cases`` how many failures are judged by
each kind of evidence; ``--keep`` names a folder in which what was flown is kept for the next run;
``--write`` puts the table and the picture into docs/physics.
"""

from __future__ import annotations

import argparse
import pickle
import shutil
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from loftwright.debrief.causes.calibration import Judged, Kind, judge_causes, reliability
from loftwright.debrief.causes.find import priors_of
from loftwright.debrief.causes.flights import Ensemble, fly_causes, trials_of
from loftwright.debrief.causes.people import Measured
from loftwright.debrief.causes.records import Layout
from loftwright.documents import read_campaign
from loftwright.documents.flight_record import FlightRecord
from loftwright.rehearsal.cases import known_happenings
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.report.reliability import draw_reliability

HOME = Path(__file__).resolve().parent.parent
CAMPAIGN = HOME / "examples" / "sedge-lift-rehearsed"
PAGE = HOME / "docs" / "physics" / "causes.md"
PICTURE = PAGE.with_name("causes-reliability.svg")
BEGIN, END = "<!-- calibration: begin -->", "<!-- calibration: end -->"
LEARNT, DRAWN, INDEPENDENT = 11, 12, 13  # seeds
MORE = 2  # times as many flights say what can be told apart at all

SECOND = """
[[barometer]]
name = "second baro"
bay = "nose bay"
noise = "3 Pa"
resolution = "1 Pa"
every = "10 ms"
least = "30 kPa"
most = "110 kPa"
"""

WATCHED = (("release", "payload", 0.9), ("canopy open", "vehicle", 0.95))
PLACES = tuple(
    Measured(f"{body} lies", "place", "", body, (0.0, 0.0), (4.0, 0.15))
    for body in ("vehicle", "payload")
)
ALL = frozenset(("pressure", "push", "state", "battery"))
BARE = frozenset(("pressure",))
KINDS = (
    (Kind("one log, all channels; two watched", ("board",), WATCHED), ALL),
    (Kind("one log, all channels; nobody watched", ("board",)), ALL),
    (Kind("one log, pressure alone; two watched, both paced", ("board",), WATCHED, PLACES), BARE),
    (Kind("one log, pressure alone; nobody watched", ("board",)), BARE),
    (Kind("two logs, all channels; two watched", ("board", "timer"), WATCHED), ALL),
    (Kind("no log; two watched, both paced", (), WATCHED, PLACES), ALL),
)  # fmt: skip


def campaign_with_two_recorders(folder: Path) -> Path:
    """Copy the example, and give its timer a barometer of its own."""
    made = folder / "two"
    shutil.copytree(CAMPAIGN, made)
    avionics = made / "avionics.toml"
    text = avionics.read_text().replace('senses = "pad line"', 'senses = "pad line, second baro"')
    avionics.write_text(text.replace("\n[[switch]]", f"{SECOND}\n[[switch]]", 1))
    return made


def layouts(plan: Plan, channels: frozenset[str]) -> dict[str, Layout]:
    """Say what is recorded."""
    return {
        name: Layout(
            name,
            table.step_ms / 1000.0,
            tuple(stage.name for stage in table.stages),
            5.0,
            290.0,
            channels,
        )
        for name, table in plan.tables.items()
    }


def flown(
    folder: Path, seed: int, flights: int, channels: frozenset[str], keep: Path | None
) -> Ensemble:
    """Fly every cause; of flights that went well none is needed."""
    kept = keep and keep / f"{seed}-{flights}-{len(channels)}.pickle"
    if kept and kept.exists():
        found: Ensemble = pickle.loads(kept.read_bytes())
        return found
    plan = plan_of(read_campaign(folder), seed)
    start = time.perf_counter()
    found, _ = fly_causes(
        plan,
        trials_of(known_happenings(plan)),
        layouts(plan, channels),
        flights,
        keep=lambda truth: (truth["good"] < 0.5).astype(float),
    )
    took = time.perf_counter() - start
    print(f"seed {seed}: {flights} flights of each cause in {took:.0f} s", file=sys.stderr)
    if kept:
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_bytes(pickle.dumps(found))
    return found


def table(judged: Mapping[str, Judged]) -> str:
    """Write the results as Markdown."""
    lines = [
        "| evidence | failures | true cause first | first of those tellable | in the 90 % set "
        "| named in it | calibration error |",
        "|---|---|---|---|---|---|---|",
    ]
    for name, each in judged.items():
        best = reliability(each.probability.max(axis=1), each.first)
        told = each.first[each.tellable]
        size = (np.sort(each.probability, axis=1)[:, ::-1].cumsum(axis=1) < 0.9).sum(axis=1) + 1
        lines.append(
            f"| {name} | {len(each.cause)} | {100 * each.first.mean():.0f} % "
            f"| {100 * told.mean():.0f} % of {len(told)} | {100 * each.in_set.mean():.0f} % "
            f"| {np.median(size):.0f} | {best.error:.3f} |"
        )
    return "\n".join(lines)


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--flights", type=int, default=300)
    parser.add_argument("--cases", type=int, default=250)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    judged: dict[str, Judged] = {}
    with tempfile.TemporaryDirectory() as place:
        folder = campaign_with_two_recorders(Path(place))
        plan = plan_of(read_campaign(folder), LEARNT)
        prior = priors_of(trials_of(known_happenings(plan)), FlightRecord(name="made up"))
        known = {
            (seed, channels): flown(folder, seed, asked.flights * times, channels, asked.keep)
            for channels in (ALL, BARE)
            for seed, times in ((LEARNT, 1), (DRAWN, 1), (INDEPENDENT, MORE))
        }
    for number, (kind, channels) in enumerate(KINDS):
        ensembles = [known[seed, channels] for seed in (LEARNT, DRAWN, INDEPENDENT)]
        judged[kind.name] = judge_causes(
            kind, *ensembles, prior, cases=asked.cases, seed=number + 1
        )
    judged["**all**"] = Judged.together(list(judged.values()))
    written = table(judged)
    print(written)
    everything = judged["**all**"]
    best = reliability(everything.probability.max(axis=1), everything.first)
    hits = np.eye(everything.probability.shape[1], dtype=bool)[everything.cause]
    every = reliability(everything.probability.ravel(), hits.ravel())
    print(f"every cause's probability: calibration error {every.error:.4f}")
    if asked.write:
        text = PAGE.read_text()
        head, tail = text.split(BEGIN)[0], text.split(END)[1]
        PAGE.write_text(f"{head}{BEGIN}\n\n{written}\n\n{END}{tail}")
        PICTURE.write_text(draw_reliability(best))


if __name__ == "__main__":
    main()
