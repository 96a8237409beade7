"""What moving actuators take from the batteries of controllers, and whether that may starve one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.instruments.actuators import Actuation
from loftwright.instruments.kernel.slots import FAR
from loftwright.instruments.rows import place
from loftwright.instruments.wiring import Wiring
from loftwright.physics.supply import loaded_voltage

__all__ = ["STALLED_FOR", "load", "may_starve", "on_its_battery"]

STALLED_FOR = 60.0  # s that what stalls goes on to push: longer than any flight (judgement)

Floats = NDArray[np.float64]


def on_its_battery(wiring: Wiring, controller: str, *, moved_by_others: bool) -> tuple[str, ...]:
    """Return the actuators on a controller's battery that it moves itself, or that others do."""
    battery = wiring.controllers[controller].battery
    return tuple(
        each.name
        for each in wiring.actuators.values()
        if each.battery == battery and (each.controller != controller) == moved_by_others
    )


def load(actuation: Actuation) -> tuple[Floats, Floats]:
    """Return what an actuator draws once it is told to move [A], and for how long [s]."""
    stalls = ~np.isfinite(actuation.lasts)
    taken = np.where(stalls, actuation.stall_draw, actuation.draw)
    return taken, np.where(stalls, STALLED_FOR, actuation.delay + actuation.lasts)


def may_starve(
    wiring: Wiring, controller: str, rows: NDArray[Any], actuators: Mapping[str, Actuation]
) -> NDArray[np.bool_]:
    """Tell of each flight whether what others move might leave a controller without its voltage.

    Parameters
    ----------
    wiring : Wiring
        As ``wire`` gives it.
    controller : str
        Of whose supply it is asked.
    rows : array
        Parameters of its instruments, as ``controller_rows`` gives them.
    actuators : mapping
        Every actuator in each flight.
    """
    others = on_its_battery(wiring, controller, moved_by_others=True)
    flights = rows.shape[1]
    if not others:
        return np.zeros(flights, bool)
    own = on_its_battery(wiring, controller, moved_by_others=False)
    most = sum((load(actuators[each])[0] for each in (*own, *others)), np.zeros(flights))
    goes_flat = rows[place("FLAT_FROM")] < FAR
    full, flat = rows[place("VOLTAGE")], rows[place("FLAT_VOLTAGE")]
    source = np.where(goes_flat, np.minimum(full, flat), full)
    least = loaded_voltage(source, rows[place("RESISTANCE")], rows[place("OWN_DRAW")] + most)
    return np.asarray(least < rows[place("BROWNOUT")])
