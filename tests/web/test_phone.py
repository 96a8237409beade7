"""Opening the workbench on a phone: what the laptop shows, how the phone gets in, how it goes."""

from __future__ import annotations

import asyncio
import re
from urllib.parse import quote
from xml.etree import ElementTree

import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser
from web.asking import ask
from web.serving import commanded, copied

from loftwright.errors import ProblemError
from loftwright.web.app import create_app
from loftwright.web.config import Config
from loftwright.web.guard import Lan
from loftwright.web.guard.lan import cookie_name
from loftwright.web.phone.network import chosen_address, lan_fault
from loftwright.web.phone.phone_words import drawn_square, entry_address, svg_square

PHONE = ("192.168.1.33", 40000)
THERE = [("Host", "192.168.1.20:8042"), ("Accept", "text/html")]
HERE = [("Host", "127.0.0.1:8042"), ("Accept", "text/html")]
FORM = ("Content-Type", "application/x-www-form-urlencoded")


@pytest.fixture
def lan():
    return Lan("192.168.1.20")


@pytest.fixture
def home(tmp_path):
    return copied("stand-bottle", tmp_path / "bottle")


@pytest.fixture
def bench(home, lan):
    return create_app(home, Config(port=8042, token="right", lan=lan))


def entered(bench, code, **more):
    """The phone says the code."""
    body = f"code={quote(code)}".encode()
    headers = [*THERE, FORM, ("Origin", "http://192.168.1.20:8042"), ("User-Agent", "<i>phone")]
    return ask(bench, "POST", "/enter", headers, body, client=PHONE, **more)


