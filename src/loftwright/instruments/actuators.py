"""From the moment of a command to the moment at which the thing is free.

An actuator waits for its delay, then moves as fast as its battery's voltage under load lets it. It
stands still while it is without current, and what is then free may still stick for a while.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.instruments.kernel.slots import FAR
from loftwright.instruments.rows import controllers_draw
from loftwright.instruments.wiring import ActuatorWires, Wiring

__all__ = ["Actuation", "actuator_rows", "changed", "free_at"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Actuation:
    """One actuator in each flight, arrays ``(flights,)`` of SI numbers.

    ``dark_from`` to ``dark_until`` it is without current, on the clock of the flight; ``holds``
    is the share of its travel at which it stops for good (1 or more: it does not);
    ``sticks`` is how long the thing stays where it is once the actuator has done its work.
    """

    delay: Floats  # s
    travel_time: Floats  # s at full voltage
    voltage: Floats  # V without load
    resistance: Floats  # ohm
    others_draw: Floats  # A, of the controllers on its battery
    draw: Floats  # A while it moves
    stall_draw: Floats  # A while it pushes and does not move
    least_voltage: Floats  # V
    dark_from: Floats  # s
    dark_until: Floats  # s
    holds: Floats  # share of its travel
    sticks: Floats  # s

    @property
    def loaded(self) -> Floats:
        """Voltage while it moves [V]."""
        return self.voltage - self.resistance * (self.others_draw + self.draw)

    @property
    def lasts(self) -> Floats:
        """Time that the motion takes at the voltage under load; infinite where it stalls [s]."""
        loaded = self.loaded
        moves = (loaded >= self.least_voltage) & (loaded > 0.0) & (self.holds >= 1.0)
        safe = np.where(loaded > 0.0, loaded, 1.0)
        return np.where(moves, self.travel_time * self.voltage / safe, np.inf)


FIELDS = tuple(Actuation.__dataclass_fields__)


def actuator_rows(values: Mapping[str, Any], wiring: Wiring, name: str, flights: int) -> Actuation:
    """Return an actuator in each flight, nothing failing.

    ``values`` are those of the flattened campaign, numbers or arrays ``(flights,)``.
    """
    wires: ActuatorWires = wiring.actuators[name]
    own = f"avionics.actuator.{wires.index}"
    battery = f"avionics.battery.{wiring.index['battery', wires.battery]}"
    draw = values[f"{own}.draw"]
    row = {
        "delay": values[f"{own}.delay"],
        "travel_time": values[f"{own}.travel_time"],
        "voltage": values[f"{battery}.voltage"],
        "resistance": values[f"{battery}.resistance"],
        "others_draw": controllers_draw(values, wiring, wires.battery),
        "draw": draw,
        "stall_draw": values.get(f"{own}.stall_draw", draw),
        "least_voltage": values[f"{own}.least_voltage"],
        "dark_from": FAR,
        "dark_until": FAR,
        "holds": 1.0,
        "sticks": 0.0,
    }
    return Actuation(
        **{field: np.array(np.broadcast_to(row[field], flights), float) for field in FIELDS}
    )


def changed(actuation: Actuation, fields: Mapping[str, Any]) -> Actuation:
    """Return the actuator with some fields replaced, numbers or arrays ``(flights,)``."""
    flights = len(actuation.delay)
    arrays = {
        field: np.array(np.broadcast_to(value, flights), float) for field, value in fields.items()
    }
    return replace(actuation, **arrays)


def free_at(actuation: Actuation, commanded: Floats, until: Floats | float = np.inf) -> Floats:
    """Return when the thing is free, infinite where it never is.

    Parameters
    ----------
    actuation : Actuation
        As ``actuator_rows`` gives it.
    commanded : array
        When its output is switched on, (flights,), infinite for never; on the clock of the flight
        [s].
    until : array or float
        When the output is switched off again: a pulse that ends before the motion does leaves it
        undone [s].
    """
    told = np.asarray(commanded, float)
    done = _after_dark(actuation, told, actuation.delay + actuation.lasts)
    done = np.where(done <= until, done, np.inf)
    return done + actuation.sticks


def _after_dark(actuation: Actuation, begin: Floats, work: Floats) -> Floats:
    """Return when ``work`` seconds with current have gone by since ``begin``."""
    dark_from, dark_until = actuation.dark_from, actuation.dark_until
    before = np.clip(dark_from - begin, 0.0, None)  # worked until it goes dark
    resumes = np.maximum(begin, dark_until)
    left = work - before
    interrupted = (dark_until > dark_from) & (dark_until > begin) & (left > 0.0)
    resumed = np.where(dark_until >= FAR, np.inf, resumes + np.maximum(left, 0.0))
    return np.where(interrupted, resumed, begin + work)
