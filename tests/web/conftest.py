"""Served campaigns and a browser for the tests of the workbench."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from browsing import open_browser
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


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A real browser, shared by all tests of a run."""
    driver = open_browser(tmp_path_factory.mktemp("profile"))
    yield driver
    driver.quit()
