"""A folder of campaigns: listed, opened, begun."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser
from web.serving import copied

from loftwright.errors import ProblemError
from loftwright.web.campaigns.opened import Opened


@contextmanager
def command(folder: Path) -> Iterator[tuple[str, subprocess.Popen]]:
    """Run the command as a program would, and end it by ending its input."""
    words = ["serve", str(folder), "--port", "0", "--no-open", "--json", "--until-input-ends"]
    process = subprocess.Popen(
        [sys.executable, "-m", "loftwright", *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    with process:
        lines = []
        for line in process.stdout:
            lines.append(line)
            if line.rstrip() == "}":
                break
        yield json.loads("".join(lines))["address"].rstrip("/"), process
        process.stdin.close()
        assert process.wait(30) == 0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copied("stand-bottle", tmp_path / "bottle")
    copied("terrace-stages", tmp_path / "terrace <b>")
    return tmp_path


def token_of(page: str) -> str:
    return re.search(r'name="token" value="([^"]+)"', page)[1]


def test_each_campaign_has_a_workbench_of_its_own(folder: Path) -> None:
    with command(folder) as (address, _):
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
def test_no_campaign_begins_outside_or_over_another(folder: Path, name: str) -> None:
    before = sorted(folder.parent.rglob("*"))
    with command(folder) as (address, _):
        token = token_of(httpx.get(address).text)
        answer = httpx.post(address, data={"token": token, "name": name})
    assert answer.status_code == 422
    assert sorted(folder.parent.rglob("*")) == before


def test_a_workbench_that_does_not_start_is_told(tmp_path: Path) -> None:
    opened = Opened(["--no-such-option"])
    with pytest.raises(ProblemError, match="did not start"):
        opened.address(copied("stand-bottle", tmp_path / "bottle"))
    opened.close()


@needs_browser
def test_another_campaign_is_begun_in_the_browser(folder: Path, browser) -> None:
    from selenium.webdriver.support.ui import WebDriverWait

    with command(folder) as (address, _):
        look(browser, address, 360)
        assert findings_of_axe(browser) == []
        is_quiet(browser, address)
        browser.find_element("id", "name").send_keys("Reed hopper")
        browser.find_element("xpath", "//button[text()='Begin']").click()
        WebDriverWait(browser, 60).until(lambda b: not b.current_url.startswith(address))
        WebDriverWait(browser, 60).until(lambda b: "Reed hopper" in b.title)
    assert (folder / "Reed hopper").is_dir()
