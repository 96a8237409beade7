"""The forms of the documents in a browser: checked while typing, kept over a reload, saved."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting

from loftwright.documents.edit import with_values

pytestmark = needs_browser
PATIENCE = 30.0
CHECKED = """
const asked = performance.getEntriesByType("resource").map((each) => each.name);
return asked.filter((each) => each.endsWith("/check")).length;
"""
WATER, LENGTH = "f-fill-water_volume", "f-body-length"


class Page:
    """A form that somebody has open."""

    def __init__(self, browser: Any, served: Any) -> None:
        self.browser, self.served = browser, served

    def open(self, path: str, width: int = 1366) -> None:
        look(self.browser, self.served.url + path, width)
        self.browser.execute_script("localStorage.clear()")
        look(self.browser, self.served.url + path, width)

    def id(self, name: str) -> Any:
        return self.browser.find_element("id", name)

    def wait(self, until: Any) -> None:
        waiting(self.browser, PATIENCE).until(lambda _: until())

    def type(self, name: str, text: str) -> None:
        """Put ``text`` into a field, and wait until it has been checked."""
        before = self.checks
        self.browser.execute_script("arguments[0].select()", self.id(name))
        self.id(name).send_keys(text)
        self.wait(lambda: self.checks > before)

    @property
    def checks(self) -> int:
        return int(self.id("document").get_attribute("data-checked") or 0)

    def vehicle(self) -> dict[str, Any]:
        return tomllib.loads((self.served.home / "vehicle.toml").read_text(encoding="utf-8"))


def leaving_warns(browser: Any) -> bool:
    ask = "const leave = new Event('beforeunload', {cancelable: true});"
    return browser.execute_script(f"{ask} dispatchEvent(leave); return leave.defaultPrevented;")


def test_what_is_typed_is_checked_drawn_kept_and_saved(serve, browser) -> None:
    page = Page(browser, serve("sedge-lift"))
    page.open("/describe/vehicle")
    assert findings_of_axe(browser) == []
    sound = page.id("pad").get_attribute("innerHTML")

    page.type(WATER, "a lot")
    assert page.id(WATER).get_attribute("aria-invalid") == "true"
    said = page.id(f"{WATER}-says")
    assert said.text.startswith("! ")
    assert said.get_attribute("id") in page.id(WATER).get_attribute("aria-describedby")
    assert page.id("pad-stale").is_displayed()
    assert page.id("pad").get_attribute("innerHTML") == sound

    page.type(WATER, "0.5 L")
    assert page.id(WATER).get_attribute("aria-invalid") is None
    assert not page.id("pad-stale").is_displayed()
    assert page.id("pad").get_attribute("innerHTML") != sound
    assert page.id("changed").text == "1 change not saved"
    assert leaving_warns(browser)
    page.id("find").send_keys("throat")
    seen = browser.find_elements("css selector", "[data-field]:not([hidden])")
    assert "nozzle.throat_diameter" in [each.get_attribute("data-field") for each in seen]
    assert not page.id(WATER).is_displayed()
    page.id("find").clear()
    shown = browser.find_element("css selector", ".command code").text
    assert shown == f"loftwright set {page.served.home} 'vehicle.fill.water_volume=0.5 L'"

    browser.get(f"{page.served.url}/describe/vehicle")  # as a reload: the edit comes back
    page.wait(lambda: page.id("draft-said").is_displayed())
    assert page.id(WATER).get_attribute("value") == "0.5 L"
    assert page.vehicle()["fill"]["water_volume"] != "0.5 L"

    page.id("save").click()
    page.wait(lambda: "Saved: 1 field" in page.id("main").text)
    assert page.vehicle()["fill"]["water_volume"] == "0.5 L"
    assert page.id("changed").text == "Nothing is changed"
    assert not leaving_warns(browser)
    assert browser.execute_script("return localStorage.length") == 0
    is_quiet(browser, page.served.url)


def test_a_table_is_added_by_the_keyboard_and_two_edits_are_decided(serve, browser) -> None:
    from selenium.webdriver.common.keys import Keys

    page = Page(browser, serve("stand-bottle"))
    page.open("/describe/vehicle", width=390)
    browser.find_element("css selector", "[value='add:launch_tube']").send_keys(Keys.ENTER)
    in_focus = "return document.activeElement.id"
    page.wait(lambda: browser.execute_script(in_focus) == "f-launch_tube-outer_diameter")
    page.type("f-launch_tube-outer_diameter", "9 mm")
    page.type("f-launch_tube-length", "50 mm")
    page.type("f-name", "Mine")
    assert findings_of_axe(browser) == []

    vehicle = page.served.home / "vehicle.toml"
    theirs = with_values(vehicle.read_text(encoding="utf-8"), {"name": "Theirs"})
    vehicle.write_text(theirs, encoding="utf-8")
    page.id("f-name").send_keys(Keys.ENTER)
    page.wait(lambda: "Two edits" in page.id("main").text)
    assert findings_of_axe(browser) == []
    assert page.vehicle()["name"] == "Theirs"
    browser.find_element("css selector", "input[value=yours]").click()
    browser.find_element("css selector", ".conflicts .main-act").click()
    page.wait(lambda: "Saved" in page.id("main").text)
    assert page.vehicle()["name"] == "Mine"
    assert page.vehicle()["launch_tube"] == {"outer_diameter": "9 mm", "length": "50 mm"}


def test_a_text_has_its_findings_beside_the_line(serve, browser) -> None:
    from selenium.webdriver.common.keys import Keys

    page = Page(browser, serve("sedge-lift"))
    page.open("/describe/program.board/text", width=390)
    assert findings_of_axe(browser) == []
    page.id("lines").send_keys(Keys.CONTROL, Keys.END)
    page.id("lines").send_keys("\nsample = 3")
    page.wait(lambda: browser.find_elements("css selector", "#gutter .error"))
    page.id("lines").send_keys(Keys.TAB)
    assert browser.switch_to.active_element != page.id("lines")
    found = browser.find_element("css selector", "[data-line]")
    found.click()
    assert browser.switch_to.active_element == page.id("lines")
    before = browser.execute_script(CHECKED)
    page.id("lines").send_keys(Keys.HOME, "  ")  # looked at again, with nothing new to say
    page.wait(lambda: browser.execute_script(CHECKED) > before)
    assert found.is_displayed()  # not another in its place
    page.id("save").click()
    page.wait(lambda: "Not saved" in page.id("main").text)
    assert page.id("lines").get_attribute("value").endswith("sample = 3")
    page.id("discard").click()
    page.wait(lambda: not page.id("lines").get_attribute("value").endswith("sample = 3"))


@pytest.mark.parametrize("path", ["/describe/vehicle", "/describe/vehicle/text"])
def test_a_browser_that_keeps_nothing_checks_all_the_same(serve, browser, path) -> None:
    refuse = "Object.defineProperty(window, 'localStorage', {get() {throw new DOMException('no')}})"
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": refuse})
    try:
        page = Page(browser, serve("stand-bottle"))
        look(browser, page.served.url + path)
        field = page.id("lines" if path.endswith("text") else LENGTH)
        field.send_keys(" ?")
        page.wait(lambda: "Nothing is changed" not in page.id("changed").text)
        page.wait(lambda: browser.execute_script(CHECKED) > 0)
        is_quiet(browser, page.served.url)
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)


def test_the_documents_are_listed_for_everybody(serve, browser) -> None:
    served = serve("sedge-lift-flown")
    browser.get("about:blank")  # a page of before may still ask for something
    for width in (360, 1366):
        look(browser, f"{served.url}/describe", width, "dark")
        assert findings_of_axe(browser) == []
        wide = browser.execute_script("return document.documentElement.scrollWidth")
        assert wide <= width
        is_quiet(browser, served.url)
