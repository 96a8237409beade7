"""Work that ends beside what somebody types: nothing of it is lost."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting

pytestmark = needs_browser
FORM = {"flights": "400", "seed": "3"}


def ended(browser: Any) -> bool:
    """Tell whether the card on the page says that the work is done."""
    script = "return document.querySelector('.work .state')?.textContent === 'done'"
    return bool(browser.execute_script(script))


@pytest.fixture
def at_work(serve: Any, browser: Any) -> Any:
    """Open the forecast while flights are flown, marked so that a page loaded anew is known."""
    served = serve("stand-bottle")
    form = {"token": served.token, **FORM}
    assert httpx.post(f"{served.url}/forecast/fly", data=form).status_code == 303
    look(browser, f"{served.url}/forecast", 390)
    browser.execute_script("window.isTheFirst = true")
    return served


def test_a_page_is_not_loaded_from_under_what_is_typed(at_work: Any, browser: Any) -> None:
    browser.execute_script("document.getElementById('limits').closest('details').open = true")
    browser.find_element("id", "limits").send_keys("apogee > 50 ft")
    waiting(browser).until(lambda it: it.find_elements("id", "anew"))
    waiting(browser).until(ended)
    assert browser.execute_script("return window.isTheFirst")
    assert browser.find_element("id", "limits").get_attribute("value") == "apogee > 50 ft"
    assert findings_of_axe(browser) == []
    is_quiet(browser, at_work.url)
    browser.find_element("css selector", "#anew button").click()
    waiting(browser).until(lambda it: not it.execute_script("return window.isTheFirst"))


def test_a_page_on_which_nothing_is_typed_is_loaded_by_itself(at_work: Any, browser: Any) -> None:
    waiting(browser).until(lambda it: not it.execute_script("return window.isTheFirst"))
    assert not browser.find_elements("css selector", "#anew, .work progress")
