"""A log that is sent for a replay: its columns are corrected where it is replayed."""

from __future__ import annotations

import html
import json
import re
import shlex
import subprocess
import sys

import httpx
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting
from web.test_rehearse_pages import got


def sent(served, content: bytes, program: str = "program-board") -> str:
    """Send a log to be replayed; return where that led."""
    answer = httpx.post(
        f"{served.url}/program/{program}/files",
        data={"token": served.token},
        files={"log": ("my.csv", content)},
        timeout=60,
    )
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def odd(content: str) -> str:
    """Return the log of a board under heads that say nothing, with pressures in tens of Pa."""
    head = "clock [s],pressure [Pa],push [m/s^2],stage"
    above, _, rows = content.partition(f"{head}\n")
    cells = [row.split(",") for row in rows.splitlines()]
    lines = [",".join([each[0], f"{float(each[1]) / 10:.3f}", *each[2:]]) for each in cells]
    return "\n".join([f"{above}a,b,c,d", *lines, ""])


def test_the_columns_of_a_log_that_is_sent_are_corrected(serve) -> None:
    from loftwright.web.debrief.takes import Takes

    served = serve("sedge-lift-flown")
    kept = served.home / "flights" / "2026-05-16-a" / "evidence" / "board.csv"
    place = sent(served, odd(kept.read_text("utf-8")).encode())
    page = got(served, place)
    assert "cannot be replayed as it is read now" in page
    assert "What column 1, a, is" in page
    number = place.partition("take=")[2]
    said = {"token": served.token, "take": number}
    for column, (role, unit) in enumerate(
        (("time", "s"), ("pressure", "Pa"), ("push", "m/s^2"), ("state", "")), 1
    ):
        said |= {f"file-0:is-{column}": role, f"file-0:unit-{column}": unit}
    said["file-0:factor-2"] = "10"
    twice = said | {"file-0:is-2": "time"}
    part = httpx.post(f"{served.url}/program/program-board/columns", data=twice,
                      headers={"HX-Request": "true"})  # fmt: skip
    assert "both said to be time" in part.text
    assert "<html" not in part.text
    answer = httpx.post(f"{served.url}/program/program-board/columns", data=said, timeout=60)
    assert answer.status_code == 303, answer.text
    assert answer.headers["location"] == place
    page = got(served, place)
    assert "What it would have done when" in page
    assert "--pressure" in page
    # As the command that the page shows, and as the log says whose heads say what they are.
    command = re.search(r"<code>(loftwright program run [^<]*)</code>", page)[1]
    words = shlex.split(html.unescape(command))[1:]
    run = [sys.executable, "-m", "loftwright", *words, "--json"]
    told = json.loads(subprocess.run(run, check=True, capture_output=True, text=True).stdout)
    plain = [sys.executable, "-m", "loftwright", *words[:3], str(kept), "--json"]
    known = json.loads(subprocess.run(plain, check=True, capture_output=True, text=True).stdout)
    entered = [[(each["time_s"], each["name"]) for each in run["entered"]] for run in (told, known)]
    assert entered[0] == entered[1]
    assert len(entered[0]) > 2
    # It is no flight to be taken in; but it stays until somebody throws it away, so it is shown.
    listed = got(served, "/debrief")
    assert "/incoming/" not in listed
    assert "Look at my.csv" in listed
    assert not Takes(served.home).find(number).items[0].told.get("reading")


def test_what_is_no_log_is_not_kept_for_a_replay(serve) -> None:
    served = serve("sedge-lift-flown")
    answer = httpx.post(
        f"{served.url}/program/program-board/files",
        data={"token": served.token},
        files={"log": ("a.bin", bytes(range(256)) * 40)},
    )
    assert answer.status_code == 422
    assert not list((served.home / ".loftwright" / "inbox").iterdir())
    for take in ("x", "0" * 16, "../x"):
        assert "What it would" not in httpx.get(
            f"{served.url}/program/program-board/replay?take={take}"
        ).text  # fmt: skip


@needs_browser
def test_columns_follow_what_is_chosen(serve, browser) -> None:
    from selenium.webdriver.common.keys import Keys
    from selenium.webdriver.support.ui import Select

    served = serve("sedge-lift-flown")
    kept = served.home / "flights" / "2026-05-16-a" / "evidence" / "board.csv"
    place = sent(served, odd(kept.read_text("utf-8")).encode())
    look(browser, f"{served.url}{place}")
    assert findings_of_axe(browser) == []
    wait = waiting(browser)

    def choose(what: str, column: int, word: str) -> None:
        def chosen(b) -> bool:
            Select(b.find_element("id", f"f0-{what}-{column}")).select_by_visible_text(word)
            return True

        wait.until(chosen)

    choose("is", 1, "time")
    choose("unit", 1, "s")
    choose("is", 2, "pressure")
    choose("unit", 2, "Pa")
    wait.until(lambda b: "no pad has that pressure" in b.find_element("id", "columns-seen").text)
    browser.find_element("css selector", "#columns-seen .column:nth-child(2) summary").click()
    browser.find_element("id", "f0-factor-2").send_keys("10", Keys.TAB)
    wait.until(lambda b: "Read so, it rises" in b.find_element("id", "columns-seen").text)
    assert findings_of_axe(browser) == []
    browser.find_element("css selector", "#columns-seen .main-act").click()
    wait.until(lambda b: "What it would have done when" in b.page_source)
    assert findings_of_axe(browser) == []
    is_quiet(browser, served.url)