def test_a_phone_is_let_in_by_the_code_that_the_laptop_shows(bench, lan):
    lan.new_code()
    page = ask(bench, "GET", "/phone", HERE).text
    assert lan.code in page
    assert "http://192.168.1.20:8042/" in page
    assert "not encrypted" in page
    first = ask(bench, "GET", "/", THERE, client=PHONE)
    assert (first.status, first.headers["location"]) == (303, "/enter")
    scanned = ask(bench, "GET", "/enter?code=" + lan.code.replace("-", ""), THERE, client=PHONE)
    assert f'value="{lan.code.replace("-", "")}"' in scanned.text
    assert lan.code is not None  # a look at the page, by a scanner's preview say, uses nothing up
    answer = entered(bench, lan.code)
    assert (answer.status, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    known = [*THERE, ("Cookie", cookie.partition(";")[0])]
    assert ask(bench, "GET", "/", known, client=PHONE).status == 200
    page = ask(bench, "GET", "/phone", HERE).text
    assert "&lt;i&gt;phone" in page
    assert "No code is good now" in page
    assert ask(bench, "GET", "/phone", known, client=PHONE).status == 404  # codes stay here
    device = re.search(r'name="device" value="([0-9a-f]+)"', page)[1]
    gone = ask(bench, "POST", "/phone/away", [*HERE, FORM], f"token=right&device={device}".encode())
    assert gone.status == 303
    assert ask(bench, "GET", "/", known, client=PHONE).status == 303


@pytest.mark.parametrize("typed", ["{} {}", " {}\u00a0\u2013 {} ", "{}\u2014{}", "{}-{}", "{}{}"])
def test_a_code_may_be_typed_as_a_phone_writes_it(bench, lan, typed):
    one, other = lan.new_code().lower().replace("0", "o").replace("1", "l").split("-")
    assert entered(bench, typed.format(one, other)).status == 303


def test_a_wrong_code_is_told_and_stays_out(bench, lan, monkeypatch):
    async def pause(seconds):
        pass

    monkeypatch.setattr(lan, "_pause", pause)
    lan.new_code()
    answer = entered(bench, "0000-0000")
    assert answer.status == 403
    assert "4 more tries" in answer.text
    assert "set-cookie" not in answer.headers


def test_a_code_in_the_address_cannot_become_markup(bench):
    page = ask(bench, "GET", "/enter?code=%22%3E%3Cscript%3E", THERE, client=PHONE).text
    assert "<script" not in page.partition("<body")[2]


def test_the_laptop_makes_new_codes_and_nobody_else_does(bench, lan):
    old = lan.new_code()
    assert ask(bench, "POST", "/phone/code", [*HERE, FORM], b"").status == 403
    assert lan.code == old
    assert ask(bench, "POST", "/phone/code", [*HERE, FORM], b"token=right").status == 303
    assert lan.code not in {None, old}


def test_without_lan_the_page_says_how(home):
    bench = create_app(home, Config(port=8042, token="right"))
    page = ask(bench, "GET", "/phone", HERE).text
    assert "--lan" in page
    assert ask(bench, "POST", "/phone/code", [*HERE, FORM], b"token=right").status == 404
    assert ask(bench, "POST", "/enter", [*HERE, FORM], b"code=1&token=right").status == 404


@pytest.mark.parametrize(
    "address",
    ["0.0.0.0", "::", "8.8.8.8", "127.0.0.1", "224.0.0.1", "laptop", "192.168.1.20/24", ""],
)
def test_no_address_but_one_of_a_network_is_opened(address):
    assert lan_fault(address)
    with pytest.raises(ProblemError):
        chosen_address(address)


@pytest.mark.parametrize(
    "address", ["192.168.1.20", "10.42.0.1", "172.20.10.2", "169.254.3.4", "fd00::2"]
)
def test_addresses_of_networks_are(address):
    assert chosen_address(address) == address


def test_squares_are_drawn_for_pages_and_terminals(lan):
    lan.new_code()
    address = entry_address(lan, 8042)
    drawing = ElementTree.fromstring(svg_square(address))
    sides = [float(each) for each in drawing.get("viewBox").split()]
    lines = drawn_square(address).splitlines()
    assert sides[2] == sides[3] >= 29  # modules: 21 of the smallest square, and 4 on either side
    assert len(lines) == pytest.approx(sides[2] / 2, abs=1)
    assert {len(each) for each in lines} == {len(lines[0])}


@needs_browser
def test_the_page_is_read_on_any_screen(home, lan, browser):
    from web.serving import serving

    lan.new_code()
    with serving(home, lan=lan) as served:
        for width in (360, 1280):
            look(browser, f"{served.url}/phone", width)
            assert findings_of_axe(browser) == []
            is_quiet(browser, served.url)
            assert browser.execute_script(
                "return document.documentElement.scrollWidth <= innerWidth"
            )


def test_the_command_opens_this_machine_and_one_address(home):

    import httpx

    try:
        address = chosen_address(None)
    except ProblemError:
        pytest.skip("this machine is on no network")
    with commanded(home, "--lan") as told:
        assert told["lan"].startswith(f"http://{address}:")
        assert httpx.get(told["address"]).status_code == 200
        wants = {"Accept": "text/html"}
        with httpx.Client(base_url=told["lan"], headers=wants) as phone:
            assert phone.get("/").headers["location"] == "/enter"
            said = {"code": told["lan_code"]}
            assert phone.post("/enter", data=said).status_code == 303
            assert phone.get("/").status_code == 200
            assert phone.get("/phone").status_code == 404
            assert phone.post("/begin", data={}).status_code == 403  # no token, no change
        with httpx.Client(base_url=told["lan"], headers=wants) as other:
            assert other.post("/enter", data=said).status_code == 403


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--lan-address", "192.168.1.20"], "command-usage"),
        (["--lan", "--lan-address", "8.8.8.8"], "serve-address"),
        (["--lan", "--lan-address", "0.0.0.0"], "serve-address"),
        (["--lan", "--lan-address", "192.168.255.254"], "serve-refused"),
    ],
)
def test_the_command_opens_nothing_by_accident(home, capsys, words, code):
    from loftwright.cli import main

    assert main.run(["serve", str(home), "--no-open", "--json", "--port", "0", *words]) == 2
    assert f'"code": "{code}"' in capsys.readouterr().out


def test_a_device_that_only_looks_starts_no_work(tmp_path, lan):
    home = copied("sedge-lift-flown", tmp_path / "flown")
    app = create_app(home, Config(port=8042, token="right", lan=lan, look_only=True))
    cookie = f"{cookie_name(8042)}={asyncio.run(lan.enter(lan.new_code(), 'a phone'))}"
    for path in ("/debrief/2026-05-16-a", "/stand/2026-05-16-a"):
        said = ask(app, "GET", path, [*THERE, ("Cookie", cookie)], client=PHONE)
        assert said.status in (303, 422)
        assert not (home / ".loftwright" / "jobs").exists()
    said = ask(app, "GET", "/debrief/2026-05-16-a", [*THERE, ("Cookie", cookie)], client=PHONE)
    assert "this device only looks" in said.text
