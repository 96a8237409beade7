"""Strips in a real browser: what the cursor says is what was kept, by hand and by keys."""

from __future__ import annotations

import re
import shlex
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting
from report.stripped import long_strip
from web.serving import Served, vouched

from loftwright.cli import main
from loftwright.report.drawn import drawn_strip
from loftwright.report.strip_file import write_strip
from loftwright.report.strip_model import Curve, Event, Lane, Role, Strip

pytestmark = needs_browser

JOB = "20260101-120000-abcdef"
WATER = "vehicle.fill.water_volume=0.4 L..1.2 L"
PATIENCE = 20.0
TIME = np.round(np.arange(0.0, 12.0, 0.05), 2)
HEIGHT = np.round(30.0 * np.sin(TIME / 4.0), 3)


def plain_strip() -> Strip:
    """Return a strip with one sample every 50 ms and a lane on a slower clock."""
    slow = TIME[::10]
    return Strip(
        "The flight", "Height.", 0.0, 11.95,
        (
            Lane("height", "m", (Curve("log", TIME, HEIGHT, Role.RECORD),)),
            Lane("supply", "V", (Curve("", slow, 8.0 - slow / 10, Role.SENSED),)),
        ),
        (Event("liftoff", 0.0), Event("apogee", 6.3)),
    )  # fmt: skip


@dataclass
class Page:
    """A page with two strips that a job kept, in the browser."""

    browser: Any
    served: Served

    def stage(self, number: int = 0) -> Any:
        return self.browser.find_elements("css selector", ".strip-stage")[number]

    def until(self, said: Any) -> Any:
        """Wait until something is so; say what the page shows where it never is."""
        from selenium.common.exceptions import TimeoutException

        try:
            return waiting(self.browser, PATIENCE).until(said)
        except TimeoutException:
            text = self.browser.find_element("tag name", "main").text
            raise AssertionError(f"the page stays at: {text}") from None

    def readout(self, number: int = 0) -> str:
        lines = self.browser.find_elements("css selector", "[data-readout]")
        return str(lines[number].text).replace("\n", " ").replace("\u00a0", " ")

    def span(self, number: int = 0) -> tuple[float, float]:
        """Return the part that is drawn, by the drawing itself."""
        script = (
            "const svg = arguments[0].querySelector('svg.strip');"
            "return arguments[0].classList.contains('moving') ? null :"
            " [Number(svg.dataset.t0), Number(svg.dataset.t1)];"
        )
        return self.until(lambda b: b.execute_script(script, self.stage(number)))

    def press(self, *keys: str) -> None:
        for key in keys:
            self.stage().send_keys(key)


def report_of(strips: list[Strip]) -> str:
    figures = "".join(
        f'<section><h2>{each.title}</h2><p class="readout" data-readout></p>'
        f'<figure class="full" data-strip="{n}">{drawn_strip(each)}</figure></section>'
        for n, each in enumerate(strips)
    )
    return f"<main>{figures}</main>"


@pytest.fixture
def page(serve, browser) -> Iterator[Page]:
    served = serve("stand-bottle")
    folder = served.home / ".loftwright" / "jobs" / JOB
    (folder / "strips").mkdir(parents=True)
    strips = [plain_strip(), long_strip(20_000)]
    for number, strip in enumerate(strips):
        write_strip(folder / "strips" / f"{number}.npz", strip)
    (folder / "report.html").write_text(report_of(strips), encoding="utf-8")
    (folder / "job.json").write_text('{"title": "A flight", "page": "forecast"}', encoding="utf-8")
    vouched(folder)
    look(browser, f"{served.url}/work/{JOB}")
    made = Page(browser, served)
    made.until(lambda b: b.find_elements("css selector", ".strip-stage"))
    yield made
    is_quiet(browser, served.url)


