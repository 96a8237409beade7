"""A flight whose files are just being taken in: its page says so, and is there when they are."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest
from browsing import needs_browser, waiting
from evidence.synthetic_logs import flown, written

from loftwright.cli.main import main
from loftwright.documents.flights import EVIDENCE, FLIGHTS
from loftwright.web.jobs import Job, Jobs

PATIENCE = 120.0
NAME = "2026-06-01-a"


def log(folder: Path) -> Path:
    """Write a log of a flight, as a recorder would."""
    flight = flown(seconds=45.0)
    text = written([flight.time, flight.height], ("time (s)", "height (m)"), digits=(3, 2))
    (folder / "board.csv").write_text(text, encoding="utf-8")
    return folder / "board.csv"


def record(home: Path, *words: str) -> None:
    """Run ``loftwright record`` in this process, as somebody in a terminal would."""
    with pytest.raises(SystemExit) as ended:
        main(["record", str(home), NAME, *words, "--no-forecast", "--yes"])
    assert ended.value.code in (0, None)


@pytest.fixture
def begun(serve) -> Any:
    served = serve("sedge-lift-flown")
    record(served.home)
    return served


def asked(served: Any, path: str) -> httpx.Response:
    return httpx.get(f"{served.url}{path}", timeout=60.0)


def polled(page: httpx.Response) -> str:
    """Return the address that a page asks while it waits."""
    _, _, rest = page.text.partition('id="arrival" hx-get="')
    return rest.partition('"')[0].replace("&amp;", "&")


def test_a_page_without_a_log_asks_and_is_told_when_one_is_there(begun, tmp_path):
    page = asked(begun, f"/debrief/{NAME}")
    assert "There is no log of this flight yet" in page.text
    assert asked(begun, polled(page)).status_code == 204  # nothing has changed
    record(begun.home, str(log(tmp_path)))
    answer = asked(begun, polled(page))
    assert answer.headers["hx-refresh"] == "true"
    assert 'id="arrival"' not in asked(begun, f"/debrief/{NAME}").text


def test_a_copy_under_way_is_named(begun):
    page = asked(begun, f"/debrief/{NAME}")
    folder = begun.home / FLIGHTS / NAME / EVIDENCE
    (folder / ".board.csv.0a1b2c3d.part").write_bytes(b"half")
    answer = asked(begun, polled(page))
    assert answer.status_code == 200
    assert "hx-refresh" not in answer.headers
    assert "are being taken in: board.csv" in answer.text
    assert "are being taken in: board.csv" in asked(begun, f"/debrief/{NAME}").text


def test_what_a_killed_command_left_is_not_under_way(begun):
    draft = begun.home / FLIGHTS / NAME / EVIDENCE / ".board.csv.0a1b2c3d.part"
    draft.write_bytes(b"half")
    os.utime(draft, (1e9, 1e9))
    assert "There is no log of this flight yet" in asked(begun, f"/debrief/{NAME}").text


def test_work_that_takes_files_in_is_shown_and_no_debrief_begun_before_its_end(
    begun, tmp_path, monkeypatch
):
    """The log is there, the forecast not yet: a debrief now would know nothing of it."""
    record(begun.home, str(log(tmp_path)))
    waits = [sys.executable, "-c", "input()"]
    command = subprocess.Popen(waits, stdin=subprocess.PIPE)
    monkeypatch.setattr(Jobs, "_run", lambda _self, _folder: command)
    job = begun.bench.jobs.start(["record", NAME], page="debrief", title="Take in 1 file")
    monkeypatch.undo()
    page = asked(begun, f"/debrief/{NAME}")
    assert f'id="work-{job.id}"' in page.text
    assert "Files of this flight are being taken in" in page.text
    assert jobs_of(begun, "debrief") == []
    command.communicate(b"\n")
    assert asked(begun, polled(page)).headers["hx-refresh"] == "true"
    asked(begun, f"/debrief/{NAME}")
    (debrief,) = jobs_of(begun, "debrief")
    debrief.cancel()


def jobs_of(served: Any, verb: str) -> list[Job]:
    return [each for each in served.bench.jobs.all() if each.words[:1] == [verb]]


@needs_browser
def test_the_page_is_loaded_anew_by_itself(begun, browser, tmp_path):
    browser.get(f"{begun.url}/debrief/{NAME}")
    assert "There is no log" in browser.find_element("id", "arrival").text
    record(begun.home, str(log(tmp_path)))
    waiting(browser, PATIENCE).until(lambda b: not b.find_elements("id", "arrival"))
    assert browser.find_elements("css selector", ".work, .report")
