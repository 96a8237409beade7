"""The pages in a real browser: no errors, no requests, no sideways scrolling, light and dark."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from browsing import look, needs_browser, requested
from report import flown, rehearsed, synthetic
from report.test_ground import on_a_field

from loftwright.report.flight_report import flight_page
from loftwright.report.page import firing_page, forecast_page
from loftwright.report.program_page import program_page, replay_page
from loftwright.report.rehearse_page import rehearse_page
from loftwright.report.theme import DARK, LIGHT
from loftwright.report.tune_page import tune_page

pytestmark = needs_browser


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    ensemble = synthetic.ensemble(500)
    long_name = synthetic.campaign(name="A" * 70)
    made = {
        "forecast": forecast_page(
            synthetic.campaign(), ensemble.nominal, ensemble, synthetic.check()
        ),
        "ground": forecast_page(
            on_a_field("us", name="A" * 40), ensemble.nominal, ensemble, synthetic.check()
        ),
        "long": forecast_page(long_name, synthetic.flight(), None, synthetic.check()),
        "firing": firing_page(synthetic.campaign("us"), synthetic.firing(), synthetic.records()),
        "rehearsal": rehearse_page(
            synthetic.campaign("us"), rehearsed.rehearsal(), rehearsed.pictures()
        ),
        "tune": tune_page(
            synthetic.campaign(), rehearsed.trade_off(), synthetic.provenance(1, 10_000)
        ),
        "program": program_page(
            rehearsed.picture(), rehearsed.READING, rehearsed.checks(), synthetic.provenance()
        ),
        "replay": replay_page(
            rehearsed.replayed(), "metric", rehearsed.picture(), synthetic.provenance(), "pad.csv"
        ),
        "flight": flight_page(flown.report()),
    }
    for name, text in made.items():
        (folder / f"{name}.html").write_text(text, encoding="utf-8")
    return {name: folder / f"{name}.html" for name in made}


def show(browser: Any, page: Path, width: int, scheme: str) -> None:
    look(browser, page.as_uri(), width, scheme)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 768, 1366])
@pytest.mark.parametrize(
    "name",
    ["forecast", "firing", "ground", "long", "rehearsal", "tune", "program", "replay", "flight"],
)
def test_a_page_is_quiet_and_fits(
    browser: Any, pages: dict[str, Path], name: str, width: int, scheme: str
) -> None:
    show(browser, pages[name], width, scheme)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width
    fetched = [url for url in requested(browser) if not url.startswith("data:")]
    assert fetched == [pages[name].as_uri()]
    assert browser.get_log("browser") == []
    colour = browser.execute_script("return getComputedStyle(document.body).backgroundColor")
    paper = (LIGHT if scheme == "light" else DARK)["paper"]
    assert colour == "rgb({}, {}, {})".format(*(int(paper[i : i + 2], 16) for i in (1, 3, 5)))


@pytest.mark.parametrize(("width", "kind"), [(360, "narrow"), (768, "medium"), (1366, "wide")])
def test_one_strip_of_each_is_shown(
    browser: Any, pages: dict[str, Path], width: int, kind: str
) -> None:
    show(browser, pages["forecast"], width, "light")
    shown = browser.execute_script(
        "return [...document.querySelectorAll('svg.strip')]"
        ".filter(s => s.getClientRects().length).map(s => s.getAttribute('class'))"
    )
    assert shown == [f"strip {kind}"] * 2


@pytest.mark.parametrize("width", [360, 768, 1366])
def test_type_in_the_pictures_stays_legible(
    browser: Any, pages: dict[str, Path], width: int
) -> None:
    show(browser, pages["forecast"], width, "light")
    smallest = browser.execute_script(
        "return Math.min(...[...document.querySelectorAll('svg')]"
        ".filter(s => s.getClientRects().length)"
        ".flatMap(s => [...s.querySelectorAll('text')]"
        ".map(t => t.getAttribute('font-size') * s.getBoundingClientRect().width "
        "/ s.viewBox.baseVal.width)))"
    )
    assert smallest >= 10.5


@pytest.mark.parametrize("name", ["forecast", "rehearsal", "tune", "program", "replay", "flight"])
@pytest.mark.parametrize("width", [360, 768, 1366])
def test_no_words_of_a_picture_overlap_as_the_browser_sets_them(
    browser: Any, pages: dict[str, Path], width: int, name: str
) -> None:
    show(browser, pages[name], width, "light")
    browser.execute_script("document.querySelectorAll('details').forEach(d => d.open = true)")
    clashes = browser.execute_script(
        """
        const out = [];
        for (const svg of document.querySelectorAll('svg')) {
          if (!svg.getClientRects().length) continue;
          const texts = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBBox()]);
          texts.forEach(([a, p], i) => texts.slice(i + 1).forEach(([b, q]) => {
            // A line box is taller than its letters: let 2.5 px of it go.
            if (p.x < q.x + q.width && q.x < p.x + p.width
                && p.y + 2.5 < q.y + q.height && q.y + 2.5 < p.y + p.height) out.push([a, b]);
          }));
        }
        return out;
        """
    )
    assert clashes == []


def test_the_cursor_reads_every_strip_at_once(browser: Any, pages: dict[str, Path]) -> None:
    show(browser, pages["forecast"], 1366, "light")
    browser.execute_script(
        """
        const svg = document.querySelector('svg.strip.wide');
        const room = svg.getBoundingClientRect();
        svg.dispatchEvent(new PointerEvent('pointermove', {
          clientX: room.left + room.width * 0.121, clientY: room.top + 50, bubbles: true}));
        """
    )
    words = browser.execute_script(
        "return [...document.querySelectorAll('[data-readout]')].map(p => p.textContent)"
    )
    assert words[0].startswith("at 0.1")
    assert "height" in words[0]
    assert "pressure" in words[1]
    # Both strips read the same clock: what they both show agrees.
    climbs = [float(re.search(r"climb ([\d.]+)", each)[1]) for each in words]
    assert climbs[0] == pytest.approx(climbs[1], rel=0.02)
    seen = browser.execute_script(
        "return [...document.querySelectorAll('svg.wide .cursor')]"
        ".map(c => getComputedStyle(c).visibility)"
    )
    assert seen == ["visible", "visible"]
    assert browser.get_log("browser") == []


def test_a_page_reads_whole_without_script(
    browser: Any, pages: dict[str, Path], tmp_path: Path
) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    show(browser, pages["forecast"], 1366, "light")
    tree = browser.execute_cdp_cmd("DOM.getDocument", {"depth": 0})
    html = browser.execute_cdp_cmd("DOM.getOuterHTML", {"nodeId": tree["root"]["nodeId"]})
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    assert "About 42" in html["outerHTML"]
    assert "Move along a strip" not in html["outerHTML"].split("<script")[0]


@pytest.mark.parametrize("width", [360, 1920])
def test_the_worst_flight_is_one_click_from_its_fault(
    browser: Any, pages: dict[str, Path], width: int
) -> None:
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    show(browser, pages["rehearsal"], width, "light")
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    link = browser.find_element("css selector", ".faults tr:nth-child(3) a")
    target = link.get_attribute("href").split("#")[1]
    link.click()
    shown, top = browser.execute_script(
        "const t = document.getElementById(arguments[0]);"
        "return [t.checkVisibility({contentVisibilityAuto: true}), t.getBoundingClientRect().top]",
        target,
    )
    assert shown
    assert 0 <= top < 400


@pytest.mark.parametrize("width", [360, 1366, 1920])
def test_words_of_the_wiring_stay_in_their_boxes(
    browser: Any, pages: dict[str, Path], width: int
) -> None:
    show(browser, pages["rehearsal"], width, "light")
    outside = browser.execute_script(
        """
        const out = [];
        for (const svg of document.querySelectorAll('svg.wiring')) {
          if (!svg.getClientRects().length) continue;
          const rects = [...svg.querySelectorAll('rect')].map(r => r.getBBox());
          for (const t of svg.querySelectorAll('text')) {
            const b = t.getBBox();
            const inside = r => r.x <= b.x && b.x + b.width <= r.x + r.width
              && r.y <= b.y + 3 && b.y + b.height <= r.y + r.height + 3;
            if (!rects.some(inside)) out.push(t.textContent);
          }
        }
        return out;
        """
    )
    assert outside == []