def test_the_cursor_says_what_was_kept(page: Page) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    for offset in (-300, -40, 210):
        ActionChains(page.browser).move_to_element_with_offset(page.stage(), offset, 0).perform()
        said = page.until(lambda _: re.match(r"([\d.]+) s .*?log ([\d.−]+) m", page.readout()))
        row = int(np.argmin(np.abs(TIME - float(said[1]))))
        assert abs(TIME[row] - float(said[1])) < 1e-9
        assert float(said[2].replace("−", "-")) == pytest.approx(HEIGHT[row], abs=5.1e-4)
    # The other strip is on the same clock: its cursor stands at the same moment.
    page.browser.execute_script("document.querySelectorAll('figure')[1].scrollIntoView()")
    page.until(lambda b: len(b.find_elements("css selector", ".strip-stage")) == 2)
    page.until(lambda _: page.readout(1).startswith(said[1].rstrip("0")))
    assert findings_of_axe(page.browser) == []


def test_keys_step_from_sample_to_sample_and_zoom(page: Page) -> None:
    from selenium.webdriver.common.keys import Keys

    page.press(Keys.HOME, Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
    page.until(lambda _: page.readout().startswith("0.100 s"))
    # The slower clock has no sample there: its value is between two.
    assert f"log {HEIGHT[2]:.3f} m" in page.readout()
    assert "supply ≈ 7.99" in page.readout()
    page.press("+", "+")
    low, high = page.until(lambda _: (page.span()[1] < 4.0 and page.span()) or None)
    assert low <= 0.1 <= high
    assert high - low == pytest.approx(11.95 / 4, rel=1e-3)
    page.press(Keys.PAGE_DOWN)
    assert page.until(lambda _: page.span() if page.span()[0] > low + 1.0 else None)
    page.press("0")
    assert page.until(lambda _: page.span() if page.span()[0] == 0.0 else None) == [0.0, 11.95]
    spoken = page.browser.find_element("css selector", "figure + .unseen")
    assert spoken.get_attribute("aria-live") == "polite"
    page.until(lambda _: "log 0.750 m" in spoken.get_attribute("textContent"))


def test_a_drag_zooms_to_its_span(page: Page) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    hand = ActionChains(page.browser).move_to_element_with_offset(page.stage(), -100, 0)
    hand.click_and_hold().move_by_offset(80, 0).move_by_offset(80, 0).perform()
    assert page.browser.find_elements("css selector", ".strip-span")
    ActionChains(page.browser).release().perform()
    low, high = page.until(lambda _: page.span() if page.span()[0] > 0.0 else None)
    width = float(page.stage().find_element("tag name", "svg").get_attribute("data-x1")) - 132.0
    assert high - low == pytest.approx(160.0 / width * 11.95, rel=0.03)
    assert not page.browser.find_elements("css selector", ".strip-span")


def test_lanes_are_left_out_and_files_follow(page: Page) -> None:
    import httpx

    page.press("+")
    page.until(lambda _: page.span()[0] > 0.0)
    summaries = page.browser.find_elements("css selector", ".strip-tools summary")
    for each in summaries[:2]:
        each.click()
    page.browser.find_elements("css selector", ".strip-tools input")[1].click()
    script = "return [...arguments[0].querySelectorAll('.lane')].length"
    page.until(lambda b: b.execute_script(script, page.stage()) == 1)
    svg, csv = page.browser.find_elements("css selector", ".strip-tools a.button")[:2]
    low, high = page.span()
    table = httpx.get(csv.get_attribute("href")).text.splitlines()
    assert table[0] == 'time (s),"height, log (m)",event'
    assert float(table[1].split(",")[0]) >= low
    assert float(table[-1].split(",")[0]) <= high
    assert httpx.get(svg.get_attribute("href")).text.startswith("<svg")
    command = page.browser.find_element("css selector", ".strip-tools code").text
    assert command.startswith("loftwright strip ")
    assert " --without supply --png " in command
    assert command.endswith("-flight.csv")
    # Which colours the picture has, the page alone knows.
    scheme = {"features": [{"name": "prefers-color-scheme", "value": "dark"}]}
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", scheme)
    shown = "return document.querySelector('.strip-tools code').textContent"
    page.until(lambda b: b.execute_script(shown).endswith("-flight.csv --dark"))


def test_the_picture_is_made_in_the_colours_of_the_page(page: Page) -> None:
    script = """
    const [address, done] = arguments;
    import(address).then(async ({ pictureOf }) => {
      const blob = await pictureOf(document.querySelector(".strip-stage svg"));
      const made = await createImageBitmap(blob);
      const canvas = new OffscreenCanvas(made.width, made.height);
      const pen = canvas.getContext("2d");
      pen.drawImage(made, 0, 0);
      const all = pen.getImageData(0, 0, made.width, made.height).data;
      const seen = new Set();
      for (let i = 0; i < all.length; i += 4) {
        seen.add((all[i] << 16) | (all[i + 1] << 8) | all[i + 2]);
      }
      done([blob.type, made.width, [...seen].map((c) => c.toString(16).padStart(6, "0"))]);
    }).catch((error) => done([String(error)]));
    """
    address = page.browser.execute_script(
        "return [...document.scripts].find((s) => s.src.endsWith('/strip.js')).src"
    )
    kind, width, colours = page.browser.execute_async_script(
        script, address.replace("strip.js", "strip-picture.js")
    )
    assert kind == "image/png"
    assert width == 2 * (1120 + 32)
    assert {"fbfaf6", "20262b"} <= set(colours)


def test_a_strip_that_comes_later_lives_as_well(page: Page) -> None:
    script = """
    const [base, drawn] = arguments;
    const box = document.createElement("div");
    box.id = "later";
    document.querySelector("main").prepend(box);
    const inside = document.createElement("div");
    inside.dataset.strips = base;
    inside.innerHTML = `<figure data-strip="0">${drawn}</figure>`;
    box.append(inside);
    box.scrollIntoView();
    """
    base = page.served.bench.strips.put("later", [plain_strip()])
    page.browser.execute_script(script, base, str(drawn_strip(plain_strip())))
    page.until(lambda b: b.find_elements("css selector", "#later .strip-stage"))
    assert page.browser.find_elements("css selector", "#later [data-readout]")


def test_two_flights_side_by_side_live_and_their_command_writes_them(
    serve, browser, tmp_path: Path, monkeypatch
) -> None:
    from selenium.webdriver.common.keys import Keys

    served = serve("sedge-lift")
    folder = served.home / ".loftwright" / "jobs" / JOB
    folder.mkdir(parents=True)
    kept = ("--report", str(folder / "report.html"), "--strips", str(folder / "strips"))
    assert main.run(["explore", str(served.home), WATER, "--points", "2", *kept]) == 0
    (folder / "job.json").write_text('{"title": "Water", "page": "forecast"}', encoding="utf-8")
    vouched(folder)
    look(browser, f"{served.url}/work/{JOB}")
    page = Page(browser, served)
    browser.execute_script("document.querySelector('figure[data-strip]').scrollIntoView()")
    page.until(lambda b: len(b.find_elements("css selector", ".strip-stage")) == 2)
    page.press(Keys.HOME, Keys.ARROW_RIGHT)
    page.until(lambda _: re.match(r"[\d.]+ s", page.readout(1)))
    assert page.readout(1).split(" s")[0] == page.readout().split(" s")[0]
    assert findings_of_axe(browser) == []
    # Their clock ends at no round number, and nobody has looked closer.
    shown = "return [...document.querySelectorAll('.strip-stage')].map((s) => s.className)"
    assert browser.execute_script(shown) == ["strip-stage", "strip-stage"]
    browser.find_elements("css selector", ".strip-tools summary")[1].click()
    tops = shown.replace("s.className", "s.getBoundingClientRect().top")
    one, other = browser.execute_script(tops)
    assert one == pytest.approx(other, abs=0.5)
    find = "return document.querySelectorAll('.strip-tools code')[1].textContent"
    words = shlex.split(page.until(lambda b: b.execute_script(find)))
    assert "--width half" in " ".join(words)
    monkeypatch.chdir(tmp_path)
    assert main.run(words[1:]) == 0
    name = "the-whole-flight-where-greatest-height-is-most"
    assert {path.name for path in tmp_path.glob(f"{name}.*")} == {
        f"{name}.png", f"{name}.svg", f"{name}.csv"
    }  # fmt: skip
    assert struct.unpack(">I", (tmp_path / f"{name}.png").read_bytes()[16:20]) == (2 * (540 + 32),)
    is_quiet(browser, served.url)


def test_a_phone_reads_and_pans_with_one_finger(page: Page) -> None:
    look(page.browser, page.browser.current_url, 390)
    page.until(lambda b: b.find_elements("css selector", ".strip-stage"))
    assert "narrow" in page.stage().find_element("tag name", "svg").get_attribute("class")
    heights = page.browser.execute_script(
        "return [...document.querySelectorAll('.strip-tools button')].filter((b) => b.offsetParent)"
        ".map((b) => b.getBoundingClientRect().height)"
    )
    assert min(heights) >= 44.0
    fingers(page.browser, page.stage(), [(-20, -80), (20, 80)])
    before = page.until(lambda _: page.span() if page.span()[1] - page.span()[0] < 4.0 else None)
    assert before[1] - before[0] == pytest.approx(11.95 / 4, rel=0.1)
    fingers(page.browser, page.stage(), [(45, -45)])
    page.until(lambda _: page.span()[0] > before[0] + 0.3)
    width = page.browser.execute_script("return document.documentElement.scrollWidth")
    assert width <= 390


def test_a_wide_screen_is_used_by_strips_and_not_by_prose(page: Page) -> None:
    look(page.browser, page.browser.current_url, 1920)
    page.until(lambda b: b.find_elements("css selector", ".strip-stage"))
    svg = page.stage().find_element("tag name", "svg")
    assert svg.get_attribute("data-width") == "1500"
    assert svg.size["width"] == pytest.approx(1500, abs=1)
    widths = "return document.body.clientWidth"
    assert page.browser.execute_script(widths) == 1564
    look(page.browser, page.browser.current_url, 1400)
    page.until(lambda b: b.find_elements("css selector", ".strip-stage svg[data-width='1120']"))


def test_paper_has_each_strip_once(page: Page) -> None:
    from selenium.webdriver.common.keys import Keys

    shown = (
        "return [...arguments[0].closest('figure').querySelectorAll('svg.strip')]"
        ".filter((svg) => svg.getClientRects().length).map((svg) => svg.parentElement.className)"
    )
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    assert page.browser.execute_script(shown, page.stage()) == ["full live"]
    assert not page.browser.find_element("css selector", "[data-readout]").is_displayed()
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    page.stage().send_keys(Keys.ADD)
    page.until(lambda _: page.span()[1] - page.span()[0] < 11.0)
    # What is looked at goes onto the paper, not the whole beside it.
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    assert page.browser.execute_script(shown, page.stage()) == ["strip-stage"]


def fingers(browser: Any, element: Any, ways: list[tuple[float, float]]) -> None:
    """Draw fingers across an element, sideways: each from so far beside its middle to there."""
    room = browser.execute_script(
        "arguments[0].scrollIntoView({block: 'center'});"
        "const r = arguments[0].getBoundingClientRect(); return [r.x, r.y, r.width, r.height];",
        element,
    )
    x, y = room[0] + room[2] / 2, room[1] + room[3] / 3
    for step in range(7):
        touches = [
            {"x": x + begin + (end - begin) * step / 6, "y": y, "id": number}
            for number, (begin, end) in enumerate(ways)
        ]
        kind = "touchMove" if step else "touchStart"
        browser.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})
    browser.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
