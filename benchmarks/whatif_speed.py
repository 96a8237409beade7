"""From the hand to the painted picture: the what-if of the forecast page in a real browser.

Run it with: python benchmarks/whatif_speed.py [CAMPAIGN ...]

A headless Chromium moves a slider, by single presses of a key and as a drag of 60 movements a
second. For each picture it notes, until after the frame in which it was painted, how long ago the
values that it shows were read off the hand ("age"), and how long ago the first movement was that
it answers ("wait"): in a drag movements wait until the flights under way are flown. Both hold
the request, the flights, the drawing, and the browser's own work.
The machine should have nothing else to do.
"""

from __future__ import annotations

import json
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
CAMPAIGNS = ("sedge-lift-mended", "terrace-stages", "stand-bottle")
SLIDERS = ("vehicle.fill.water_volume", "payload.mass", "site.wind.speed")
PRESSES = 40
DRAG = 4.0  # s
FLAGS = ("--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run",
         "--disable-background-networking", "--window-size=1280,900")  # fmt: skip
MEASURES = """
const of = (name) => performance.getEntriesByName(name).map((each) => each.duration);
return [of("age of the picture"), of("hand to picture")];
"""
DRAGGED = """
const [thumb, lasts, done] = arguments;
const low = Number(thumb.min), high = Number(thumb.max), begin = performance.now();
performance.clearMeasures();
const move = () => {
  const share = (performance.now() - begin) / (1000 * lasts);
  if (share >= 1) { setTimeout(() => done(true), 600); return; }
  thumb.value = low + (high - low) * (0.2 + 0.6 * Math.abs(Math.sin(3 * share * Math.PI)));
  thumb.dispatchEvent(new Event("input", { bubbles: true }));
  requestAnimationFrame(move);
};
move();
"""


@contextmanager
def served(home: Path) -> Iterator[str]:
    """Serve a campaign by the command, as a person does."""
    command = [sys.executable, "-m", "loftwright", "serve", str(home), "--port", "0"]
    process = subprocess.Popen([*command, "--no-open", "--json"], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    lines = ""
    while True:
        lines += process.stdout.readline()
        try:
            yield json.loads(lines)["address"]
            break
        except json.JSONDecodeError:
            continue
    process.terminate()
    process.wait()


@contextmanager
def browser() -> Iterator[Any]:
    """Open a headless Chromium."""
    options = Options()
    for flag in FLAGS:
        options.add_argument(flag)
    driver = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    driver.set_script_timeout(60)
    try:
        yield driver
    finally:
        driver.quit()


def presses(driver: Any, thumb: Any) -> list[list[float]]:
    """Press a key again and again, each time waiting for its picture."""
    driver.execute_script("performance.clearMeasures()")
    for number in range(PRESSES):
        thumb.send_keys(Keys.ARROW_RIGHT if number % 20 < 10 else Keys.ARROW_LEFT)
        WebDriverWait(driver, 30, poll_frequency=0.02).until(
            lambda d, wanted=number + 1: len(d.execute_script(MEASURES)[0]) >= wanted
        )
        # A person rests now and then: half of the presses come while a finer answer is flown.
        time.sleep(0.5 if number % 2 else 0.05)
    found: list[list[float]] = driver.execute_script(MEASURES)
    return found


def drag(driver: Any, thumb: Any) -> list[list[float]]:
    """Drag the thumb up and down."""
    driver.execute_async_script(DRAGGED, thumb, DRAG)
    found: list[list[float]] = driver.execute_script(MEASURES)
    return found


def tell(what: str, found: list[list[float]]) -> None:
    """Print one line of results, ms."""
    said = []
    for name, lasted in zip(("age", "wait"), found, strict=True):
        ordered = sorted(lasted)
        high = ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]
        said.append(f"{name} {statistics.median(ordered):4.0f} {high:4.0f} {ordered[-1]:4.0f}")
    print(f"  {what:44s} {'   '.join(said)}   of {len(found[0]):3d} pictures")


def measure(driver: Any, name: str) -> None:
    """Measure one campaign."""
    print(name)
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / name
        shutil.copytree(EXAMPLES / name, home)
        with served(home) as address:
            begin = time.perf_counter()
            driver.get(f"{address}forecast")
            WebDriverWait(driver, 120, poll_frequency=0.02).until(
                lambda d: d.find_elements(By.CSS_SELECTOR, "#picture svg")
            )
            print(
                f"  first picture after opening the page cold {time.perf_counter() - begin:5.1f} s"
            )
            print("  ms: median, 95th percentile, worst")
            for path in SLIDERS:
                found = driver.find_elements(
                    By.CSS_SELECTOR, f'[data-path="{path}"] input[type=range]'
                )
                if not found:
                    continue
                time.sleep(2.0)
                tell(f"{path}, key by key", presses(driver, found[0]))
                tell(f"{path}, dragged", drag(driver, found[0]))


def main() -> None:
    """Measure the campaigns that are named, or three of the examples."""
    with browser() as driver:
        for name in sys.argv[1:] or CAMPAIGNS:
            measure(driver, name)


if __name__ == "__main__":
    main()
