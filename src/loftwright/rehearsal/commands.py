"""What controllers switch, and when."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.instruments.rows import place
from loftwright.program.kernel.slots import NOT_YET
from loftwright.program.table import Action, Table
from loftwright.rehearsal.listening import Heard, Lanes

__all__ = ["Commands", "Told", "are_alike", "commanded", "of_pairs", "shortest_pulse"]

Floats = NDArray[np.float64]

# Of each output, when it goes up and when it goes down again by itself, for each pair [s].
Commands = dict[str, tuple[Floats, Floats]]
Told = dict[str, Commands]  # by controller


def of_pairs(told: Told, which: NDArray[Any]) -> Told:
    """Return what was told of some pairs."""
    return {
        name: {output: (up[which], down[which]) for output, (up, down) in commands.items()}
        for name, commands in told.items()
    }


def are_alike(one: Told, other: Told) -> bool:
    """Tell whether the same is switched at the same moments."""
    return all(
        np.array_equal(up, other[name][output][0])
        for name, commands in one.items()
        for output, (up, _) in commands.items()
    )


def commanded(table: Table, lanes: Lanes, heard: Heard) -> Commands:
    """Return when each output goes up, and when it goes down again by itself, s; infinity: never.

    An output that is pulsed anywhere in its program goes down after its shortest pulse.
    """
    begin = lanes.parameters[place("FIRST_AT")].astype(float)
    step = lanes.parameters[place("STEP")].astype(float)
    found = {}
    for number, output in enumerate(table.outputs):
        opened = heard.opened[number]
        up = np.where(opened == NOT_YET, np.inf, begin + step * opened)
        found[output] = (up, up + shortest_pulse(table, number))
    return found


def shortest_pulse(table: Table, output: int) -> float:
    """Length of the shortest pulse of an output [s]; infinite where it is switched on to stay."""
    pulses = [
        act.for_ms / 1000.0
        for stage in table.stages
        for act in stage.acts
        if act.output == output and act.action in (Action.PULSE, Action.SOUND)
    ]
    return min(pulses, default=float("inf"))
