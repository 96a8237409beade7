"""How quickly a strip of a million samples in each of four lanes is opened, cut, drawn and moved.

python benchmarks/strip_speed.py [--browser]

With --browser a real one shows it: from a key to the picture that it asks for, and the longest
frame while a hand pans.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from loftwright.report.drawn import drawn_strip
from loftwright.report.strip import WIDTHS, draw_strip
from loftwright.report.strip_file import read_strip, write_strip
from loftwright.report.strip_model import Curve, Event, Lane, Role, Strip
from loftwright.report.strip_numbers import window_readout
from loftwright.report.window import draw_window, levelled, window_of

SAMPLES, LANES, TIMES = 1_000_000, 4, 7
JOB = "20260101-120000-abcdef"


def made() -> Strip:
    random = np.random.default_rng(1)
    clock = np.linspace(-2.0, 40.0, SAMPLES)
    lanes = tuple(
        Lane(
            f"lane {k + 1}", "m",
            (Curve("log", clock, 50 * np.sin(clock * (k + 1) / 3) + random.normal(0, 3, SAMPLES),
                   Role.RECORD),),
        )
        for k in range(LANES)
    )  # fmt: skip
    return Strip("A long log", "", -2.0, 40.0, lanes, (Event("liftoff", 0.0), Event("apogee", 9.0)))


def best(work) -> float:
    """Return the least of several times, ms of one core: others may be at work here."""
    spent = []
    for _ in range(TIMES):
        began = time.process_time()
        work()
        spent.append(time.process_time() - began)
    return 1e3 * min(spent)


def on_the_server(strip: Strip, path: Path) -> None:
    print(f"{SAMPLES:,} samples in each of {LANES} lanes, least of {TIMES}, ms of one core")
    print(f"levels          {best(lambda: levelled(strip)):8.1f} ms, once")
    print(f"write the file  {best(lambda: write_strip(path, strip)):8.1f} ms,"
          f" {path.stat().st_size / 1e6:.0f} MB")  # fmt: skip
    print(f"open the file   {best(lambda: read_strip(path)):8.1f} ms, checksums and all")
    ready, wide = read_strip(path), WIDTHS["wide"]
    print("window, s          draw   samples told   every sample looked at   ratio")
    for start, end in ((-2.0, 40.0), (0.0, 20.0), (1.0, 9.0), (3.0, 3.5), (4.0, 4.001)):
        window = window_of(strip, start, end)
        part = replace(strip, start=start, end=end)
        drawn = best(lambda window=window: draw_window(ready, window, wide))
        told = best(lambda window=window: window_readout(ready, window, wide))
        direct = best(lambda part=part: draw_strip(part, wide))
        print(f"{start:6g} to {end:6g}  {drawn:6.1f} ms  {told:8.1f} ms   {direct:14.1f} ms"
              f"        {direct / drawn:6.1f}")  # fmt: skip


# ---------------------------------------------------------------- in a browser

KEY_TO_PICTURE = """
const [key, done] = arguments;
const stage = document.querySelector(".strip-stage");
const began = performance.now();
let first = null;
const watch = new MutationObserver(() => {
  if (stage.classList.contains("moving")) return;
  watch.disconnect();
  const told = () => done([first, performance.now() - began]);
  requestAnimationFrame(() => requestAnimationFrame(told));
});
watch.observe(stage, { childList: true, subtree: false });
stage.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }));
requestAnimationFrame(() => requestAnimationFrame(() => { first = performance.now() - began; }));
"""

PAN = """
const done = arguments[0];
const stage = document.querySelector(".strip-stage");
const room = stage.getBoundingClientRect();
const at = (kind, x) => stage.dispatchEvent(new PointerEvent(kind, {
  pointerId: 1, pointerType: "mouse", shiftKey: true, button: 0, bubbles: true,
  clientX: x, clientY: room.top + room.height / 2,
}));
stage.setPointerCapture = () => {};
const frames = [];
let x = room.left + room.width * 0.7;
let last = null;
let drawings = 0;
const watch = new MutationObserver(() => { drawings += 1; });
watch.observe(stage, { childList: true });
at("pointerdown", x);
const step = (now) => {
  if (last !== null) frames.push(now - last);
  last = now;
  x -= 4;
  at("pointermove", x);
  if (frames.length < 120) requestAnimationFrame(step);
  else { at("pointerup", x); watch.disconnect(); done([frames, drawings]); }
};
requestAnimationFrame(step);
"""


def in_a_browser(strip: Strip) -> None:
    from browsing import look, open_browser
    from selenium.webdriver.support.ui import WebDriverWait
    from web.serving import copied, serving, vouched

    with tempfile.TemporaryDirectory() as place:
        home = copied("stand-bottle", Path(place) / "bottle")
        folder = home / ".loftwright" / "jobs" / JOB
        (folder / "strips").mkdir(parents=True)
        write_strip(folder / "strips" / "0.npz", strip)
        figure = f'<figure class="full" data-strip="0">{drawn_strip(strip)}</figure>'
        (folder / "report.html").write_text(f"<main>{figure}</main>", encoding="utf-8")
        (folder / "job.json").write_text('{"title": "Long"}', encoding="utf-8")
        vouched(folder)
        driver = open_browser(Path(place) / "profile")
        try:
            with serving(home) as served:
                look(driver, f"{served.url}/work/{JOB}")
                WebDriverWait(driver, 30).until(
                    lambda b: b.find_elements("css selector", ".strip-stage svg")
                )
                watch(driver)
        finally:
            driver.quit()


def watch(driver) -> None:
    keys = ["+", "+", "+", "PageDown", "PageUp", "-", "+", "PageDown", "-", "0"]
    spent = [driver.execute_async_script(KEY_TO_PICTURE, key) for key in keys]
    first = [each[0] for each in spent if each[0] is not None]
    last = [each[1] for each in spent]
    print(f"from key to the old drawing moved   {statistics.median(first):6.0f} ms, median")
    print(f"from key to the new picture         {statistics.median(last):6.0f} ms, median;"
          f" {max(last):.0f} ms at most")  # fmt: skip
    for key in ("+", "+"):
        driver.execute_async_script(KEY_TO_PICTURE, key)
    frames, drawings = driver.execute_async_script(PAN)
    print(f"longest frame while panning         {max(frames):6.0f} ms of {len(frames)} frames,"
          f" median {statistics.median(frames):.0f} ms, {drawings} pictures meanwhile")  # fmt: skip


def main() -> None:
    strip = made()
    with tempfile.TemporaryDirectory() as place:
        on_the_server(strip, Path(place) / "0.npz")
    if "--browser" in sys.argv:
        in_a_browser(strip)


if __name__ == "__main__":
    main()
