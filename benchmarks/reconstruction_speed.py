"""How long a reconstruction takes: a minute at 100 Hz, and one flight in ten million rows.

python benchmarks/reconstruction_speed.py [--long]
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))
from debrief.made_up_logs import PAD, WARM, made_up

from loftwright.debrief.reconstruction.instrument import assumed_instrument
from loftwright.debrief.reconstruction.reconstruct import reconstruct

ROWS, AT = 10_000_000, 6_000_000


def timed(words, log):
    began, spent = time.perf_counter(), time.process_time()
    found = reconstruct(log, assumed_instrument(log), pad_temperature=WARM, pad_pressure=None)
    wall, cpu = time.perf_counter() - began, time.process_time() - spent
    top = "no top" if found.apogee is None else f"top {found.apogee.value:.2f} m"
    print(f"{words}: {len(log.time_s):,} rows, {wall:.2f} s, {cpu:.2f} s of one core, {top}")


def long_log(log):
    time_s = 0.01 * np.arange(ROWS)
    pressure = PAD + np.random.default_rng(0).normal(0.0, 1.5, ROWS)
    pressure[AT : AT + len(log.pressure_pa)] = log.pressure_pa
    return replace(log, time_s=time_s, pressure_pa=pressure, line=np.arange(ROWS, dtype=np.int32))


def main():
    minute = made_up(seed=3, every=0.01, before=20.0, after=20.0).log
    timed("cold", minute)
    timed("warm", minute)
    if "--long" in sys.argv:
        timed("long", long_log(minute))


if __name__ == "__main__":
    main()
