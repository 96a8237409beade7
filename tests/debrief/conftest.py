"""Fixtures of this room."""

from __future__ import annotations

from pathlib import Path

import pytest
from evidence.measured import six_firings


@pytest.fixture(scope="session")
def measured_firings() -> list[Path]:
    """Paths of the six measured static firings; skips where they are not."""
    return six_firings()
