"""Served campaigns for the tests of the workbench."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from web.serving import Served, copied, serving

Serve = Callable[..., Served]


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Return what serves a copy of an example, or an empty folder: ``serve("sedge-lift")``."""
    with ExitStack() as stack:

        def start(example: str | None = None) -> Served:
            home = tmp_path / (example or "empty")
            if example is None:
                home.mkdir()
            elif not home.exists():
                copied(example, home)
            return stack.enter_context(serving(home))

        yield start
