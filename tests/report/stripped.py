"""Strips for tests: of every kind of line, short and long (seeded)."""

from __future__ import annotations

import numpy as np

from loftwright.report.strip_model import (
    Block,
    Curve,
    Event,
    Lane,
    Limit,
    Note,
    Role,
    Spread,
    Strip,
)

START, END = -2.0, 40.0


def noisy(count: int, seed: int, gaps: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Return a clock that never runs back, and values with lone peaks and missing numbers."""
    random = np.random.default_rng(seed)
    time = np.sort(np.round(random.uniform(START, END, count), 4))
    value = 50.0 * np.sin(time / 5.0) + random.normal(0.0, 2.0, count)
    value[random.integers(0, count, max(count // 5000, 1))] = 300.0
    value[random.integers(0, count, gaps)] = np.nan
    return time, value


def long_strip(count: int = 30_000, seed: int = 1) -> Strip:
    """Return a strip with a log of ``count`` samples, a forecast, stages and events."""
    time, value = noisy(count, seed, gaps=count // 100)
    knots = np.linspace(0.0, 35.0, 120)
    middle = 40.0 * np.sin(knots / 5.0)
    band = middle[:, None] + np.array([-8.0, -3.0, 0.0, 3.0, 8.0])
    height = Lane(
        "height", "m",
        (Curve("log", time, value, Role.RECORD),),
        (Spread("forecast", knots, band),),
        (Note(8.0, 45.0, "45 m"),),
        (Limit(280.0, "not above"),),
    )  # fmt: skip
    climb = Lane("climb", "m/s", (Curve("", time, np.gradient(value), Role.SENSED, faint=True),))
    stages = Lane(
        "board", "stages", height=22.0,
        blocks=(
            Block("pad", -2.0, 0.0), Block("up", 0.0, 8.0, "vehicle"), Block("down", 8.0, 33.0),
        ),
    )  # fmt: skip
    events = (Event("liftoff", 0.0), Event("apogee", 8.1, 7.9, 8.4), Event("never", float("nan")))
    return Strip(
        'The <flight> & "all"', "Height over time.", START, END, (height, climb, stages), events,
        close_up=(-0.5, 9.0),
    )  # fmt: skip
