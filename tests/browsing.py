"""A real browser for pages: chromium by its driver, and what it saw."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge", "brave-browser")
PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
)
BROWSER = next(filter(None, map(shutil.which, (*NAMES, *PLACES))), None)
# Where there is no driver, selenium looks for one that fits the browser.
DRIVER = shutil.which("chromedriver")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
AXE = Path(__file__).parent / "web" / "vendor" / "axe-core-4.14.1.min.js"

needs_browser = pytest.mark.skipif(
    BROWSER is None and not os.environ.get("CI"),
    reason="no browser of the Chromium family is installed here",
)


def open_browser(profile: Path) -> Any:
    """Return a driver of a new browser; in CI its absence is a failure."""
    from selenium import webdriver
    from selenium.webdriver.chrome.options import Options
    from selenium.webdriver.chrome.service import Service

    assert BROWSER is not None, "there is no chromium here"
    options = Options()
    options.binary_location = BROWSER
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    return webdriver.Chrome(options=options, service=Service(DRIVER))


def look(browser: Any, url: str, width: int = 1366, scheme: str = "light") -> None:
    """Open ``url`` at a page width, with nothing of earlier pages in the logs."""
    feature = {"name": "prefers-color-scheme", "value": scheme}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [feature]})
    size = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    browser.get("about:blank")  # a page that asks again and again must not be heard any more
    browser.get_log("performance")
    browser.get_log("browser")
    browser.get(url)


def waiting(browser: Any, patience: float = 60.0) -> Any:
    """Return what waits for a page: ``.until(said)``, of a function of the browser.

    What is looked for may be of a page that is just being left, or not there yet: whatever the
    browser says of that, it is looked for again until ``patience`` (seconds) is at its end.
    """
    from selenium.common.exceptions import WebDriverException
    from selenium.webdriver.support.ui import WebDriverWait

    return WebDriverWait(browser, patience, 0.05, [WebDriverException])


def requested(browser: Any) -> list[str]:
    """Return the addresses that were asked for since the last look."""
    messages = [json.loads(each["message"])["message"] for each in browser.get_log("performance")]
    return [
        each["params"]["request"]["url"]
        for each in messages
        if each["method"] == "Network.requestWillBeSent"
    ]


def is_quiet(browser: Any, base: str) -> None:
    """Hold the page to it: no message in the console, no request but to ``base``."""
    away = [url for url in requested(browser) if not url.startswith((base, "data:", "blob:"))]
    assert away == []
    assert browser.get_log("browser") == []


def findings_of_axe(browser: Any) -> list[tuple[str, str]]:
    """Return what axe-core finds serious or critical on the page: rule, and where."""
    browser.execute_cdp_cmd("Runtime.evaluate", {"expression": AXE.read_text(encoding="utf-8")})
    run = "const done = arguments[0]; axe.run(document).then((r) => done(r.violations));"
    return [
        (each["id"], str(node["target"]))
        for each in browser.execute_async_script(run)
        if each["impact"] in ("serious", "critical")
        for node in each["nodes"]
    ]
