"""Logs of flights that are solved in a few lines, apart from any model of the program."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftwright.evidence.flight_log import FlightLog

GRAVITY, GAS, LAPSE, EXPONENT = 9.80665, 287.05287, 0.0065, 5.2558797
PAD, WARM = 98_000.0, 288.15  # Pa, K


@dataclass(frozen=True)
class MadeUp:
    """A log by a clock that starts ``before`` s ahead of first motion, and what is true."""

    log: FlightLog
    time: np.ndarray  # s, from first motion, of each row
    height: np.ndarray
    climb: np.ndarray
    events: dict[str, float]

    @property
    def apogee(self):
        return float(self.height.max())

    def row(self, time):
        return int(np.searchsorted(self.time, time))

    def with_pressure(self, pressure):
        return replace(self.log, pressure_pa=pressure)

    def part(self, first, last):
        columns = {name: getattr(self.log, name)[first:last] for name in ("time_s", "pressure_pa")}
        return replace(self.log, line=self.log.line[first:last], **columns)


def path(push=180.0, lasts=0.22, drag=0.0045, opens=0.6, rate=4.2, step=1e-3):
    """Heights and climbs: a steady push, a coast with drag, a canopy that opens after the top."""
    time, height, climb = [0.0], [0.0], [0.0]
    top = opened = None
    while height[-1] > 0.0 or time[-1] < lasts:
        t, h, v = time[-1], height[-1], climb[-1]
        gain = push if t < lasts else -GRAVITY - drag * v * abs(v)
        if opened is not None:
            fill = min((t - opened) / 0.3, 1.0)
            gain = -GRAVITY + max(GRAVITY * fill / rate**2, drag) * v * v
        time.append(t + step)
        height.append(h + step * (v + 0.5 * step * gain))
        climb.append(v + step * gain)
        if top is None and t > lasts and climb[-1] < 0.0:
            top = t
        if top is not None and opened is None and opens is not None and t > top + opens:
            opened = t
    events = {"apogee": top, "touchdown": time[-1], "push ends": lasts}
    if opened is not None:
        events["canopy open"] = opened
    return np.array(time), np.array(height), np.array(climb), events


def made_up(seed=1, every=0.02, noise=1.5, port=0.0, before=12.0, after=8.0, step_pa=0.1, **shape):
    """Return a log of such a flight; noise and steps in Pa, ``port`` as a pressure coefficient."""
    time, height, climb, events = path(**shape)
    down = events["touchdown"]
    clock = np.arange(0.0, before + down + after, every)
    at = clock - before - 0.37 * every
    h = np.interp(at, time, height, left=0.0, right=0.0)
    v = np.interp(at, time, climb, left=0.0, right=0.0)
    pressure = PAD * (1.0 - LAPSE * h / WARM) ** EXPONENT
    pressure += port * 0.5 * PAD / GAS / WARM * v * v
    pressure += np.random.default_rng(seed).normal(0.0, noise, len(at))
    pressure = np.round(pressure / step_pa) * step_pa
    log = FlightLog(
        name="made-up.csv",
        time_s=clock,
        pressure_pa=pressure,
        height_m=None,
        push_m_s2=None,
        battery_v=None,
        line=np.arange(2, len(clock) + 2, dtype=np.int32),
        marks=(),
        columns=(),
        notes=(),
        warnings=(),
        sha256="0" * 64,
    )
    return MadeUp(log, at, h, v, events)
