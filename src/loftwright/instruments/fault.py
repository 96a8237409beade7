"""What a fault is: the part that it happens to, how likely it is, and what it changes.

A fault changes four things and no other: parameters of a controller's instruments, fields of
actuators, values of documents (so that the flight itself is another), and which program a
controller runs. Each change is an array with one number for each flight, drawn from a stream that
the fault's name, its part and the seed make.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.draws import uniforms
from loftwright.instruments.actuators import Actuation, changed
from loftwright.instruments.kernel.slots import FAR
from loftwright.instruments.rows import place
from loftwright.instruments.wiring import Wiring

__all__ = ["GROUPS", "VEHICLE", "Dice", "Effect", "Fault", "Part", "Scene", "each"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Changes = Mapping[str, Mapping[str, Any]]

# What faults are about, in the order in which they are listed.
GROUPS = ("supply", "sensing", "launch", "actuators", "hold", "canopy", "fill", "assembly")


@dataclass(frozen=True, slots=True)
class Part:
    """Something that a fault happens to: a part of the avionics, or a document by its role.

    ``called`` is what the documents call it, where its role would not tell it from others.
    """

    kind: str
    name: str
    called: str = field(default="", compare=False)

    @property
    def words(self) -> str:
        """The part as a sentence speaks of it."""
        if self.called:
            return f'the {self.kind} "{self.called}"'
        if self.kind in ("vehicle", "payload"):
            return f"the {self.name}"
        return f'the {self.kind} "{self.name}"'


VEHICLE = Part("vehicle", "vehicle")


@dataclass(frozen=True, slots=True)
class Dice:
    """Seeded draws of one fault at one part, a stream for each word that asks."""

    seed: int
    path: str
    first: int
    flights: int

    def uniform(self, word: str, low: float, high: float) -> Floats:
        """Draw evenly between two numbers, one draw a flight."""
        drawn = uniforms(self.seed, f"{self.path}/{word}", self.first, self.flights, 1)[:, 0]
        return low + (high - low) * drawn

    def spread(self, word: str, low: float, high: float) -> Floats:
        """Draw evenly between the logarithms of two numbers above zero."""
        return np.exp(self.uniform(word, log(low), log(high)))

    def happens(self, word: str, chance: float) -> NDArray[np.bool_]:
        """Draw what happens with a chance."""
        return self.uniform(word, 0.0, 1.0) < chance


@dataclass(frozen=True, slots=True)
class Effect:
    """What a fault changes: numbers, or arrays with one number a flight.

    ``lanes`` holds, by controller, parameters of ``kernel.slots`` by name; ``actuators``, by
    actuator, fields of ``Actuation``; ``values`` paths of documents; ``programs``, by controller,
    the controller whose program it runs.
    """

    lanes: Changes = field(default_factory=dict)
    actuators: Changes = field(default_factory=dict)
    values: Mapping[str, Any] = field(default_factory=dict)
    programs: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Scene:
    """Some flights of a campaign with all that faults may look at, and may have changed so far.

    ``lanes`` are arrays (``slots.PARAMETERS``, flights), ``values`` numbers or arrays
    ``(flights,)``; ``altered`` are those values that faults changed; ``steps`` is by controller
    the time from sample to sample of its own program [ms]; ``programs`` whose program each runs.
    """

    wiring: Wiring
    values: Mapping[str, Any]
    words: Mapping[str, Any]
    seed: int
    first: int
    flights: int
    lanes: Mapping[str, Singles]
    actuators: Mapping[str, Actuation]
    steps: Mapping[str, int]
    programs: Mapping[str, str]
    altered: Mapping[str, Any] = field(default_factory=dict)

    def lane(self, controller: str, name: str) -> Floats:
        """Return a parameter of a controller's instruments, one number a flight."""
        return np.asarray(self.lanes[controller][place(name)], float)

    def value(self, path: str) -> Floats:
        """Return a value of the documents, one number a flight."""
        return np.array(np.broadcast_to(self.values[path], self.flights), float)

    def having(self, effect: Effect) -> Scene:
        """Return the scene with an effect in it; what it does not change is shared."""
        lanes, actuators = dict(self.lanes), dict(self.actuators)
        for controller, changes in effect.lanes.items():
            lanes[controller] = _lane_with(lanes[controller], changes)
        for name, changes in effect.actuators.items():
            actuators[name] = _actuator_with(actuators[name], changes)
        values = {
            path: np.array(np.broadcast_to(value, self.flights), float)
            for path, value in effect.values.items()
        }
        return replace(
            self,
            lanes=lanes,
            actuators=actuators,
            values={**self.values, **values},
            altered={**self.altered, **values},
            programs={**self.programs, **effect.programs},
        )


def _lane_with(table: Singles, changes: Mapping[str, Any]) -> Singles:
    found = table.copy()
    for name, value in _spanning(changes, lambda each: table[place(each)]).items():
        found[place(name)] = value
    return found


def _actuator_with(actuation: Actuation, changes: Mapping[str, Any]) -> Actuation:
    return changed(actuation, _spanning(changes, lambda each: getattr(actuation, each)))


def _spanning(changes: Mapping[str, Any], now: Callable[[str], Any]) -> dict[str, Any]:
    """Return changes whose windows span those that are there already.

    There is one window of a kind: where two faults both have one, it lasts from the earlier's
    beginning to the later's end, so that two faults never do less than either.
    """
    found = dict(changes)
    for name in changes:
        stem, _, end = name.rpartition("_")
        if end.lower() != "from":
            continue
        until = f"{stem}_{'UNTIL' if end.isupper() else 'until'}"
        was = np.asarray(now(name), float)
        found[name] = np.where(was < FAR, np.minimum(was, changes[name]), changes[name])
        if until in changes:
            last = np.maximum(now(until), changes[until])
            found[until] = np.where(was < FAR, last, changes[until])
    return found


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of the library.

    ``says`` is one sentence, with ``{part}`` in place of the part's words; ``chance`` is how likely
    it is in one flight at one part, and ``chance_source`` where that number is from. ``parts``
    names what it can happen to, and ``effect`` what it does there.
    """

    name: str
    group: str  # of GROUPS
    says: str
    chance: float
    chance_source: str
    parts: Callable[[Scene], list[Part]]
    effect: Callable[[Scene, Part, Dice], Effect]

    def __post_init__(self) -> None:
        if self.group not in GROUPS:
            raise ValueError(f"{self.name}: no group {self.group}")
        if not 0.0 <= self.chance <= 1.0:
            raise ValueError(f"{self.name}: a chance lies between 0 and 1")

    def dice(self, scene: Scene, part: Part) -> Dice:
        """Return the draws of this fault at a part."""
        path = f"fault/{self.name}/{part.name}"
        return Dice(scene.seed, path, scene.first, scene.flights)


def each(*kinds: str) -> Callable[[Scene], list[Part]]:
    """Return what lists every part of some kinds, in the order of the document."""

    def parts(scene: Scene) -> list[Part]:
        return [Part(kind, name) for kind, name in scene.wiring.index if kind in kinds]

    return parts
