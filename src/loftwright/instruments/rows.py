"""Documents into the parameters of ``sense``: what each controller's instruments are, unfailing."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.air import air_at_pad
from loftwright.flight.flat import each
from loftwright.instruments.kernel import slots
from loftwright.instruments.wiring import ControllerWires, Wiring
from loftwright.physics.bay_vent import vent_constant
from loftwright.physics.pressure_leak import heated_rise
from loftwright.physics.sensor_lag import decimated_share

__all__ = [
    "NAMES",
    "controller_rows",
    "controllers_draw",
    "passed",
    "place",
    "sample_times",
    "sampled",
    "true_step",
]

Values = Mapping[str, Any]
Row = dict[str, Any]
Singles = NDArray[np.float32]
Floats = NDArray[np.float64]

WARMING_TIME = 60.0  # s from power-up, over which a sensor warms (judgement)
CONNECTOR_OPEN = 0.05  # s that a shaken connector stays open once it is no longer (judgement)
NEVER_LOST = 9.0  # standard deviations
FAR = slots.FAR
NONE = float("nan")

# The parameters by name, in the order of their rows.
_ALL = list(vars(slots))
NAMES = tuple(_ALL[_ALL.index("FIRST_AT") : _ALL.index("RESET_UNTIL") + 1])


def place(name: str) -> int:
    """Return the row of a parameter, by its name in ``slots``."""
    return int(getattr(slots, name)) // slots.LANES


def true_step(values: Values, wires: ControllerWires, step_ms: int) -> Any:
    """Return the true time from one sample of a controller to the next [s]: its clock drifts."""
    drift = values[f"avionics.controller.{wires.index}.clock_drift"]
    return 1e-3 * step_ms / (1.0 + drift)


def first_sample(values: Values) -> Any:
    """Return when controllers take their first sample, before first motion (negative) [s]."""
    return -np.maximum(values["avionics.pad_wait"], 0.0)


def sample_times(
    values: Values, wires: ControllerWires, step_ms: int, samples: int, flights: int
) -> Floats:
    """Return when a controller takes its samples, (flights, samples), zero at first motion [s]."""
    step = np.broadcast_to(true_step(values, wires, step_ms), flights)
    begin = np.broadcast_to(first_sample(values), flights)
    return begin[:, np.newaxis] + step[:, np.newaxis] * np.arange(samples)


def controller_rows(
    values: Values, words: Mapping[str, Any], wiring: Wiring, name: str, step_ms: int, flights: int
) -> Singles:
    """Return the parameters of one controller's instruments in each flight, nothing failing.

    Parameters
    ----------
    values, words : mappings
        Of the flattened campaign; a value is a number or an array ``(flights,)``.
    wiring : Wiring
        As ``wire`` gives it.
    name : str
        Of the controller.
    step_ms : int
        Time from sample to sample by its program [ms].
    flights : int
        Number of flights.

    Returns
    -------
    array
        float32 (``slots.PARAMETERS``, flights); ``place`` tells the row of a parameter.
    """
    wires = wiring.controllers[name]
    step = true_step(values, wires, step_ms)
    row = _never() | {
        "FIRST_AT": first_sample(values),
        "STEP": step,
        "STEP_MS": float(step_ms),
    }
    row |= _bay(values, words, wiring, wires, step)
    row |= _barometer(values, words, wiring, wires, step)
    row |= _accelerometer(values, wiring, wires)
    row |= {"LINE_OPENS": 0.0 if wires.switch else FAR, "LINE_CLOSES": FAR}
    row |= _supply(values, wiring, wires)
    table = np.empty((slots.PARAMETERS, flights), np.float32)
    for parameter in NAMES:
        table[place(parameter)] = row[parameter]
    return table


def _never() -> Row:
    """Return windows that never come, and what would be in them."""
    row: Row = {}
    for name in NAMES:
        if name.endswith(("_FROM", "_UNTIL")):
            row[name] = FAR
    return row | {
        "LEAK": 0.0,
        "GUST": 0.0,
        "BURST": 1.0,
        "BUMP": 0.0,
        "FAIL_READS": NONE,
        "PUSH_FAIL_READS": NONE,
        "DROP_ABOVE": NEVER_LOST,
        "REPEAT_ABOVE": NEVER_LOST,
        "FLAT_VOLTAGE": 0.0,
    }


def _bay(
    values: Values, words: Mapping[str, Any], wiring: Wiring, wires: ControllerWires, step: Any
) -> Row:
    warm_until = first_sample(values) + WARMING_TIME
    if not wires.bay:
        return {"PORT_FLOW": 0.0, "HEATING": 0.0, "WARM_UNTIL": warm_until}
    bay = f"avionics.bay.{wiring.index['bay', wires.bay]}"
    air = air_at_pad(values)
    area = _vent_area(values, words, bay)
    drained = each(
        vent_constant,
        step,
        values[f"{bay}.volume"],
        area,
        values[f"{bay}.vent_coefficient"],
        air.density,
        air.temperature,
    )
    warming = values[wiring.path("barometer", wires.barometer, "warming")]
    heating = heated_rise(air.pressure, air.temperature, warming) / WARMING_TIME * step
    return {"PORT_FLOW": drained, "HEATING": heating, "WARM_UNTIL": warm_until}


def _vent_area(values: Values, words: Mapping[str, Any], bay: str) -> Any:
    """Return the area of all vents of the bay at a path [m2]."""
    return words[f"{bay}.vent_count"] * pi / 4.0 * values[f"{bay}.vent_diameter"] ** 2


def _barometer(
    values: Values, words: Mapping[str, Any], wiring: Wiring, wires: ControllerWires, step: Any
) -> Row:
    if not wires.barometer:
        return {
            "DRIFT": 0.0, "NOISE": 0.0, "JITTER": 0.0, "SHARE": 1.0, "EVERY": 0.0,
            "FAIL_FROM": -FAR, "LEAST": 0.0, "MOST": FAR, "UNDER": 0.0, "OVER": 0.0,
            "RESOLUTION": 1.0, "FINENESS": 1.0,
        }  # fmt: skip
    index = wiring.index["barometer", wires.barometer]
    sensor = {
        field: values[f"avionics.barometer.{index}.{field}"]
        for field in ("noise", "resolution", "temperature_drift", "warming", "least", "most")
    }
    error = values.get(f"avionics.barometer.{index}.error_pressure")
    return sampled(values, words, wiring, wires, step) | {
        "DRIFT": sensor["temperature_drift"] * sensor["warming"] / WARMING_TIME,
        "LEAST": sensor["least"],
        "MOST": sensor["most"],
        "UNDER": sensor["least"] if error is None else error,
        "OVER": sensor["most"] if error is None else error,
        "RESOLUTION": sensor["resolution"],
        "FINENESS": 1.0 / sensor["resolution"],
    }


def sampled(
    values: Values, words: Mapping[str, Any], wiring: Wiring, wires: ControllerWires, step: Any
) -> Row:
    """Return what of a barometer depends on how often it is read.

    Where the sensor is quicker than the controller, its filter moves several times between two
    readings, and the noise before it is scaled so that behind it stands what stood there.
    """
    index = wiring.index["barometer", wires.barometer]
    path = f"avionics.barometer.{index}"
    every = values[f"{path}.every"] + 0.0 * step
    step = step + 0.0 * every
    number: Any = np.where(
        every > 0.0, np.maximum(step / np.where(every > 0.0, every, 1.0), 1.0), 1.0
    )
    once = 1.0 / words[f"{path}.filter"]
    share = decimated_share(words[f"{path}.filter"], number)
    return {
        "NOISE": values[f"{path}.noise"] * np.sqrt(passed(once) / passed(share)),
        "JITTER": values[f"{path}.jitter"] / step,
        "SHARE": share,
        "EVERY": np.where(every > step, every, 0.0),
    }


def passed(share: Any) -> Any:
    """Return the variance behind a first-order filter over that of white noise before it."""
    return share / (2.0 - share)


def _accelerometer(values: Values, wiring: Wiring, wires: ControllerWires) -> Row:
    if not wires.accelerometer:
        return {"PUSH_BIAS": 0.0, "PUSH_NOISE": 0.0, "PUSH_RANGE": FAR, "PUSH_FAIL_FROM": -FAR}
    path = f"avionics.accelerometer.{wiring.index['accelerometer', wires.accelerometer]}"
    return {
        "PUSH_BIAS": values[f"{path}.bias"],
        "PUSH_NOISE": values[f"{path}.noise"],
        "PUSH_RANGE": values[f"{path}.range"],
    }


def _supply(values: Values, wiring: Wiring, wires: ControllerWires) -> Row:
    battery = f"avionics.battery.{wiring.index['battery', wires.battery]}"
    controller = f"avionics.controller.{wires.index}"
    return {
        "VOLTAGE": values[f"{battery}.voltage"],
        "RESISTANCE": values[f"{battery}.resistance"],
        "OWN_DRAW": controllers_draw(values, wiring, wires.battery),
        "BROWNOUT": values[f"{controller}.brownout"],
        "START_UP": values[f"{controller}.start_up"],
        "OPENS_AT": _weakest_connector(values, wiring, wires.connectors),
        "OPEN_FOR": CONNECTOR_OPEN,
    }


def controllers_draw(values: Values, wiring: Wiring, battery: str) -> Any:
    """Return the current that all controllers on a battery take [A]."""
    fed = wiring.on_battery(battery)
    return sum(values[wiring.path("controller", name, "draw")] for name in fed)


def _weakest_connector(values: Values, wiring: Wiring, connectors: tuple[str, ...]) -> Any:
    """Return the acceleration at which the first of some connectors opens [m/s2]; FAR: never."""
    bears: Any = FAR
    for name in connectors:
        bears = np.minimum(bears, values.get(wiring.path("connector", name, "bears"), FAR))
    return bears
