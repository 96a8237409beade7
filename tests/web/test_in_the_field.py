"""A phone in a field: thumbs on sliders and forms, and a network that goes and comes."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event
from typing import Any

import httpx
import pytest
from browsing import findings_of_axe, look, needs_browser, waiting
from web.serving import Served, copied, serving

FLIGHT = "2026-05-16-a"
RECORD = f"/debrief/{FLIGHT}/record"
PATIENCE = 30.0


def until(browser: Any, said: Callable[[Any], Any]) -> Any:
    return waiting(browser, PATIENCE).until(said)


def find(browser: Any, selector: str) -> Any:
    return browser.find_element("css selector", selector)


def press(browser: Any, selector: str) -> None:
    browser.execute_script("arguments[0].click()", find(browser, selector))


def name_of(home: Path) -> str:
    path = home / "flights" / FLIGHT / "flight.toml"
    name: str = tomllib.loads(path.read_text(encoding="utf-8"))["name"]
    return name


def rename(browser: Any, name: str) -> None:
    field = find(browser, "#r-name")
    field.clear()
    field.send_keys(name)


def sent(served: Served, name: str, content: bytes) -> str:
    """Send a file as a page does; return the address of the page on which it is looked at."""
    files = {"token": (None, served.token), "file": (name, content)}
    return served.url + httpx.post(f"{served.url}/debrief/files", files=files).headers["location"]


def test_a_page_from_before_a_new_start_learns_the_token(serve: Any) -> None:
    served = serve("stand-bottle")
    assert httpx.get(f"{served.url}/link").json() == {"token": served.token}
    foreign = {"Origin": "http://elsewhere.example"}
    assert httpx.get(f"{served.url}/link", headers=foreign).status_code == 403


@needs_browser
def test_a_form_waits_for_a_workbench_that_has_gone(tmp_path: Path, browser: Any) -> None:
    home = copied("sedge-lift-flown", tmp_path / "flown")
    was = name_of(home)
    with serving(home) as served:
        look(browser, served.url + RECORD, 390)
        rename(browser, "Third lift, in the rain")
    press(browser, "main form .main-act")
    said = until(browser, lambda b: find(b, "main form .not-sent").text)
    assert "nothing was written" in said
    assert "does not answer since" in find(browser, "#link-lost").text
    assert findings_of_axe(browser) == []
    assert name_of(home) == was
    with serving(home, port=int(served.url.rpartition(":")[2])) as anew:
        assert anew.token != served.token
        press(browser, "main form .main-act")
        until(browser, lambda b: b.current_url.endswith(FLIGHT))
        assert not browser.find_elements("id", "link-lost")
        assert name_of(home) == "Third lift, in the rain"


@needs_browser
def test_what_is_typed_stays_over_a_reload_until_it_is_written(serve: Any, browser: Any) -> None:
    served = serve("sedge-lift-flown")
    look(browser, served.url + RECORD, 390)
    was = find(browser, "#r-name").get_attribute("value")
    rename(browser, "Third lift, typed slowly")
    look(browser, served.url + RECORD, 390)
    assert find(browser, "#r-name").get_attribute("value") == "Third lift, typed slowly"
    assert "not written yet" in find(browser, ".said-back").text
    assert name_of(served.home) == was
    press(browser, "main form .main-act")
    until(browser, lambda b: b.current_url.endswith(FLIGHT))
    look(browser, served.url + RECORD, 390)
    assert not browser.find_elements("css selector", ".said-back")


@needs_browser
def test_what_was_typed_before_writes_over_nobody(serve: Any, browser: Any) -> None:
    served = serve("sedge-lift-flown")
    look(browser, served.url + RECORD, 390)
    rename(browser, "Of this page")
    path = served.home / "flights" / FLIGHT / "flight.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(name_of(served.home), "Of another"), encoding="utf-8")
    look(browser, served.url + RECORD, 390)
    press(browser, "main form .main-act")
    until(browser, lambda b: find(b, "main [role=alert]").text)
    assert find(browser, "#r-name").get_attribute("value") == "Of this page"
    assert name_of(served.home) == "Of another"


@needs_browser
def test_enter_on_a_keyboard_throws_no_file_away(serve: Any, browser: Any) -> None:
    served = serve("sedge-lift-flown")
    log = (served.home / "flights" / FLIGHT / "evidence" / "board.csv").read_bytes()
    look(browser, sent(served, "board-4.csv", log), 390)
    find(browser, "#flight").send_keys("-x\n")
    until(browser, lambda b: b.current_url.endswith("/look"))
    assert find(browser, "#files-seen h2").text == "board-4.csv"
    assert find(browser, "#flight").get_attribute("value").endswith("-x")


@pytest.fixture
def weak(monkeypatch: pytest.MonkeyPatch) -> Iterator[Event]:
    """Have files come in no further than the network's own buffers hold, until the event is set."""
    from starlette.concurrency import run_in_threadpool

    from loftwright.web.pages import debrief

    through, receive = Event(), debrief.receive

    async def received(*words: Any, **named: Any) -> Any:
        await run_in_threadpool(through.wait)
        return await receive(*words, **named)

    monkeypatch.setattr(debrief, "receive", received)
    yield through
    through.set()


