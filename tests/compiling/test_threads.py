"""Threads that ask for compiled code at one time each get theirs, and keep it where it belongs."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

from loftwright.compiling.clone import cache_folder, compiled
from loftwright.physics.bay_vent import vent_constant
from loftwright.physics.canopy import canopy_drag_area
from loftwright.physics.pressure_leak import heated_rise

ENTRIES = (vent_constant, canopy_drag_area, heated_rise)
THREADS = 6


def test_each_is_kept_in_its_own_folder(monkeypatch, tmp_path):
    monkeypatch.setattr("platformdirs.user_cache_dir", lambda name: str(tmp_path / name))
    often = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    together = Barrier(THREADS)

    def ask(thread):
        together.wait()
        found = []
        for turn in range(40):
            entry = ENTRIES[(thread + turn) % len(ENTRIES)]
            found.append((entry, Path(compiled(entry).stats.cache_path)))
        return found

    try:
        with ThreadPoolExecutor(THREADS) as pool:
            everything = [each for found in pool.map(ask, range(THREADS)) for each in found]
    finally:
        sys.setswitchinterval(often)
    for entry, path in everything:
        assert path.is_relative_to(cache_folder(entry)), entry.__name__
