"""Long work beside the pages: it runs as the command does, and can be watched and stopped."""

from __future__ import annotations

import json
import os
import secrets
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest
from browsing import findings_of_axe, is_quiet, look, needs_browser, waiting
from web.serving import copied

from loftwright.errors import ProblemError
from loftwright.web.jobs import Job, Jobs, State, turns
from loftwright.web.jobs.process import mark_of
from loftwright.web.jobs.turns import AT_ONCE

PATIENCE = 120.0


def ended(job: Job) -> Job:
    """Wait for a job to end."""
    until = time.monotonic() + PATIENCE
    while job.state is State.RUNNING:
        assert time.monotonic() < until, job.said()
        os.sched_yield()
    return job


def under_way(job: Job) -> Job:
    """Wait until a job has said how far it is."""
    until = time.monotonic() + PATIENCE
    while job.progress is None:
        assert time.monotonic() < until, job.said()
        os.sched_yield()
    return job


def marks_of(job: Job) -> dict[str, dict[str, int]]:
    """Return the marks of the processes that run a job."""
    found = json.loads((job.folder / "process.json").read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def test_a_job_answers_as_the_command_does(tmp_path: Path) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    job = ended(Jobs(home).start(["check"], page="describe", title="Check"))
    assert job.state is State.DONE, job.said()
    command = [sys.executable, "-m", "loftwright", "check", str(home), "--json"]
    said = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    assert job.answer() == json.loads(said)
    assert job.command == f"loftwright check {home}"


def test_a_job_that_fails_says_why(tmp_path: Path) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    (home / "vehicle.toml").write_text("nonsense", encoding="utf-8")
    job = ended(Jobs(home).start(["check"], page="describe", title="Check"))
    assert job.state is State.FAILED
    assert job.problems()


def test_a_job_is_stopped_and_removed(tmp_path: Path) -> None:
    jobs = Jobs(copied("sedge-lift", tmp_path / "lift"))
    job = under_way(jobs.start(["forecast", "--flights", "200000"], page="forecast", title="Many"))
    assert jobs.running() == [job]
    job.cancel()
    assert ended(job).state is State.STOPPED
    jobs.remove(job)
    assert jobs.all() == []


def test_a_process_that_was_killed_is_told(tmp_path: Path) -> None:
    jobs = Jobs(copied("sedge-lift", tmp_path / "lift"))
    job = under_way(jobs.start(["forecast", "--flights", "200000"], page="forecast", title="Many"))
    os.killpg(marks_of(job)["runner"]["pid"], signal.SIGKILL)
    assert ended(job).state is State.BROKEN_OFF


@needs_browser
def test_work_is_watched_in_the_browser(serve, browser) -> None:
    served = serve("stand-bottle")
    job = served.bench.jobs.start(["firing"], page="forecast", title="A firing")
    look(browser, f"{served.url}/work/{job.id}")
    waiting(browser, PATIENCE).until(
        lambda b: "done" in b.find_element("css selector", ".work .state").text
    )
    assert "On the pad" in browser.find_element("tag name", "main").text
    is_quiet(browser, served.url)
    assert findings_of_axe(browser) == []


@pytest.mark.parametrize("token", ["", "wrong"])
def test_who_does_not_know_the_token_changes_nothing(serve, token: str) -> None:
    served = serve("stand-bottle")
    for sent in ({"data": {"token": token}}, {"headers": {"X-Loftwright-Token": token}}):
        assert httpx.post(f"{served.url}/work/none/cancel", **sent).status_code == 403


def test_work_takes_turns_in_order(tmp_path: Path) -> None:
    jobs = Jobs(copied("sedge-lift", tmp_path / "lift"))
    many = ["forecast", "--flights", "200000"]
    going = [under_way(jobs.start(many, page="forecast", title="Many")) for _ in range(AT_ONCE)]
    queued = [jobs.start(["forecast"], page="forecast", title="One") for _ in range(2)]
    until = time.monotonic() + PATIENCE
    while not all(job.is_waiting for job in queued):
        assert time.monotonic() < until
        os.sched_yield()
    quick = ended(jobs.start(["check"], page="describe", title="Check"))  # overtakes them all
    assert quick.state is State.DONE
    assert all(job.is_waiting and job.state is State.RUNNING for job in queued)
    queued[0].cancel()
    assert ended(queued[0]).state is State.STOPPED
    going[0].cancel()
    assert ended(queued[1]).state is State.DONE
    going[1].cancel()
    ended(going[1])


def test_the_order_is_that_of_asking_whatever_the_clock_says(tmp_path: Path, monkeypatch) -> None:
    """Two servers on one folder, a clock that is set back, and names that sort the other way."""
    home = copied("stand-bottle", tmp_path / "bottle")
    servers = (Jobs(home), Jobs(home))
    running = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    monkeypatch.setattr(Jobs, "_run", lambda _self, _folder: running)
    moment = time.time()
    names = iter(range(0xFFFFFF, 0, -1))
    monkeypatch.setattr("loftwright.web.jobs.shelf.secrets.token_hex", lambda _: f"{next(names):x}")
    asked = []
    for number in range(6):
        monkeypatch.setattr("time.time", lambda back=number: moment - 3600.0 * back)
        asked.append(servers[number % 2].start(["firing"], page="forecast", title=str(number)))
    found = servers[0].all()
    line = sorted(turns.waiting(servers[0].folder))
    said_to_wait = [job.is_waiting for job in asked]
    running.communicate(b"\n")
    assert [job.title for job in found] == ["5", "4", "3", "2", "1", "0"]
    assert [name for _, name in line] == [job.id for job in asked]
    assert not any(said_to_wait)  # none of them has come to its place yet
    assert turns.waiting(servers[0].folder) == []  # of what has ended nobody waits


def test_who_asked_first_goes_first(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(turns, "AT_ONCE", 1)
    monkeypatch.setattr(turns, "PAUSE", 1e-3)
    names = [secrets.token_hex(3) for _ in range(8)]
    for order, name in enumerate(names):  # as `Jobs.start` leaves them
        (tmp_path / name).mkdir()
        turns.take_place(tmp_path / name, order, mark_of(os.getpid()), is_here=False)
    went: list[str] = []

    def go(order: int) -> None:
        with turns.my_turn(tmp_path / names[order], order):
            went.append(names[order])

    with ThreadPoolExecutor(len(names)) as pool:
        list(pool.map(go, reversed(range(len(names)))))
    assert went == names


def test_no_more_waits_than_anybody_looks_for(tmp_path: Path, monkeypatch) -> None:
    jobs = Jobs(copied("stand-bottle", tmp_path / "bottle"))
    monkeypatch.setattr("loftwright.web.jobs.shelf.waiting", lambda _folder: [(1, "one")] * 20)
    with pytest.raises(ProblemError, match="20 others wait"):
        jobs.start(["forecast"], page="forecast", title="One")
    assert jobs.all() == []


def test_no_more_runs_than_a_machine_can_do(tmp_path: Path, monkeypatch) -> None:
    jobs = Jobs(copied("stand-bottle", tmp_path / "bottle"))
    monkeypatch.setattr(Jobs, "running", lambda own: [Job(own.folder)] * 32)
    with pytest.raises(ProblemError, match="32 others run or wait"):
        jobs.start(["check"], page="describe", title="Check")
    assert jobs.all() == []
