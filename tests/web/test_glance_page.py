"""The first page: whether it is ready, one next step, what is open."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser
from web.serving import copied

from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.next_step import RULES, Step
from loftwright.ledger.standing import standing
from loftwright.report.pad_list import pad_list
from loftwright.web.pages.glance import BUTTONS, step_path
from loftwright.web.pages.pad import mark_of

WIDTHS = (390, 1366)
KEPT = "Ticks are kept in this tab only, for this list, this flight and this day."


def page(served, path: str = "/") -> str:
    said = httpx.get(f"{served.url}{path}")
    assert said.status_code == 200, said.text
    return said.text


def send(served, path: str, **fields: str) -> httpx.Response:
    return httpx.post(f"{served.url}{path}", data={"token": served.token, **fields})


def test_it_names_one_next_step_and_does_not_write(serve) -> None:
    served = serve("sedge-lift-flown")
    text = page(served)
    assert text.count('class="button main-act"') == 1
    assert "Next: Debrief Third lift." in text
    assert '<a class="button main-act" href="/debrief/2026-05-16-a">' in text
    assert '<a href="/pad">' in text  # whatever comes next
    assert not (served.home / "ledger.sqlite").exists()


def test_broken_documents_are_told_with_their_place(serve) -> None:
    served = serve("sedge-lift")
    (served.home / "vehicle.toml").write_text("nonsense = [", encoding="utf-8")
    text = page(served)
    assert "The documents do not read" in text
    assert 'href="/describe/vehicle"' in text


def test_an_empty_folder_begins_a_campaign(serve) -> None:
    served = serve(None)
    assert "Begin a campaign" in page(served, "/debrief")
    for path in ("/ledger", "/ledger/reliability", "/pad", "/rehearse", "/rehearse/tune"):
        said = httpx.get(f"{served.url}{path}")
        assert said.status_code == 404
        assert 'class="button main-act" href="/describe">Begin a campaign' in said.text, path
    assert "Begin a campaign" in page(served)
    assert list(served.home.iterdir()) == []


def test_words_from_documents_are_escaped(serve) -> None:
    served = serve("sedge-lift")
    head = served.home / "campaign.toml"
    text = head.read_text(encoding="utf-8")
    text = re.sub(r'question = ".*"', 'question = "<script>alert(1)</script>"', text)
    head.write_text(text, encoding="utf-8")
    assert "<script>alert" not in page(served)


def test_an_action_is_closed_from_here_and_only_once(serve) -> None:
    served = serve("sedge-lift")
    with open_ledger(served.home) as ledger:
        ledger.add_action("Fit a hook", who="Pell")
    assert "Fit a hook" in page(served)
    for _ in range(2):
        said = send(served, "/ledger/close/A1", why="done", back="/", once="k1")
        assert (said.status_code, said.headers["location"]) == (303, "/")
    assert "Nothing is open." in page(served)
    again = send(served, "/ledger/close/A1", why="done", once="k2")
    assert again.status_code == 422
    assert "was closed already" in again.text


def test_a_flight_is_begun_once_from_the_next_step(serve) -> None:
    from dataclasses import asdict

    from loftwright.documents.worked import Worked, note_worked, what_flies

    served = serve("sedge-lift")
    campaign = served.bench.read_campaign()
    for verb in ("forecast", "rehearse"):
        of = what_flies(campaign.hashes, asdict(campaign.head))
        note_worked(served.home, Worked(verb=verb, of=of))
    assert 'action="/begin"' in page(served)
    places = {send(served, "/begin", once="k").headers["location"] for _ in range(2)}
    assert len(places) == 1
    (job,) = served.bench.jobs.all()
    job.cancel()


def test_what_was_worked_out_since_the_last_look_is_told(serve) -> None:
    from dataclasses import asdict

    from loftwright.documents.worked import Worked, note_worked, what_flies

    served = serve("sedge-lift")
    campaign = served.bench.read_campaign()
    of = what_flies(campaign.hashes, asdict(campaign.head))
    assert "These documents were not forecast" in page(served)
    note_worked(served.home, Worked(verb="forecast", of=of, says="About 160 ft up."))
    assert "These documents were not forecast" not in page(served)
    assert "About 160 ft up." in page(served)
    path = served.home / "vehicle.toml"
    path.write_text(path.read_text("utf-8") + "\n# another\n", encoding="utf-8")
    assert "These documents were not forecast" in page(served)


@pytest.mark.parametrize("kind", sorted(BUTTONS))
def test_every_step_has_a_page(kind: str) -> None:
    assert step_path(Step(kind=kind, says="", why=""), None).startswith("/")


def test_every_rule_has_a_button() -> None:
    assert len(BUTTONS) == len(RULES)


def test_the_list_on_the_pad_holds_what_the_documents_say(serve) -> None:
    served = serve("sedge-lift-flown")
    text = page(served, "/pad")
    assert "75 psi" in text.replace("\u00a0", " ")
    assert "0.95 L" in text.replace("\u00a0", " ")
    assert "eye protection" in text
    assert standing(served.home).doubts[0].message[1:] in text.replace("&#39;", "'")


def test_the_list_on_the_pad_says_what_was_not_done_with_these_documents(serve) -> None:
    from loftwright.documents.worked import Worked, flying, note_worked

    served = serve("sedge-lift")
    says = ("These documents were not forecast.",
            "The programs were not rehearsed with these documents.")  # fmt: skip
    text = page(served, "/pad")
    assert "as it was rehearsed" in text
    assert [each in text for each in says] == [True, True]
    of = flying(served.bench.read_campaign())
    for verb in ("forecast", "rehearse"):
        note_worked(served.home, Worked(verb=verb, of=of))
    assert not any(each in page(served, "/pad") for each in says)
    program = served.home / "program-board.toml"
    program.write_text(program.read_text("utf-8") + "\n# turned\n", encoding="utf-8")
    assert says[1] in page(served, "/pad")


def test_ticks_are_bound_to_the_list_the_flight_and_the_day(tmp_path) -> None:
    homes = [copied("sedge-lift-flown", tmp_path / name) for name in ("one", "other")]
    found, other = map(standing, homes)
    assert found.campaign is not None
    assert found.checked is not None
    parts = pad_list(found.campaign, found.checked)
    changed = replace(parts[0], lines=(*parts[0].lines[:-1], "Another line."))
    last = replace(found.flights[-1], has_flown=not found.flights[-1].has_flown)
    marks = [
        mark_of(found, parts),
        mark_of(other, parts),
        mark_of(found, (changed, *parts[1:])),
        mark_of(found, parts[1:]),
        mark_of(replace(found, day=found.day + timedelta(days=1)), parts),
        mark_of(replace(found, flights=found.flights[:-1]), parts),
        mark_of(replace(found, flights=(*found.flights[:-1], last)), parts),
    ]
    assert len(set(marks)) == len(marks)
    assert mark_of(standing(homes[0]), parts) == marks[0]


@needs_browser
def test_ticks_outlast_a_reload_of_the_same_list_and_of_no_other(serve, browser) -> None:
    from selenium.webdriver.common.keys import Keys

    served = serve("sedge-lift-flown")
    look(browser, f"{served.url}/pad", 360)

    def seen() -> tuple[list[int], str]:
        boxes = browser.find_elements("css selector", ".pad-list input")
        said = browser.find_element("id", "ticked").text
        assert said.endswith(f" of {len(boxes)} ticked")
        ticked = [place for place, box in enumerate(boxes) if box.is_selected()]
        assert said.startswith(f"{len(ticked)} of ")
        return ticked, browser.find_element("id", "ticks-kept").text

    def clear():
        return browser.find_element("id", "clear-ticks")

    assert seen() == ([], KEPT)
    assert not clear().is_displayed()
    for place in (1, 4):
        browser.find_elements("css selector", ".pad-list input")[place].send_keys(Keys.SPACE)
    assert seen()[0] == [1, 4]
    browser.refresh()
    assert seen() == ([1, 4], KEPT)
    assert findings_of_axe(browser) == []
    assert browser.execute_script("return document.documentElement.scrollWidth") <= 360
    for said, places in (("Put the ticks back", []), ("Clear all ticks", [1, 4])):
        clear().send_keys(Keys.ENTER)
        assert clear().text == said
        assert seen()[0] == places
    clear().send_keys(Keys.ENTER)
    browser.refresh()
    assert seen()[0] == []
    browser.find_elements("css selector", ".pad-list input")[2].send_keys(Keys.SPACE)
    vehicle = served.home / "vehicle.toml"
    text = vehicle.read_text(encoding="utf-8")
    vehicle.write_text(text.replace("75 psi", "70 psi"), encoding="utf-8")
    browser.refresh()
    assert seen() == ([], f"{KEPT} What you ticked before was of another list, flight or day.")
    vehicle.write_text(text, encoding="utf-8")
    browser.refresh()
    assert seen() == ([], KEPT)  # gone for good, though the list is the first again
    is_quiet(browser, served.url)


@needs_browser
def test_the_list_is_ticked_where_the_browser_keeps_nothing(serve, browser) -> None:
    refuse = (
        "Object.defineProperty(window, 'sessionStorage', {get() {throw new DOMException('no')}})"
    )
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": refuse})
    try:
        served = serve("sedge-lift-flown")
        look(browser, f"{served.url}/pad", 360)
        browser.find_elements("css selector", ".pad-list input")[0].click()
        assert browser.find_element("id", "ticked").text.startswith("1 of ")
        assert "keeps no ticks" in browser.find_element("id", "ticks-kept").text
        is_quiet(browser, served.url)
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)


@needs_browser
@pytest.mark.parametrize("width", WIDTHS)
def test_it_can_be_used_on_phone_and_laptop(serve, browser, width: int) -> None:
    served = serve("sedge-lift-flown")
    for path in ("/", "/pad"):
        look(browser, f"{served.url}{path}", width)
        is_quiet(browser, served.url)
        assert findings_of_axe(browser) == []
        wide = browser.execute_script("return document.documentElement.scrollWidth")
        assert wide <= width
