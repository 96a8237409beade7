"""Pictures of the workbench for the docs: ``python docs/screens.py [PATTERN ...]``.

Fills a copy of the flown demo, serves it, and takes a picture of every page into
docs/static/screens: as a laptop shows it in the light, some as a phone does, some in the dark. With
patterns, only of pages whose names have one of these in them.
"""

from __future__ import annotations

import base64
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src"), str(ROOT / "docs")]

from browsing import look, open_browser
from small_png import small_png
from web.every_page import Kept, address, page_paths, with_everything
from web.serving import copied, serving

SCREENS = ROOT / "docs" / "static" / "screens"
LAPTOP, PHONE = 1280, 390
TALLEST = 1500  # px of a page that are shown: a picture is to be looked at, not read to its end
LARGEST = 150_000  # bytes
FLIGHTS = 60  # of each case; enough for spreads to be seen
PATIENCE = 120.0  # s
# Whether a page has come to rest: nothing runs, nothing is asked for, the answer stands.
AT_REST = """
return document.readyState === 'complete'
  && !document.querySelector('.htmx-request, .work progress')
  && !/The engine is starting/.test(document.querySelector('main').innerText);
"""
# Pages that are shown on a phone, or in the dark, as well.
ON_PHONE = {"glance", "ledger", "pad", "forecast", "describe", "rehearse", "debrief-flight"}
IN_DARK = {"glance", "forecast", "debrief-flight"}


@dataclass(frozen=True)
class Picture:
    """One picture to be taken: its file's name, the page's path, width and colours."""

    name: str
    path: str
    width: int
    scheme: str


def name_of(path: str) -> str:
    """Return what the picture of a route is called: ``"ledger-flights-flight"``."""
    plain = path.replace(":path", "").replace(":int", "")
    return "-".join(part.strip("{}") for part in plain.split("/") if part) or "glance"


def pictures() -> Iterator[Picture]:
    """Yield what pictures there are to be."""
    for path in page_paths():
        name = name_of(path)
        yield Picture(name, path, LAPTOP, "light")
        if name in ON_PHONE:
            yield Picture(f"{name}-phone", path, PHONE, "light")
        if name in IN_DARK:
            yield Picture(f"{name}-dark", path, LAPTOP, "dark")


def take(browser: Any, url: str, picture: Picture, kept: Kept) -> bytes:
    """Return the picture of a page, as small as it has to be."""
    from selenium.webdriver.support.ui import WebDriverWait

    look(browser, url + address(picture.path, kept), picture.width, picture.scheme)
    WebDriverWait(browser, PATIENCE, 0.3).until(lambda b: b.execute_script(AT_REST))
    size = browser.execute_cdp_cmd("Page.getLayoutMetrics", {})["cssContentSize"]
    clip = {"x": 0, "y": 0, "width": picture.width, "scale": 1}
    clip["height"] = min(size["height"], TALLEST)
    # As high a window as the picture, so that what sticks to its foot stands at the foot.
    window = {"width": picture.width, "height": clip["height"], "mobile": False}
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride", {**window, "deviceScaleFactor": 1}
    )
    asked = {"captureBeyondViewport": True, "clip": clip}
    png = base64.b64decode(browser.execute_cdp_cmd("Page.captureScreenshot", asked)["data"])
    for colours in (256, 64, 24):
        small = small_png(png, colours)
        if len(small) <= LARGEST:
            return small
    return small


def main(patterns: list[str]) -> int:
    """Take the pictures; return 0 where all are small enough."""
    SCREENS.mkdir(parents=True, exist_ok=True)
    large = []
    # A plain name, for pages show the commands that do the same.
    plain = Path(tempfile.gettempdir()) / "campaigns"
    shutil.rmtree(plain, ignore_errors=True)
    with tempfile.TemporaryDirectory() as scratch:
        home = copied("sedge-lift-flown", plain / "sedge-lift")
        browser = open_browser(Path(scratch) / "profile")
        with serving(home) as served:
            kept = with_everything(served, flights=FLIGHTS)
            for picture in pictures():
                if patterns and not any(each in picture.name for each in patterns):
                    continue
                content = take(browser, served.url, picture, kept)
                (SCREENS / f"{picture.name}.png").write_bytes(content)
                print(f"{picture.name}.png  {len(content) / 1000:.0f} kB")
                if len(content) > LARGEST:
                    large.append(picture.name)
        browser.quit()
    if large:
        print(f"larger than {LARGEST / 1000:.0f} kB: {', '.join(large)}")
    return 1 if large else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
