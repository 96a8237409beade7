"""Served campaigns for the tests of the workbench."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from web.every_page import Filled, with_everything
from web.serving import Served, copied, serving

Serve = Callable[..., Served]


@pytest.fixture(scope="session")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Filled]:
    """Serve a campaign in which every page has something to show; who asks for it only looks."""
    home = copied("sedge-lift-flown", tmp_path_factory.mktemp("whole") / "flown")
    with serving(home) as served:
        yield Filled(served, with_everything(served, flights=8))


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
