"""A controller's barometer without its noise: what it would read in many flights side by side.

The kernel of rehearsals (`instruments.kernel.sense`) takes samples as a controller does: noise,
steps, power and faults with them. A fit compares with what stands behind the noise, and for that
the bay, the warmth and the filter are enough.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.instruments.rows import controller_rows, place
from loftwright.instruments.wiring import Wiring, wire

__all__ = ["Barometer", "barometer_of"]

Floats = NDArray[np.float64]
COARSE = 0.02  # s between values of a barometer that nothing is known of


class Barometer:
    """What stands between the air at the vents and a column of a log.

    ``name`` is the controller's, empty for a recorder that the documents do not describe: that one
    is taken to read the pressure outside as it is.
    """

    def __init__(self, name: str, step: float, wiring: Wiring | None) -> None:
        self.name, self.step, self._wiring = name, step, wiring

    @property
    def jitter_path(self) -> str:
        """Path of how unsure its moments of measurement are; empty where nothing is known."""
        return self._path("barometer", self._wires.barometer, "jitter") if self.name else ""

    @property
    def drift_path(self) -> str:
        """Path of its clock's drift; empty where nothing is known."""
        return f"avionics.controller.{self._wires.index}.clock_drift" if self.name else ""

    @property
    def _wires(self) -> Any:
        assert self._wiring is not None
        return self._wiring.controllers[self.name]

    def _path(self, kind: str, name: str, field: str) -> str:
        assert self._wiring is not None
        return self._wiring.path(kind, name, field)

    def port_coefficient(self, values: Mapping[str, Any]) -> Any:
        """Pressure coefficient at the vents of its bay."""
        if not self.name or not self._wires.bay:
            return 0.0
        return values[self._path("bay", self._wires.bay, "port_coefficient")]

    def read(
        self, port: Floats, first: float, values: Mapping[str, Any], words: Mapping[str, Any]
    ) -> Floats:
        """Return what it reads of pressures at the vents, noise left out, (n, samples) [Pa].

        Parameters
        ----------
        port : (n, samples) array
            Pressure at the vents, ``step`` apart; the vehicle rests at the first of them.
        first : float
            When that is, from first motion [s].
        values, words : mappings
            Of the flattened campaign, values numbers or arrays ``(n,)``.
        """
        if not self.name:
            return port
        assert self._wiring is not None
        step_ms = round(1e3 * self.step)
        table = controller_rows(values, words, self._wiring, self.name, step_ms, len(port))
        row = {name: table[place(name)].astype(float) for name in ROWS}
        times = first + row["STEP"][:, None] * np.arange(port.shape[1])
        bay = port + _excess(port, row["PORT_FLOW"], row["HEATING"])
        warm = np.minimum(times, row["WARM_UNTIL"][:, None]) - row["FIRST_AT"][:, None]
        return _filtered(bay + row["DRIFT"][:, None] * np.maximum(warm, 0.0), row)


ROWS = ("STEP", "FIRST_AT", "PORT_FLOW", "HEATING", "WARM_UNTIL", "DRIFT", "SHARE", "EVERY")


def _excess(port: Floats, flow: Floats, heating: Floats) -> Floats:
    """Excess of the bay over the vents, sample by sample: `physics.bay_vent.breathed_excess`."""
    out = np.zeros_like(port)
    # At rest: what the warmth gains, the vents let out again.
    excess = np.square(heating / np.maximum(flow, 1e-20))
    out[:, 0] = excess
    for k in range(1, port.shape[1]):
        closed = excess + (port[:, k - 1] - port[:, k]) + heating
        size = np.abs(closed)
        root = 2.0 * size / (flow + np.sqrt(flow * flow + 4.0 * size) + 1e-20)
        excess = np.sign(closed) * root * root
        out[:, k] = excess
    return out


def _filtered(pressure: Floats, row: Mapping[str, Floats]) -> Floats:
    """The sensor's own filter; one slower than its controller repeats its values."""
    out = np.empty_like(pressure)
    value, age = pressure[:, 0].copy(), np.zeros(len(pressure))
    every, step, share = row["EVERY"], row["STEP"], row["SHARE"]
    for k in range(pressure.shape[1]):
        age = age + step
        due = age >= every - 0.01 * step
        age = np.where(due, np.minimum(age - every, every), age)
        value = np.where(due, value + share * (pressure[:, k] - value), value)
        out[:, k] = value
    return out


def barometer_of(campaign: Campaign, controller: str | None) -> Barometer:
    """Return the barometer of a controller; of the first that has one where none is named."""
    if campaign.avionics is None:
        return Barometer("", COARSE, None)
    wiring = wire(campaign.avionics)
    names = [name for name, wires in wiring.controllers.items() if wires.barometer]
    if controller is not None:
        names = [name for name in names if name == controller]
    if not names:
        return Barometer("", COARSE, None)
    step = campaign.programs[names[0]].sample_every.value
    return Barometer(names[0], step, wiring)
