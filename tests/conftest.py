"""What all tests share.

Helpers beside the tests can be imported: ``from outside import OutsideCheck``. Examples of
property tests have no deadline: how fast a shared machine is says nothing about the code.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("loftwright", deadline=None)
settings.load_profile("loftwright")


@pytest.fixture(scope="session", autouse=True)
def state_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Keep what programs note for a person, such as the key of seals, out of the person's own.

    Servers in threads and in processes of their own find it by the environment: on Linux and macOS
    by the variable of the XDG Base Directory Specification, on Windows by that of platformdirs,
    which moves caches too.
    """
    place = tmp_path_factory.mktemp("state")
    name = "WIN_PD_OVERRIDE_LOCAL_APPDATA" if sys.platform == "win32" else "XDG_STATE_HOME"
    with pytest.MonkeyPatch.context() as environment:
        environment.setenv(name, str(place))
        yield place


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A real browser, shared by all tests of a run."""
    from browsing import open_browser

    driver = open_browser(tmp_path_factory.mktemp("profile"))
    yield driver
    driver.quit()
