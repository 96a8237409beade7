"""Where the six measured static firings stand, if they are beside this checkout."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

BESIDE = Path(__file__).parents[3] / "shared"


def six_firings() -> list[Path]:
    """Paths of the six records (University of Colorado, ASEN 2004, 2020), or skip the test."""
    folder = Path(os.environ.get("LOFTWRIGHT_SHARED", BESIDE)) / "data" / "firings"
    found = sorted(folder.glob("firing_?.txt"))
    if len(found) != 6:
        pytest.skip("the six measured firings are not here (set LOFTWRIGHT_SHARED to their folder)")
    return found
