"""Single flights of a rehearsal, flown again by their case and number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from loftwright.flight.blocks import processors
from loftwright.rehearsal.cases import fault_name, known_happenings, named
from loftwright.rehearsal.outcomes import knows_people
from loftwright.rehearsal.plan import Plan
from loftwright.rehearsal.results import FIELD, NO_FAULT, PAYLOAD, VEHICLE, Watched
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.watching import watched

__all__ = ["FlownAgain", "WatchedAgain", "fly_again", "trial_named", "watch_again"]

NOTHING_FAILS = "Nothing fails."


@dataclass(frozen=True, slots=True)
class FlownAgain:
    """What became of one flight, in the words under which a rehearsal counts it.

    ``figures`` are those of the flight, SI, by the names of ``flight.figures``; what did not occur
    is left out.
    """

    case: str
    says: str  # one sentence: what happens
    flight: int
    payload: str  # a word of ``results.PAYLOAD``; empty without a payload
    vehicle: str
    field: str  # empty where the site draws nothing
    good: bool
    lost: bool
    endangers: bool | None  # None where nobody has drawn where people may be
    energy_j: dict[str, float]  # by body, of what came down
    figures: dict[str, float]


@dataclass(frozen=True, slots=True)
class WatchedAgain:
    """A flight with the same flight without the fault: the same wind, draws and noise.

    ``plain`` and ``plain_watched`` are None where the flight itself is without a fault.
    """

    flown: FlownAgain
    watched: Watched
    plain: FlownAgain | None
    plain_watched: Watched | None


def trial_named(plan: Plan, case: str) -> Trial:
    """Return the trial of a case by the name that it has in tables, `NO_FAULT` among them.

    Raises ``ProblemError`` for a name that no case of this campaign has.
    """
    if case.strip() == NO_FAULT:
        return Trial()
    return Trial(tuple(named(known_happenings(plan), case.strip())))


def fly_again(plan: Plan, case: str, numbers: Sequence[int]) -> tuple[FlownAgain, ...]:
    """Fly flights of one case again, each by itself.

    Randomness is a function of seed and number: a flight goes as it went in any rehearsal of the
    same documents with the same seed, whatever else was flown beside it.

    Raises
    ------
    ProblemError
        For a case that there is not.
    """
    trial = trial_named(plan, case)

    def flown(number: int) -> FlownAgain:
        return _told(plan, fly_block(plan, [trial], number, 1), trial, 0)

    first = [flown(number) for number in numbers[:1]]  # what it needs is compiled here, once
    with ThreadPoolExecutor(processors()) as pool:
        return (*first, *pool.map(flown, numbers[1:]))


def watch_again(plan: Plan, case: str, number: int) -> WatchedAgain:
    """Fly one flight of a case again and watch it, beside the same flight without the fault.

    Raises
    ------
    ProblemError
        For a case that there is not.
    """
    trial = trial_named(plan, case)
    trials = [trial, Trial()] if trial.happening else [trial]
    flown = fly_block(plan, trials, number, 1)
    both = [
        (_told(plan, flown, each, place), watched(plan, flown, 0, case=_name(each), trial=place))
        for place, each in enumerate(trials)
    ]
    plain = both[1] if len(both) > 1 else (None, None)
    return WatchedAgain(*both[0], *plain)


def _name(trial: Trial) -> str:
    return " and ".join(fault_name(each) for each in trial.happening) or NO_FAULT


def _told(plan: Plan, flown: Flown, trial: Trial, place: int) -> FlownAgain:
    """Say what became of the one flight of a block in one trial."""
    judged, people = flown.of(place), knows_people(plan.shapes)
    return FlownAgain(
        case=_name(trial),
        says=" ".join(each.says for each in trial.happening) or NOTHING_FAILS,
        flight=flown.block.first,
        payload=PAYLOAD[judged.payload[0]] if len(judged.payload) else "",
        vehicle=VEHICLE[judged.vehicle[0]],
        field=FIELD[judged.field[0]] if plan.shapes else "",
        good=bool(judged.good[0]),
        lost=bool(judged.lost[0]),
        endangers=bool(judged.endangers[0]) if people else None,
        energy_j={body: float(each[0]) for body, each in judged.energies.items() if _is(each[0])},
        figures=dict(_figures(flown, place)),
    )


def _figures(flown: Flown, place: int) -> Iterator[tuple[str, float]]:
    for name in flown.columns:
        value = float(flown.figures(place, name)[0])
        if _is(value):
            yield name, value


def _is(value: float) -> bool:
    return bool(np.isfinite(value))
