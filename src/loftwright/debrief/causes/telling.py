"""What would tell causes apart next time: tried on the simulated flights, not listed.

The causes in question are flown again with everything recorded that could be. Each observation is
put beside what the evidence already tells, and how often the right cause is then named is counted
on flights like this one that were not learnt from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.evidence import Evidence, keeps_said
from loftwright.debrief.causes.flights import Ensemble, fly_causes
from loftwright.debrief.causes.forest import Bins, grow_forest
from loftwright.debrief.causes.model import Model, Rows
from loftwright.debrief.causes.people import seen_chance
from loftwright.debrief.causes.records import Layout, layout_of
from loftwright.debrief.causes.results import Telling
from loftwright.documents.flatten import flatten
from loftwright.flight.draws import generator
from loftwright.flight.figures import prefix_of
from loftwright.instruments.wiring import wire
from loftwright.rehearsal.plan import Plan
from loftwright.rehearsal.run import Trial

__all__ = ["tellings_of"]

Floats = NDArray[np.float64]
Columns = dict[str, Floats]

MOST = 5  # causes that are told apart, and observations that are named
BETTER = 0.03  # by which an observation must raise the chance of naming the right one
CLEARLY = 1.5  # standard deviations of what luck alone would do, flight by flight
BAGS, TREES = 10, 8
SURE = 0.95  # of somebody who watches for one thing (judgement)
FILMED, PACED, READ, POURED = 0.05, 3.0, 0.02, 0.03  # s, m, shares: how well that is done
CHANNELS = {
    "push": "an accelerometer in the log of {}",
    "state": "the program's stages in the log of {}",
    "battery": "the supply's voltage in the log of {}",
}


def tellings_of(
    plan: Plan,
    trials: Sequence[Trial],
    causes: Sequence[int],
    model: Model,
    values: Floats,
    evidence: Evidence,
    place: Mapping[int, int],
) -> tuple[Telling, ...]:
    """Return the observations that would help most, the best first.

    Parameters
    ----------
    plan, trials : as they were flown
    causes : sequence of int
        Those that are left open, by their trials.
    model, values : what was learnt, and the flight's features
    evidence : Evidence
    place : mapping
        Of a trial among the causes as they are reported.
    """
    named = sorted(list(causes)[:MOST])  # in the order of the rows
    rows = model.rows
    mine = np.isin(rows.cause, named)
    flights = int(rows.flight.max()) + 1
    layouts = _full_layouts(plan)
    again, stopped = fly_causes(
        plan,
        [trials[n] for n in named],
        layouts,
        flights,
        keep=lambda truth: keeps_said(evidence.said, truth),
    )
    local = rows.of(named)
    if stopped or not _is_same(local, again):
        return ()
    known = np.log(model.likelihoods(model.forest.unseen())[mine][:, named] + 1e-9)
    near = model.forest.nearness(model.bins(values))[mine]
    mass = model.prior[np.array(named)][local.cause] * local.weights * (near + 1e-6)
    base = Rows(tuple(f"known {n}" for n in named), known, local.cause, local.flight, mass)
    before = _right(base, len(named), plan.seed)
    found = []
    for says, columns in _observations(plan, evidence, again, layouts):
        more = np.stack(columns, axis=1)
        if not np.isfinite(more).any():
            continue
        names = [f"seen {n}" for n in range(more.shape[1])]
        after = _right(base.beside(names, more), len(named), plan.seed)
        gain = mass * (after.astype(float) - before)
        luck = np.sqrt((gain**2).sum())
        if gain.sum() >= max(BETTER * mass.sum(), CLEARLY * luck):
            found.append((float(mass[after].sum() / mass.sum()), says))
    found.sort(key=lambda each: -each[0])
    between = tuple(sorted(place[n] for n in named))
    return tuple(Telling(says, between, float(right)) for right, says in found[:MOST])


def _is_same(rows: Rows, again: Ensemble) -> bool:
    """Whether the flights that were flown again are those that were learnt from."""
    return len(rows.cause) == len(again.cause) and bool(np.all(rows.flight == again.flight))


def _full_layouts(plan: Plan) -> dict[str, Layout]:
    assert plan.campaign.avionics is not None
    values, _, _ = flatten(plan.campaign)
    temperature = float(values["site.air.temperature"])
    found = {}
    for name, wires in wire(plan.campaign.avionics).controllers.items():
        if wires.barometer:
            table = plan.tables[name]
            stages = tuple(stage.name for stage in table.stages)
            found[name] = layout_of(name, None, table.step_ms / 1000.0, stages, temperature)
    return found


def _right(rows: Rows, count: int, seed: int) -> NDArray[np.bool_]:
    """Where the right cause is named, of flights that were not learnt from."""
    bins = Bins.of(rows.values)
    forest = grow_forest(
        bins(rows.values),
        rows.cause,
        rows.weights / rows.weights.sum(),
        rows.flight,
        count=count,
        bags=BAGS,
        trees=TREES,
        seed=seed,
    )
    return np.asarray(forest.unseen().argmax(axis=1) == rows.cause)


def _observations(
    plan: Plan, evidence: Evidence, again: Ensemble, layouts: Mapping[str, Layout]
) -> Iterator[tuple[str, list[Floats]]]:
    """Yield what could be observed, in words, with what it would have been in each flight."""
    truth, seed = again.truth, plan.seed
    noise = {
        name: generator(seed, f"telling/{name}").standard_normal((3, len(again.cause)))
        for name in ("film", "place", "watch", "pad", "beep", "sense", "second")
    }
    yield from _watched(plan, evidence, truth, noise)
    names = {root: payload.name for root, payload in plan.campaign.payloads.items()}
    yield from _placed(names, evidence, truth, noise["place"])
    yield (
        "the pressure in the vessel, read at the moment of launch",
        [truth["gauge_share"] * (1.0 + READ * noise["pad"][0])],
    )
    yield (
        "the water, measured as it is filled in",
        [truth["water_share"] * (1.0 + POURED * noise["pad"][1])],
    )
    if np.isfinite(truth["beep_s"]).any():
        yield (
            "the moment at which the indicator sounds, off a sound",
            [_timed(truth, "beep_s", noise["beep"][0])],
        )
    yield (
        "a second recorder with a barometer and a supply of its own",
        [
            truth["apogee_m"] + noise["second"][0],
            truth["apogee_time_s"] + 0.1 * noise["second"][1],
            truth["touchdown_vehicle_time_s"] + 0.3 * noise["second"][2],
        ],
    )
    for name, layout in layouts.items():
        had = evidence.layouts.get(name)
        own = again.logs[name]
        if had is None:
            yield f"a log of {name}", list(own.values())
            continue
        for channel, words in CHANNELS.items():
            if channel in layout.channels and channel not in had.channels:
                columns = [own[each] for each in own if each not in evidence.logs[name]]
                yield words.format(name), [each for each in columns if np.isfinite(each).any()]


def _timed(truth: Columns, name: str, noise: Floats) -> Floats:
    return truth[name] + FILMED * noise


def _watched(
    plan: Plan, evidence: Evidence, truth: Columns, noise: Mapping[str, Floats]
) -> Iterator[tuple[str, list[Floats]]]:
    """Yield what people, films and a switch could tell."""
    said = {(each.what, each.of) for each in evidence.said}
    dice = generator(plan.seed, "telling/said")
    filmed = []
    for root in plan.campaign.payloads:
        name = f"{prefix_of(root)}release_time_s"
        what = plan.campaign.payloads[root].name
        filmed.append(_timed(truth, name, noise["film"][0]))
        if ("release", root) not in said and ("release", "vehicle") not in said:
            seen = _told(seen_chance("release", root, truth), dice)
            yield f"somebody who watches {what} leave", [seen]
        yield (
            f"a switch that tells when {what} leaves",
            [truth[name] + 0.02 * noise["sense"][0]],
        )
    if ("canopy open", "vehicle") not in said:
        seen = _told(seen_chance("canopy open", "vehicle", truth), dice)
        yield "somebody who watches the canopy", [seen]
    filmed += [
        _timed(truth, "canopy_open_s", noise["film"][1]),
        truth["touchdown_vehicle_time_s"] + 0.1 * noise["film"][2],
    ]
    yield "a film of the whole flight, with its times", filmed


def _told(chance: Floats, dice: np.random.Generator) -> Floats:
    """What somebody would say, yes 1 or no 0, who is right nearly always."""
    happened = dice.random(len(chance)) < chance
    wrong = dice.random(len(chance)) > SURE
    return (happened ^ wrong).astype(float)


def _placed(
    names: Mapping[str, str], evidence: Evidence, truth: Columns, noise: Floats
) -> Iterator[tuple[str, list[Floats]]]:
    """Yield landing places that were not paced."""
    paced = {each.end for each in evidence.measured if each.kind == "place"}
    for body in ("vehicle", "payload", "payload2", "payload3"):
        east = f"touchdown_{body}_east_m"
        if east in truth and body not in paced:
            spots = [
                truth[east] + PACED * noise[0],
                truth[f"touchdown_{body}_north_m"] + PACED * noise[1],
            ]
            yield f"the place where {names.get(body, 'the vehicle')} comes down, paced", spots
