"""Every page: quiet, at any width, light and dark, by keyboard, and for who cannot see it."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser
from web.every_page import NO_PAGES, Filled, address, page_paths

WIDTHS = (360, 768, 1366, 1920)
PAGES = page_paths()

# Marks every control that can be seen; a group of choices that exclude each other is one stop.
CONTROLS = """
const wanted = 'a[href], button:not([disabled]), input:not([type=hidden]):not([disabled]), '
  + 'select:not([disabled]), textarea:not([disabled]), summary, [tabindex="0"]';
const groups = new Set();
window.controls = [...document.querySelectorAll(wanted)].filter((each) => {
  if (!each.checkVisibility({ visibilityProperty: true }) || each.tabIndex < 0) return false;
  if (each.type !== 'radio') return true;
  if (groups.has(each.name)) return false;
  groups.add(each.name);
  return true;
});
document.activeElement?.blur();
return window.controls.length;
"""
# Says which control has the focus, and whether that can be seen.
FOCUSED = """
const own = document.activeElement;
const at = own.type === 'radio'
  ? window.controls.findIndex((each) => each.type === 'radio' && each.name === own.name)
  : window.controls.indexOf(own);
const style = getComputedStyle(own);
const ring = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 1;
const box = own.getBoundingClientRect();
return [at, ring && box.width > 0 && box.height > 0, own.outerHTML.slice(0, 160)];
"""


def test_what_is_no_page_answers_with_none(filled: Filled) -> None:
    known = {"/work/{job}/card", "/work/{job}/answer.json", "/ledger/export.zip"}
    for path in sorted(known & set(NO_PAGES)):
        said = httpx.get(filled.served.url + address(path, filled.kept))
        assert said.status_code == 200
        assert "<html" not in said.text


@pytest.mark.parametrize("path", PAGES)
def test_a_page_answers_with_a_whole_page(filled: Filled, path: str) -> None:
    said = httpx.get(filled.served.url + address(path, filled.kept), follow_redirects=True)
    assert said.status_code == 200, said.text
    assert said.headers["content-type"] == "text/html; charset=utf-8"
    assert said.text.count("<main") == 1
    assert said.text.count("<h1") == 1
    assert "script-src 'self';" in said.headers["content-security-policy"]


@needs_browser
@pytest.mark.parametrize("path", PAGES)
def test_a_page_is_fit_for_everybody(filled: Filled, browser: Any, path: str) -> None:
    url = filled.served.url
    browser.set_script_timeout(120)  # axe looks at every element of a long page
    look(browser, url + address(path, filled.kept), 1366)
    for width in WIDTHS:
        resize(browser, width)
        wide = browser.execute_script("return document.documentElement.scrollWidth")
        assert wide <= width, f"scrolls sideways at {width} px: {wide}, {widest(browser, width)}"
    for width, scheme in ((360, "light"), (1366, "dark")):
        resize(browser, width)
        feature = {"name": "prefers-color-scheme", "value": scheme}
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [feature]})
        assert findings_of_axe(browser) == []
    is_quiet(browser, url)


@needs_browser
@pytest.mark.parametrize("path", PAGES)
def test_the_keyboard_reaches_every_control_and_shows_where(
    filled: Filled, browser: Any, path: str
) -> None:
    look(browser, filled.served.url + address(path, filled.kept), 1366)
    count = browser.execute_script(CONTROLS)
    reached, unseen = set(), []
    for _ in range(count + 20):
        press_tab(browser)
        at, seen, what = browser.execute_script(FOCUSED)
        if at >= 0:
            reached.add(at)
            if not seen:
                unseen.append(what)
        if len(reached) == count:
            break
    missed = [each for each in range(count) if each not in reached]
    said = browser.execute_script(
        "return arguments[0].map((k) => window.controls[k].outerHTML.slice(0, 160))", missed
    )
    assert said == []
    assert unseen == []


def resize(browser: Any, width: int) -> None:
    size = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)


def press_tab(browser: Any) -> None:
    key = {"key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9}
    for kind in ("rawKeyDown", "keyUp"):
        browser.execute_cdp_cmd("Input.dispatchKeyEvent", {"type": kind, **key})


def widest(browser: Any, width: int) -> list[str]:
    """Return what reaches beyond the right edge."""
    script = """
    return [...document.querySelectorAll('body *')]
      .filter((each) => each.getBoundingClientRect().right > arguments[0] + 1)
      .slice(0, 5).map((each) => each.outerHTML.slice(0, 120));
    """
    found: list[str] = browser.execute_script(script, width)
    return found
