"""The cases of a rehearsal: nothing failing, each fault at each part, and two faults at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import prod
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.build import closest
from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.documents.source import Source, load
from loftwright.errors import Problem, ProblemError
from loftwright.instruments.actuators import Actuation, actuator_rows
from loftwright.instruments.fault import Fault, Part, Scene
from loftwright.instruments.faults import library
from loftwright.instruments.rows import controller_rows
from loftwright.instruments.wiring import wire

__all__ = ["CaseInputs", "Happening", "cases", "happenings", "inputs", "scene_of"]

Singles = NDArray[np.float32]
Floats = NDArray[np.float64]

NO_FAULT = "Nothing fails."


@dataclass(frozen=True, slots=True)
class Happening:
    """A fault at a part, and how likely that is in one flight of this campaign."""

    fault: Fault
    part: Part
    chance: float

    @property
    def says(self) -> str:
        """One sentence: what happens."""
        said = self.fault.says.replace("{part}", self.part.words)
        return said[:1].upper() + said[1:]


@dataclass(frozen=True, slots=True)
class CaseInputs:
    """What one case is made of; what a fault leaves alone is the very array of the nominal case.

    ``lanes`` are the parameters of ``kernel.sense`` by controller, (``slots.PARAMETERS``,
    flights); ``actuators`` by name. ``values`` are the values of documents that differ, by path,
    None where the flight itself is that of the nominal case. ``programs`` says for each
    controller whose program it runs; an output that this program does not have is never switched.
    """

    faults: tuple[str, ...]
    parts: tuple[str, ...]
    says: str
    chance: float  # of all of its faults in one flight; 1 of the nominal case
    lanes: dict[str, Singles]
    actuators: dict[str, Actuation]
    values: dict[str, Floats] | None
    programs: dict[str, str]

    @property
    def part(self) -> str:
        """The parts in words."""
        return " and ".join(self.parts)


def scene_of(
    campaign: Campaign,
    values: Mapping[str, Any],
    words: Mapping[str, Any],
    seed: int,
    first: int,
    flights: int,
) -> Scene:
    """Return some flights of a campaign with nothing failing.

    Parameters
    ----------
    campaign : Campaign
        With avionics.
    values, words : mappings
        Of the flattened campaign; what was drawn is an array ``(flights,)``.
    seed : int
        Of the faults' own draws.
    first, flights : int
        First flight and number of flights.

    Raises
    ------
    ProblemError
        If the campaign has no avionics.
    """
    if campaign.avionics is None:
        message = "this campaign has no avionics, so that there is nothing to rehearse"
        mend = 'describe them, and add avionics = "avionics.toml" to campaign.toml'
        where = load(campaign.folder / "campaign.toml", "campaign.toml").where(())
        raise ProblemError([Problem("avionics-none", message, where, mend)])
    wiring = wire(campaign.avionics)
    steps = {
        name: round(1e3 * campaign.programs[name].sample_every.value) for name in wiring.controllers
    }
    return Scene(
        wiring=wiring,
        values=values,
        words=words,
        seed=seed,
        first=first,
        flights=flights,
        lanes={
            name: controller_rows(values, words, wiring, name, steps[name], flights)
            for name in wiring.controllers
        },
        actuators={name: actuator_rows(values, wiring, name, flights) for name in wiring.actuators},
        steps=steps,
        programs={name: name for name in wiring.controllers},
    )


def happenings(campaign: Campaign, scene: Scene) -> list[Happening]:
    """Return every fault of the library at every part that it can happen to.

    Chances are those of the library, or of the avionics' ``[[fault]]`` where it has one; a chance
    of none leaves it out.

    Raises
    ------
    ProblemError
        If a ``[[fault]]`` names a fault, or a part of it, that there is not.
    """
    called = _called(campaign)
    every = [
        (fault, replace(part, called=called.get(part.name, "")) if part.kind == "payload" else part)
        for fault in library().values()
        for part in fault.parts(scene)
    ]
    told = _chances(campaign, every)
    found = [
        Happening(fault, part, told.get((fault.name, part.name), fault.chance))
        for fault, part in every
    ]
    return [each for each in found if each.chance > 0.0]


def _called(campaign: Campaign) -> dict[str, str]:
    """Return the names of payloads where there are several."""
    carried = {root: getattr(campaign, root) for root in PAYLOADS}
    named = {root: each.name for root, each in carried.items() if each is not None}
    return named if len(named) > 1 else {}


def _chances(
    campaign: Campaign, every: Sequence[tuple[Fault, Part]]
) -> dict[tuple[str, str], float]:
    """Return the chances that the avionics give, by fault and part."""
    assert campaign.avionics is not None
    told: dict[tuple[str, str], float] = {}
    slips = []
    # What names no part comes first, so that what names one counts.
    order = sorted(enumerate(campaign.avionics.fault), key=lambda each: each[1].part is not None)
    for number, given in order:
        parts = [part.name for fault, part in every if fault.name == given.name]
        if given.name not in library():
            slips.append((number, "name", "the library has no such fault", list(library())))
        elif given.part is not None and given.part not in parts:
            slips.append((number, "part", "it does not happen to such a part", parts))
        for part in parts:
            if given.part in (None, part):
                told[given.name, part] = given.chance.value
    if slips:
        name = str(campaign.head.avionics)
        source = load(campaign.folder / name, name)
        raise ProblemError(_slip(source, campaign, *each) for each in sorted(slips))
    return told


def _slip(
    source: Source, campaign: Campaign, number: int, field: str, message: str, known: list[str]
) -> Problem:
    assert campaign.avionics is not None
    written = getattr(campaign.avionics.fault[number], field)
    near = closest(written, known, 0.5)
    mend = f'did you mean "{near}"?' if near else f"write one of {', '.join(known) or 'none'}"
    where = source.where(("fault", number, field))
    return Problem("avionics-no-such-fault", message, where, mend)


def inputs(scene: Scene, *happening: Happening) -> CaseInputs:
    """Return a case in which these faults happen, one after the other; none: the nominal case."""
    now = scene
    for each in happening:
        dice = each.fault.dice(scene, each.part)
        now = now.having(each.fault.effect(now, each.part, dice))
    return CaseInputs(
        faults=tuple(each.fault.name for each in happening),
        parts=tuple(each.part.name for each in happening),
        says=" ".join(each.says for each in happening) or NO_FAULT,
        chance=prod((each.chance for each in happening), start=1.0),
        lanes=dict(now.lanes),
        actuators=dict(now.actuators),
        values=dict(now.altered) or None,
        programs=dict(now.programs),
    )


def cases(
    campaign: Campaign,
    values: Mapping[str, Any],
    words: Mapping[str, Any],
    seed: int,
    first: int,
    flights: int,
) -> list[CaseInputs]:
    """Return the nominal case, then one for every fault at every part.

    See `scene_of`, `happenings` and `inputs` for the parameters, what is raised, and for two
    faults at once.
    """
    scene = scene_of(campaign, values, words, seed, first, flights)
    return [inputs(scene), *(inputs(scene, each) for each in happenings(campaign, scene))]
