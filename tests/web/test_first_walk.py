"""From an empty folder to a forecast of a vehicle of one's own, within ten minutes of a hand.

The time is that of the keystroke-level model: S. K. Card, T. P. Moran, A. Newell, "The
keystroke-level model for user performance time with interactive systems", Communications of the
ACM 23 (7), 1980, pages 396-410: K 0.28 s a key (average non-secretary typist), P 1.10 s to point,
H 0.40 s for a hand between keyboard and mouse, M 1.35 s to prepare mentally. The numbers and the
rule that M stands before each value and each click are from memory. Waiting for the page (R) is
not in it, nor is measuring the vehicle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from browsing import findings_of_axe, look, needs_browser, waiting

from loftwright.web.jobs import State

pytestmark = needs_browser
PATIENCE = 120.0
KEY, POINT, HAND, THINK = 0.28, 1.10, 0.40, 1.35  # s
TEN_MINUTES = 600.0

# A vehicle of our own invention, by the words that a person reads beside the fields.
VEHICLE = {
    "f-name": "Coltsfoot",
    "f-mass-dry": "142 g ± 2 g",
    "f-mass-balance_from_nose": "33 cm ± 1 cm",
    "f-vessel-0-volume": "1.5 L",
    "f-vessel-0-diameter": "92 mm",
    "f-vessel-0-length": "30 cm",
    "f-vessel-0-from_nose": "35 cm",
    "f-vessel-0-wall": "0.28 mm",
    "f-vessel-0-proof_gauge_pressure": "8 bar",
    "f-nozzle-throat_diameter": "21.7 mm",
    "f-fill-water_volume": "0.45 L ± 0.02 L",
    "f-fill-gauge_pressure": "4 bar ± 0.2 bar",
    "f-fill-temperature": "18 degC",
    "f-nose-length": "14 cm",
    "f-body-diameter": "93 mm",
    "f-body-length": "72 cm",
    "f-fins-0-count": "3",
    "f-fins-0-root_chord": "11 cm",
    "f-fins-0-tip_chord": "6 cm",
    "f-fins-0-span": "10 cm",
    "f-fins-0-sweep": "5 cm",
    "f-fins-0-thickness": "3 mm",
    "f-fins-0-from_nose": "58 cm",
    "f-canopy-diameter": "70 cm",
}


@dataclass
class Hand:
    """What a person does, and how long that takes by the model."""

    browser: Any
    seconds: float = 0.0
    keys: int = 0
    clicks: int = 0
    on_mouse: bool = False

    def click(self, element: Any) -> None:
        """Think, go to the mouse, point, and press."""
        self.seconds += THINK + POINT + KEY + (0.0 if self.on_mouse else HAND)
        self.clicks += 1
        self.on_mouse = True
        self.browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", element)
        element.click()

    def fill(self, element: Any, text: str) -> None:
        """Point at a field, press it, select what is in it, and type."""
        self.click(element)
        self.seconds += HAND + KEY * (len(text) + 2)  # and two for "select all"
        self.keys += len(text) + 2
        self.on_mouse = False
        self.browser.execute_script("arguments[0].select()", element)
        element.send_keys(text)


def test_a_first_walk_takes_less_than_ten_minutes(serve, browser) -> None:
    def wait(until: Any) -> Any:
        return waiting(browser, PATIENCE).until(lambda _: until())

    def at(name: str) -> Any:
        return browser.find_element("id", name)

    served, hand = serve(), Hand(browser)
    look(browser, served.url)
    hand.click(wait(lambda: browser.find_element("link text", "Begin a campaign")))
    hand.fill(wait(lambda: at("name")), "Pond lifts")
    hand.fill(at("question"), "How high does it go?")
    assert findings_of_axe(browser) == []
    hand.click(browser.find_element("css selector", ".begin .main-act"))

    wait(lambda: at("document"))
    browser.execute_script("localStorage.clear()")
    for name, text in VEHICLE.items():
        hand.fill(at(name), text)
    wait(lambda: at("pad").find_elements("tag name", "svg") and not at("pad-stale").is_displayed())
    hand.click(at("save"))
    wait(lambda: "Saved" in at("main").text)
    assert not browser.find_elements("css selector", "[aria-invalid=true]")
    assert "1.5" in at("pad").text or "stability" in at("pad").text

    hand.click(browser.find_element("link text", "Forecast"))
    hand.fill(wait(lambda: at("flights")), "200")
    hand.click(at("fly"))
    job = wait(lambda: served.bench.jobs.latest("forecast", State.DONE))
    look(browser, f"{served.url}/work/{job.id}")
    assert "Coltsfoot" in at("main").text
    assert job.answer()["apogee_m"] is not None

    campaign = served.bench.read_campaign()
    assert campaign.head.question == "How high does it go?"
    assert campaign.vehicle.name == "Coltsfoot"
    assert hand.seconds < TEN_MINUTES, f"{hand.seconds:.0f} s, {hand.clicks} clicks"
    print(f"{hand.seconds:.0f} s: {hand.clicks} clicks, {hand.keys} keys")
