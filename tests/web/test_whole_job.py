"""The whole job in a browser, on a phone and on a laptop: from describing to the ledger.

On the flown demo: a field is changed and checked, a what-if asked, flights forecast and rehearsed,
a log taken in and debriefed, what it found kept in the ledger, and an action closed; and then the
first page knows of all of it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting

from loftwright.ledger.ledger import open_ledger
from loftwright.web.jobs import State

pytestmark = needs_browser
PATIENCE = 240.0
SIZES = {"phone": 390, "laptop": 1366}
FLIGHT, LOG = "2026-05-23-a", "flights/2026-05-09-a/evidence/board.csv"


class Person:
    """Somebody at a page, who clicks what can be seen and waits for what is promised."""

    def __init__(self, browser: Any, served: Any, width: int) -> None:
        self.browser, self.served, self.width = browser, served, width

    def go(self, path: str) -> None:
        look(self.browser, self.served.url + path, self.width)

    def one(self, selector: str) -> Any:
        return self.browser.find_element("css selector", selector)

    def by_words(self, words: str) -> Any:
        said = f"//*[self::a or self::button][contains(normalize-space(), '{words}')]"
        return self.browser.find_element("xpath", said)

    def click(self, element: Any) -> None:
        script = "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})"
        self.browser.execute_script(script, element)
        element.click()

    def fill(self, selector: str, text: str) -> None:
        field = self.one(selector)
        self.browser.execute_script("arguments[0].select()", field)
        field.send_keys(text)

    def until(self, holds: Callable[[], Any]) -> Any:
        """Wait until something holds, over pages that come and go; return it."""
        from selenium.common import exceptions

        try:
            return waiting(self.browser, PATIENCE).until(lambda _: holds())
        except exceptions.TimeoutException:
            work = [(job.command, job.state.value) for job in self.served.bench.jobs.all()]
            said = f"{self.browser.current_url}\n{self.reads()}\n{work}"
            raise AssertionError(f"what was waited for never came: {said}") from None

    def reads(self) -> str:
        return str(self.browser.execute_script("return document.querySelector('main').innerText"))

    def is_well(self) -> None:
        """Hold the page that is open to what every page promises."""
        is_quiet(self.browser, self.served.url)
        assert findings_of_axe(self.browser) == []
        wide = self.browser.execute_script("return document.documentElement.scrollWidth")
        assert wide <= self.width

    def step(self, word: str) -> None:
        """Go to a step by the words at the top."""
        self.click(self.browser.find_element("link text", word))
        self.until(lambda: self.one("nav [aria-current=page]").text == word)


@pytest.mark.parametrize("size", SIZES)
def test_from_describing_to_the_ledger(serve, browser, size: str) -> None:
    browser.set_script_timeout(120)
    served = serve("sedge-lift-flown")
    with open_ledger(served.home) as ledger:
        ledger.add_action("Hold the battery with a strap", who="Pell")
    person = Person(browser, served, SIZES[size])
    person.go("/")
    assert "Next: Debrief" in person.reads()
    describe(person)
    what_if(person)
    forecast(person)
    rehearse(person)
    take_in(person)
    debrief(person)
    look_back(person)


def describe(person: Person) -> None:
    """Change a field; a value that cannot be is said to be so beside it, a sound one is saved."""
    person.step("Describe")
    person.go("/describe/vehicle")
    person.browser.execute_script("localStorage.clear()")
    person.go("/describe/vehicle")
    person.fill("#f-fill-water_volume", "a lot")
    field = '#f-fill-water_volume[aria-invalid="true"]'
    person.until(lambda: person.one(field))
    person.fill("#f-fill-water_volume", "0.85 L ± 0.01 L")
    person.until(lambda: not person.browser.find_elements("css selector", field))
    person.until(lambda: not person.one("#pad-stale").is_displayed())
    person.is_well()
    person.click(person.one("#save"))
    person.until(lambda: "Saved" in person.reads())
    text = (person.served.home / "vehicle.toml").read_text("utf-8")
    assert tomllib.loads(text)["fill"]["water_volume"] == "0.85 L ± 0.01 L"


def what_if(person: Person) -> None:
    """Move a slider; the answer follows, and the documents stay."""
    from selenium.webdriver.common.keys import Keys

    person.step("Forecast")
    said = person.until(lambda: person.one("#glance .lead").text)
    thumb = person.one('[data-path="vehicle.fill.water_volume"] input[type=range]')
    thumb.send_keys(Keys.PAGE_DOWN)
    person.until(lambda: person.one("#glance .lead").text not in ("", said))
    person.until(lambda: person.one("#picture").get_attribute("data-flights") == "400")
    text = (person.served.home / "vehicle.toml").read_text("utf-8")
    assert tomllib.loads(text)["fill"]["water_volume"] == "0.85 L ± 0.01 L"
    person.is_well()


def forecast(person: Person) -> None:
    person.go("/forecast")
    person.until(lambda: person.one("#glance .lead").text)
    person.fill("#flights", "20")
    person.click(person.one("#fly"))
    ended(person, "forecast")


def rehearse(person: Person) -> None:
    person.step("Rehearse")
    person.fill("#flights", "6")
    person.click(person.one('input[name=which][value="none"]'))
    person.click(person.one("form.start .main-act"))
    ended(person, "rehearse")


def ended(person: Person, verb: str) -> None:
    """Wait for the work of a command to end well, and look at its page."""
    jobs = person.served.bench.jobs

    def last() -> Any:
        own = [job for job in jobs.all() if job.begun_with[:1] == [verb]]
        return own[0] if own and own[0].state is not State.RUNNING else None

    job = person.until(last)
    assert job.state is State.DONE, (job.said(), job.problems())
    person.go(f"/work/{job.id}")
    assert "done" in person.one(".work .state").text
    person.is_well()


def take_in(person: Person) -> None:
    """Send a log as a flight of its own; see how it is read, and keep it."""
    person.step("Debrief")
    person.one("input[type=file]").send_keys(str(person.served.home / LOG))
    person.click(person.by_words("Look at them"))
    person.until(lambda: "/incoming/" in person.browser.current_url)
    person.until(lambda: person.one("#files-seen"))
    person.fill("#flight", FLIGHT)
    forecast_too = person.one("#forecast")
    if forecast_too.is_selected():  # a forecast of 400 flights takes long beside other tests
        person.click(forecast_too)
    person.until(lambda: person.by_words("Take in").is_enabled())
    person.is_well()
    person.click(person.by_words("Take in"))
    kept = person.served.home / "flights" / FLIGHT / "evidence" / "board.csv"
    # The file is there before the flight's record names it.
    person.until(lambda: kept.is_file() and not person.served.bench.jobs.running())
    assert kept.read_bytes() == (person.served.home / LOG).read_bytes()


def debrief(person: Person) -> None:
    person.go(f"/debrief/{FLIGHT}")
    person.until(lambda: person.one("form.keep .main-act"))
    person.is_well()
    person.fill("#finding", "It went as forecast with less water")
    person.click(person.one("form.keep .main-act"))
    person.until(lambda: "ept in the ledger" in person.reads().replace("Keep in the ledger", ""))
    with open_ledger(person.served.home) as ledger:
        assert [each.what for each in ledger.findings(FLIGHT)] == [
            "It went as forecast with less water"
        ]
        assert {"apogee_m"} <= {each.name for each in ledger.figures(FLIGHT)}


def look_back(person: Person) -> None:
    """Find all of it again: in the ledger, and at a glance; close what was open."""
    person.step("Ledger")
    assert FLIGHT in person.reads()
    person.step("Glance")
    said = person.reads()
    assert FLIGHT in said
    assert "Forecast" in said.partition("Worked out so far")[2]
    person.fill("#why-A1", "strapped, and shaken by hand")
    person.click(person.by_words("Close A1"))
    person.until(lambda: "Nothing is open." in person.reads())
    person.is_well()
    with open_ledger(person.served.home) as ledger:
        assert not ledger.action(1).is_open
