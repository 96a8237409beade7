"""Rehearsing in the browser: start, sort, open a flight, mend, rehearse again, compare."""

from __future__ import annotations

import io
import os
import re
import time
import zipfile
from typing import Any

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting

from loftwright.documents import read_campaign
from loftwright.program.emit import is_emitted
from loftwright.web.jobs import State

PATIENCE = 120.0
PLUG = "connector opens at liftoff: bay plug"
FROZEN = "sensor frozen: baro"


def sent(served: Any, path: str, **fields: Any) -> httpx.Response:
    return httpx.post(f"{served.url}{path}", data={"token": served.token, **fields}, timeout=60)


def got(served: Any, path: str, code: int = 200) -> str:
    answer = httpx.get(f"{served.url}{path}", timeout=60, follow_redirects=True)
    assert answer.status_code == code, answer.text
    return answer.text


def ended(served: Any) -> None:
    """Wait until nothing runs any more."""
    until = time.monotonic() + PATIENCE
    while served.bench.jobs.running():
        assert time.monotonic() < until
        os.sched_yield()


def rehearsed(served: Any, faults: list[str], flights: int = 12) -> str:
    """Rehearse a few faults and return the page's path."""
    fields = {"flights": str(flights), "seed": "1", "which": "some", "fault": faults}
    answer = sent(served, "/rehearse", **fields)
    assert answer.status_code == 303, answer.text
    ended(served)
    path = answer.headers["location"]
    job = served.bench.jobs.find(path.rpartition("/")[2])
    assert job.state is State.DONE, job.said()
    return path


# ---------------------------------------------------------------- what is asked


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"flights": "1"}, "write a whole number from 2"),
        ({"flights": "many"}, "write a whole number from 2"),
        ({"flights": "9" * 40}, "write a whole number from 2"),
        ({"seed": "-1"}, "write a whole number from 0"),
        ({"which": "some"}, "tick one fault at least"),
        ({"tries": "../elsewhere"}, "write each as PATH=VALUE"),
        ({"tries": "--report=x"}, "write each as PATH=VALUE"),
    ],
)
def test_what_cannot_be_flown_is_said_beside_its_field(serve, fields, says) -> None:
    served = serve("sedge-lift-mended")
    answer = sent(served, "/rehearse", **{"flights": "8", "seed": "1", "which": "none", **fields})
    assert answer.status_code == 422
    assert says in answer.text
    assert served.bench.jobs.all() == []


def test_a_campaign_without_electronics_says_so(serve) -> None:
    served = serve("stand-bottle")
    assert "It cannot be rehearsed yet" in got(served, "/rehearse")
    assert "/describe" in got(served, "/rehearse")


def test_nothing_is_shown_of_what_there_is_not(serve) -> None:
    served = serve("sedge-lift-mended")
    for path in (
        "/rehearse/none", "/rehearse/none/x/y", "/rehearse/none/x/flight/3",
        "/rehearse/none/beside/other", "/rehearse/compare?one=a&other=b", "/program/none",
        "/program/vehicle", "/program/program-board/replay?log=../../x", "/rehearse/tune/none",
    ):  # fmt: skip
        got(served, path, 404)


# ---------------------------------------------------------------- the whole way


def test_every_count_leads_to_flights_that_were_so(serve) -> None:
    served = serve("sedge-lift-mended")
    path = rehearsed(served, [FROZEN])
    page = got(served, path)
    links = dict.fromkeys(re.findall(rf'href="({path}/sensor-frozen-baro/[a-z]+-[a-z-]+)"', page))
    assert len(links) > 4
    for link in links:
        told = got(served, link)
        listed = re.findall(r'<a href="([^"]+/flight/\d+)">Flight (\d+)</a>', told)
        count = int(re.search(r">(\d+) of 12 flights", told)[1])
        assert len(listed) == count
    flight = got(served, listed[0][0])
    assert "The same flight without the fault" in flight
    assert f"rehearse {served.home}" in flight
    assert 'data-strips="/strips/' in flight
    # A flight that nobody noted can be opened as well, by its number.
    assert "Flight 11, sensor frozen: baro" in got(
        served, f"{path}/sensor-frozen-baro/flight?number=11"
    )


def test_flights_are_those_of_the_documents_that_were_flown(serve) -> None:
    served = serve("sedge-lift-mended")
    path = rehearsed(served, [FROZEN])
    link = re.search(rf'href="({path}/sensor-frozen-baro/flight/\d+)"', got(served, path))[1]

    def moments(page: str) -> str:
        return page.split("What happened when")[1].split("</table>", maxsplit=1)[0]

    before = moments(got(served, link))
    board = served.home / "program-board.toml"
    text = board.read_text(encoding="utf-8")
    board.write_text(text.replace("climb < 50 ft/s", "climb < 30 ft/s"), encoding="utf-8")
    assert "The documents have changed since" in got(served, path)
    after = got(served, link)
    assert moments(after) == before
    assert f"{served.home}/.loftwright/jobs/" in after
    (served.bench.jobs.all()[0].folder / "documents" / "program-board.toml").unlink()
    assert "are not kept" in got(served, link, 422)