@needs_browser
@pytest.mark.parametrize("how", ["cut", "stopped"])
def test_a_film_that_came_half_is_said_and_sent_again(
    weak: Event, serve: Any, browser: Any, tmp_path: Path, how: str
) -> None:
    served = serve("sedge-lift")
    film = tmp_path / "film.mp4"
    film.write_bytes(b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom" + bytes(48 << 20))
    look(browser, f"{served.url}/debrief", 390)
    find(browser, "#files").send_keys(str(film))
    press(browser, ".drop .main-act")
    so_far = "return document.querySelector('.on-its-way progress')?.value"
    until(browser, lambda b: b.execute_script(so_far))
    assert browser.execute_script(so_far) < 1.0
    network = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
    if how == "stopped":
        press(browser, ".on-its-way button")
    else:
        browser.execute_cdp_cmd("Network.enable", {})
        browser.execute_cdp_cmd("Network.emulateNetworkConditions", {**network, "offline": True})
    said = until(browser, lambda b: find(b, ".drop .not-sent").text)
    assert "othing of it is kept" in said
    weak.set()
    browser.execute_cdp_cmd("Network.emulateNetworkConditions", network)
    assert httpx.get(f"{served.url}/api/inbox").json()["files"] == []
    press(browser, ".drop .main-act")
    until(browser, lambda b: "/incoming/" in b.current_url)
    kept = httpx.get(f"{served.url}/api/inbox").json()["files"]
    assert [each["name"] for each in kept] == ["film.mp4"]
    assert (served.home / ".loftwright" / "inbox" / kept[0]["id"] / "content").read_bytes() == (
        film.read_bytes()
    )


@needs_browser
def test_a_file_that_is_refused_is_said_beside_it(serve: Any, browser: Any, tmp_path: Path) -> None:
    odd = tmp_path / "odd.bin"
    odd.write_bytes(b"MZ\x90\0" + bytes(300))
    look(browser, f"{serve('sedge-lift').url}/debrief", 390)
    find(browser, "#files").send_keys(str(odd))
    press(browser, ".drop .main-act")
    said = until(browser, lambda b: find(b, ".drop .not-sent").text)
    assert said.startswith("! This is no record that can be read")
    assert browser.execute_script("return document.getElementById('files').files.length") == 1


# The focus goes down the page and up again; what lies over it there is found by looking.
HIDDEN = """
const fields = [...document.querySelectorAll(arguments[0])].filter((f) => f.checkVisibility());
return [...fields, ...fields.toReversed()].filter((each) => {
  each.focus();
  const room = each.getBoundingClientRect();
  const ends = [room.top + 2, room.bottom - 2];
  return ends.some((y) => document.elementFromPoint(room.left + 4, y) !== each);
}).map((each) => each.id);
"""


@needs_browser
@pytest.mark.parametrize(
    ("page", "fields"),
    [("/describe/vehicle", ".fields input"), ("/forecast", ".slider input[type=range]")],
)
def test_no_bar_lies_over_what_has_the_focus(
    serve: Any, browser: Any, page: str, fields: str
) -> None:
    look(browser, serve("sedge-lift").url + page, 390)
    if page == "/forecast":
        until(browser, lambda b: find(b, "#glance .keys").is_displayed())
    assert browser.execute_script(HIDDEN, fields) == []


@needs_browser
def test_a_finger_that_scrolls_moves_no_slider(serve: Any, browser: Any) -> None:
    look(browser, f"{serve('sedge-lift').url}/forecast", 390)
    # What comes later would move the page beneath the finger.
    until(browser, lambda b: find(b, "#rest").text and find(b, "#picture svg"))
    browser.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": True})
    slider = ".slider:nth-child(2) input[type=range]"
    written = find(browser, slider).get_attribute("value")
    try:
        finger(browser, slider, [(5, -40 * step) for step in range(7)])
        assert browser.execute_script("return scrollY") > 100
        assert find(browser, slider).get_attribute("value") == written
        assert find(browser, ".slider:nth-child(2) .slider-reset").is_displayed() is False

        def slid(b: Any) -> bool:  # a browser on a busy machine takes some fingers away
            finger(b, slider, [(12 * step, 0) for step in range(7)])
            return bool(find(b, slider).get_attribute("value") != written)

        until(browser, slid)
        until(browser, lambda b: find(b, ".slider:nth-child(2) .slider-reset").is_displayed())
    finally:
        browser.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": False})


def finger(browser: Any, selector: str, way: list[tuple[float, float]]) -> None:
    """Lay a finger on a slider, away from its thumb, move it so far, and lift it."""
    x, y = browser.execute_script(
        "const one = document.querySelector(arguments[0]); one.scrollIntoView({block: 'center'});"
        "const r = one.getBoundingClientRect(); return [r.x + 40, r.y + r.height / 2];",
        selector,
    )
    for step, (along, down) in enumerate(way):
        kind = "touchMove" if step else "touchStart"
        points = [{"x": x + along, "y": y + down, "id": 0}]
        browser.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    browser.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
