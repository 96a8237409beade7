"""One case's instruments, one sample at a time, written to be read: what ``sense`` must equal.

Independent of the lanes: a dictionary of parameters by name, branches where there are choices.
Every operation is single precision, in the order in which ``sense`` rounds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

F = np.float32
ZERO = F(0)


@dataclass
class Plain:
    """The memory of one case."""

    p: dict[str, np.float32]
    excess: np.float32 = ZERO
    last_port: np.float32 = ZERO
    last_bay: np.float32 = ZERO
    filtered: np.float32 = ZERO
    held: np.float32 = ZERO
    held_push: np.float32 = ZERO
    age: np.float32 = ZERO
    open_again: np.float32 = ZERO
    ready_at: np.float32 = ZERO
    zero: int = 0
    was_alive: bool = True
    begun: bool = False

    def __post_init__(self) -> None:
        self.age = self.p["EVERY"] - self.p["STEP"]
        self.open_again = self.ready_at = self.p["FIRST_AT"] - F(1)

    def within(self, t, name):
        return self.p[f"{name}_FROM"] <= t < self.p[f"{name}_UNTIL"]

    def sample(self, k, port, push, noise, draw):
        """Return pressure, push, line, now, alive and restart of sample ``k``."""
        t = self.p["FIRST_AT"] + F(k) * self.p["STEP"]
        self.breathe(t, port)
        pressure = self.barometer(t, noise[0], noise[2])
        pushed = self.accelerometer(t, push, noise[1])
        line = int(self.p["LINE_OPENS"] <= t < self.p["LINE_CLOSES"])
        now, alive, restart = self.supply(k, t, push, draw)
        self.begun = True
        return pressure, pushed, line, now, alive, restart

    def breathe(self, t, port):
        outside = port + self.p["GUST"] if self.within(t, "GUST") else port
        gained = F(0)
        if self.within(t, "LEAK"):
            gained = self.p["LEAK"]
        if t < self.p["WARM_UNTIL"]:
            gained = gained + self.p["HEATING"]
        closed = self.excess + (self.last_port - outside) + gained if self.begun else F(0)
        flow, size = self.p["PORT_FLOW"], abs(closed)
        root = F(2) * size / (flow + np.sqrt(flow * flow + F(4) * size) + F(1e-20))
        self.excess = np.copysign(root * root, closed)
        self.last_port = outside

    def barometer(self, t, noise, luck):
        p = self.p
        bay = self.last_port + self.excess
        change = bay - self.last_bay if self.begun else F(0)
        self.last_bay = bay
        value = bay + change * (luck * p["JITTER"])
        value = value + p["DRIFT"] * (min(t, p["WARM_UNTIL"]) - p["FIRST_AT"])
        loud = p["NOISE"] * (p["BURST"] if self.within(t, "BURST") else F(1))
        value = value + loud * noise
        self.age = self.age + p["STEP"]
        due = self.age >= p["EVERY"] - F(1e-2) * p["STEP"]
        if due:
            self.age = min(self.age - p["EVERY"], p["EVERY"])
        frozen = self.within(t, "FREEZE") or luck > p["REPEAT_ABOVE"]
        if not self.begun:
            self.filtered = value
            self.held = self.shown(value)
        elif due and not frozen:
            self.filtered = self.filtered + p["SHARE"] * (value - self.filtered)
            self.held = self.shown(self.filtered)
        if self.within(t, "FAIL"):
            return p["FAIL_READS"]
        return F(np.nan) if luck > p["DROP_ABOVE"] else self.held

    def shown(self, value):
        p = self.p
        if value > p["MOST"]:
            return p["OVER"]
        if value < p["LEAST"]:
            return p["UNDER"]
        return np.floor(value * p["FINENESS"] + F(0.5)) * p["RESOLUTION"]

    def accelerometer(self, t, push, noise):
        p = self.p
        value = push + p["BUMP"] if self.within(t, "BUMP") else push
        value = value + (p["PUSH_BIAS"] + p["PUSH_NOISE"] * noise)
        value = max(min(value, p["PUSH_RANGE"]), -p["PUSH_RANGE"])
        if not (self.begun and self.within(t, "PUSH_FREEZE")):
            self.held_push = value
        return p["PUSH_FAIL_READS"] if self.within(t, "PUSH_FAIL") else self.held_push

    def supply(self, k, t, push, draw):
        p = self.p
        if abs(push) > p["OPENS_AT"]:
            self.open_again = t + p["OPEN_FOR"]
        source = p["FLAT_VOLTAGE"] if t >= p["FLAT_FROM"] else p["VOLTAGE"]
        volts = source - p["RESISTANCE"] * (p["OWN_DRAW"] + draw)
        cut = t < self.open_again or self.within(t, "OPEN") or self.within(t, "RESET")
        cut = cut or volts < p["BROWNOUT"]
        if cut:
            self.ready_at = t + p["START_UP"]
        alive = not cut and t >= self.ready_at - F(1e-2) * p["STEP"]
        restart = alive and not self.was_alive
        if restart:
            self.zero = k
        self.was_alive = alive
        return (k - self.zero) * int(p["STEP_MS"]), int(alive), int(restart)