def test_a_mend_that_was_taken_back_is_not_said_to_be_written(serve) -> None:
    served = serve("sedge-lift-mended")
    path = rehearsed(served, [PLUG])
    there = sent(served, f"{path}/mends/1").headers["location"].partition("#")[0]
    assert "Written into the documents" in got(served, there)
    assert sent(served, f"{path}/take-back").status_code == 303
    assert "Written into the documents" not in got(served, there)  # by the back button, or a reload


def test_a_mend_is_never_written_over_what_somebody_changed(serve) -> None:
    served = serve("sedge-lift-mended")
    path = rehearsed(served, [PLUG])
    avionics = served.home / "avionics.toml"
    before = avionics.read_text(encoding="utf-8")
    text = before + "# mine\n"
    avionics.write_text(text, encoding="utf-8")
    answer = sent(served, f"{path}/mends/1")
    assert answer.status_code == 422
    assert "not as it was when this change was tried" in answer.text
    assert avionics.read_text(encoding="utf-8") == text
    assert sent(served, f"{path}/mends/9").status_code == 404
    assert "Written into" not in got(served, f"{path}?written=1")
    avionics.write_text(before, encoding="utf-8")
    place = sent(served, f"{path}/mends/1").headers["location"]
    assert "<strong>Written into the documents.</strong>" in got(served, place)
    avionics.write_text(avionics.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    assert "Written into the documents" not in got(served, f"{path}?written=1")


@needs_browser
def test_a_weakness_is_found_mended_and_rehearsed_again(serve, browser) -> None:
    from selenium.webdriver.common.keys import Keys

    wait = waiting(browser, PATIENCE)
    served = serve("sedge-lift-mended")
    look(browser, f"{served.url}/rehearse")
    assert findings_of_axe(browser) == []
    field = browser.find_element("id", "flights")
    field.clear()
    field.send_keys("12")
    browser.find_element("css selector", 'input[value="some"]').click()
    browser.find_element("xpath", "//summary[.='Choose faults']").click()
    for fault in (PLUG, FROZEN, "battery flat: cell"):
        browser.find_element("css selector", f'input[value="{fault}"]').click()
    browser.find_element("css selector", "form.start button.main-act").click()
    wait.until(lambda b: b.find_elements("css selector", "table.cases"))
    first = browser.current_url
    assert findings_of_axe(browser) == []

    # Sorted by keyboard alone.
    head = browser.find_element("xpath", "//th[.//button[starts-with(.,'As wanted')]]")
    head.find_element("tag name", "button").send_keys(Keys.ENTER)
    assert head.get_attribute("aria-sort") == "ascending"
    cells = "return [...document.querySelectorAll('table.cases tbody tr')].map("
    places = f"{cells}r => Number(r.cells[5].dataset.value))"
    assert browser.execute_script(places) == sorted(browser.execute_script(places))
    browser.switch_to.active_element.send_keys(Keys.ENTER)
    assert head.get_attribute("aria-sort") == "descending"
    found = browser.execute_script(places)
    assert found == sorted(found, reverse=True)

    # A count, a flight behind it.
    browser.find_element("css selector", 'a[href*="sensor-frozen-baro/counted-"]').click()
    wait.until(lambda b: b.find_elements("css selector", "a[href*='/flight/']"))
    assert findings_of_axe(browser) == []
    browser.find_element("css selector", "a[href*='/flight/']").click()
    wait.until(lambda b: b.find_elements("css selector", "svg.strip"))
    assert findings_of_axe(browser) == []

    # Mended, rehearsed again, compared.
    browser.get(f"{first}#mends")
    browser.find_element("xpath", "//button[.='Write this mend into the documents']").click()
    wait.until(lambda b: b.find_elements("id", "written"))
    assert len(read_campaign(served.home).programs) == 2
    browser.find_element("xpath", "//button[.='Rehearse again and compare']").click()
    wait.until(lambda b: "/beside/" in b.current_url)
    lead = browser.find_element("css selector", "p.lead").text
    assert "better" in lead
    assert PLUG in lead.lower()
    assert "backup timer" in browser.find_element("tag name", "main").text
    assert findings_of_axe(browser) == []
    is_quiet(browser, served.url)


# ---------------------------------------------------------------- programs


def test_what_is_wrong_with_a_program_stands_beside_its_line(serve) -> None:
    served = serve("sedge-lift-mended")
    board = served.home / "program-board.toml"
    text = board.read_text(encoding="utf-8")
    number = text.split("climb < 50 ft/s")[0].count("\n") + 1
    assert "Its stages" in got(served, "/program/program-board")
    board.write_text(text.replace("climb < 50 ft/s", "climb << 50 ft/s"), encoding="utf-8")
    page = got(served, "/program/program-board")
    line = page.split(f'id="line-{number}"')[1].split("</li>")[0]
    assert "program-phrase-operand" in line
    assert "It cannot be read" in page
    assert "c.zip" not in page
    got(served, "/program/program-board/c.zip", 422)
    # A promise that can be broken reads, and shows the run that breaks it.
    board.write_text(text.replace('not_before = "0.8 s"', 'not_before = "9 s"', 1), "utf-8")
    page = got(served, "/program/program-board")
    assert "promises can be broken" in page
    assert "program-promise-broken" in page


def test_a_program_is_replayed_over_a_kept_log(serve) -> None:
    served = serve("sedge-lift-flown")
    page = got(served, "/program/program-board")
    log = re.search(r'<option value="([^"]+/board.csv)">', page)[1]
    told = got(served, f"/program/program-board/replay?log={log}")
    assert "let go" in told
    assert "svg" in told
    assert "program run" in told
    assert "12.3 s" in got(served, f"/program/program-board/replay?log={log}&liftoff=soon", 422)


def test_a_program_is_replayed_over_a_log_that_is_sent(serve) -> None:
    served = serve("sedge-lift-flown")
    kept = next(served.home.glob("flights/*/evidence/board.csv"))
    path = "/program/program-board/files"
    answer = httpx.post(
        f"{served.url}{path}",
        data={"token": served.token},
        files={"log": ("my <log>.csv", kept.read_bytes())},
        timeout=60,
    )
    assert answer.status_code == 303, answer.text
    page = got(served, answer.headers["location"])
    assert "my log.csv" in page
    none = {"data": {"token": served.token}, "files": {"log": ("", b"")}}
    assert httpx.post(f"{served.url}{path}", **none).status_code == 422


def test_a_program_is_saved_as_c(serve) -> None:
    served = serve("sedge-lift-mended")
    answer = httpx.get(f"{served.url}/program/program-board/c.zip")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        names = archive.namelist()
        assert all(is_emitted(archive.read(name)) for name in names)
    assert any(name.endswith(".c") for name in names)
    assert answer.content == httpx.get(f"{served.url}/program/program-board/c.zip").content


# ---------------------------------------------------------------- tuning


def test_a_setting_is_tried_and_taken(serve) -> None:
    served = serve("sedge-lift-mended")
    knob = "board.climbing.climb"
    fields = {"flights": "4", "points": "3", "seed": "1"}
    answer = sent(served, "/rehearse/tune", **fields)
    assert answer.status_code == 422
    fields |= {f"from {knob}": "60 ft/s", f"to {knob}": "40 ft/s"}
    assert "put the lesser value first" in sent(served, "/rehearse/tune", **fields).text
    fields |= {f"from {knob}": "20 ft/s", f"to {knob}": "30 ft/s"}
    answer = sent(served, "/rehearse/tune", **fields)
    assert answer.status_code == 303, answer.text
    ended(served)
    path = answer.headers["location"]
    settings = served.bench.jobs.all()[0].answer()["settings"]
    number = next(k for k, each in enumerate(settings, 1) if not each["as_written"])
    assert "Take a setting" in got(served, path) or not settings[number - 1]["on_front"]
    assert "Written into" not in got(served, f"{path}?written={number}")
    taken = sent(served, f"{path}/settings/{number}")
    assert taken.status_code == 303, taken.text
    assert "Written into the programs" in got(served, taken.headers["location"])
    said = settings[number - 1]["says"][knob]
    assert said in (served.home / "program-board.toml").read_text(encoding="utf-8")
    assert sent(served, f"{path}/settings/{number}").status_code == 422
    sent(served, "/describe/undo")
    assert "Written into" not in got(served, path)


@needs_browser
def test_programs_are_read_in_the_browser(serve, browser) -> None:
    served = serve("sedge-lift-flown")
    look(browser, f"{served.url}/program/program-board", 390, "dark")
    assert findings_of_axe(browser) == []
    wide = browser.execute_script("return document.documentElement.scrollWidth")
    assert wide <= 390
    browser.find_element("xpath", "//button[.='Replay']").click()
    assert browser.find_elements("css selector", "svg.strip")
    assert findings_of_axe(browser) == []
    is_quiet(browser, served.url)


def test_without_avionics_the_way_to_add_them_is_a_page(serve) -> None:
    page = httpx.get(f"{serve('stand-bottle').url}/rehearse").text
    assert "There are no avionics" in page
    assert 'added under <a href="/describe">Describe</a>' in page
    assert "avionics = " not in page
