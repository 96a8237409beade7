"""A folder of campaigns: listed, opened, begun."""

from __future__ import annotations

import re
from pathlib import Path

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting
from web.serving import commanded, copied

from loftwright.errors import ProblemError
from loftwright.web.campaigns.opened import Opened


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "campaigns"
    copied("stand-bottle", folder / "bottle")
    copied("terrace-stages", folder / "terrace <b>")
    return folder


def token_of(page: str) -> str:
    return re.search(r'name="token" value="([^"]+)"', page)[1]


def test_each_campaign_has_a_workbench_of_its_own(folder: Path) -> None:
    with commanded(folder) as told:
        address = told["address"].rstrip("/")
        page = httpx.get(address).text
        assert "terrace &lt;b&gt;" in page
        token = {"token": token_of(page)}
        opened = httpx.post(f"{address}/open/bottle", data=token, timeout=60)
        assert opened.status_code == 303
        bench = opened.headers["location"]
        assert not bench.startswith(address)
        assert httpx.get(bench).status_code == 200
        again = httpx.post(f"{address}/open/bottle", data=token)
        assert again.headers["location"] == bench
        assert httpx.post(f"{address}/open/none", data=token).status_code == 404
    with pytest.raises(httpx.ConnectError):  # it went with the first
        httpx.get(bench)


@pytest.mark.parametrize(
    "name", ["", "../out", ".hidden", "a/b", "a\\b", "x" * 61, "bottle", "nul\0"]
)
def test_no_campaign_begins_outside_or_over_another(
    folder: Path, tmp_path: Path, name: str
) -> None:
    before = sorted(tmp_path.rglob("*"))
    with commanded(folder) as told:
        address = told["address"].rstrip("/")
        token = token_of(httpx.get(address).text)
        answer = httpx.post(address, data={"token": token, "name": name})
    assert answer.status_code == 422
    assert sorted(tmp_path.rglob("*")) == before


def test_a_folder_that_was_taken_away_is_told_and_none_is_begun_in_its_place(
    serve, tmp_path: Path
) -> None:
    served = serve("stand-bottle")
    moved = served.home.rename(tmp_path / "moved")
    for path in ("", "/describe", "/forecast", "/ledger", "/debrief", "/pad"):
        page = httpx.get(served.url + path)
        assert page.status_code == 422, path
        assert "not there any more" in page.text
    begun = {"token": served.token, "name": "Reed hopper", "units": "metric"}
    for more in ({}, {"from": "demo"}):
        assert httpx.post(f"{served.url}/describe/begin", data=begun | more).status_code == 422
    assert not served.home.exists()
    moved.rename(served.home)
    assert httpx.get(served.url).status_code == 200


def test_a_workbench_that_does_not_start_is_told(tmp_path: Path) -> None:
    opened = Opened(["--no-such-option"])
    with pytest.raises(ProblemError, match="did not start"):
        opened.address(copied("stand-bottle", tmp_path / "bottle"))
    opened.close()


@needs_browser
def test_another_campaign_is_begun_in_the_browser(folder: Path, browser) -> None:
    with commanded(folder) as told:
        address = told["address"].rstrip("/")
        look(browser, address, 360)
        assert findings_of_axe(browser) == []
        is_quiet(browser, address)
        browser.find_element("id", "name").send_keys("Reed hopper")
        browser.find_element("xpath", "//button[text()='Begin']").click()
        waiting(browser).until(lambda b: not b.current_url.startswith(address))
        waiting(browser).until(lambda b: "Reed hopper" in b.title)
        # Nothing is in the way: the folder's name is its campaign's until it is told another.
        assert browser.find_element("tag name", "h1").text == "Begin a campaign"
    assert (folder / "Reed hopper").is_dir()
