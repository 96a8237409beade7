"""Long work outlives pages, servers and accidents, and says what became of it."""

from __future__ import annotations

import errno
import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest
from web.serving import copied, serving
from web.test_jobs import PATIENCE, ended, marks_of, under_way

from loftwright.errors import ProblemError
from loftwright.web.jobs import Job, Jobs, State
from loftwright.web.jobs.process import is_alive, mark_of
from loftwright.web.jobs.seals import seal, signed

posix = pytest.mark.skipif(os.name != "posix", reason="signals and /proc are of this system")
MANY = ["forecast", "--flights", "400000"]


def until(holds: Callable[[], object]) -> None:
    """Wait until something holds."""
    end = time.monotonic() + PATIENCE
    while not holds():
        assert time.monotonic() < end, "it never came to that"
        os.sched_yield()


def laid(jobs: Jobs, name: str, *, page: str = "forecast", **files: Any) -> Job:
    """Lay a job's folder down by hand, as ours: ``end={"code": 0}`` makes its end.json."""
    folder = jobs.folder / name
    folder.mkdir(parents=True)
    asked = {"words": ["check", "DIR"], "begun_with": ["check"], "page": page, "title": name}
    stamp = time.mktime(time.strptime(name[:15], "%Y%m%d-%H%M%S"))
    content = {"job": asked | {"started": stamp}, **files}
    for file, what in content.items():
        (folder / f"{file}.json").write_text(json.dumps(what), encoding="utf-8")
    (folder / "job.json").write_text(json.dumps(signed(name, content["job"])), encoding="utf-8")
    if "end" in files:
        seal(folder, (folder / "end.json").read_text("utf-8"))
    return Job(folder)


@contextmanager
def real_server(home: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Serve ``home`` in a process of its own, as a person does."""
    command = [sys.executable, "-m", "loftwright", "serve", str(home), "--port", "0", "--no-open"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env=os.environ | {"PYTHONUNBUFFERED": "1"}
    ) as server:
        assert server.stdout is not None
        said = ""
        while "http://" not in said:
            said = server.stdout.readline()
        try:
            yield server, re.search(r"http://[^\s/]+", said).group()
        finally:
            server.kill()


@posix
def test_work_goes_on_when_the_server_is_killed_and_a_new_one_shows_it(tmp_path: Path) -> None:
    home = copied("sedge-lift", tmp_path / "lift")
    jobs = Jobs(home)
    old = laid(jobs, "20260101-120000-aaa", end={"code": 0, "ended": 1.0})
    asked = json.loads((old.folder / "job.json").read_text()) | {"begun_with": MANY}
    (old.folder / "job.json").write_text(json.dumps(signed(old.id, asked)))
    with real_server(home) as (server, url):
        token = re.search('name="token" content="([^"]+)"', httpx.get(f"{url}/work").text).group(1)
        said = httpx.post(f"{url}/work/{old.id}/again", data={"token": token, "once": "1"})
        job = jobs.find(said.headers["location"].rpartition("/")[2])
        under_way(job)
        server.send_signal(signal.SIGKILL)
        server.wait()
    before = job.progress.done
    until(lambda: job.progress.done > before)
    with serving(home) as served:
        text = httpx.get(f"{served.url}/work/{job.id}").text
        assert "running" in text
        assert "<progress max=" in text
        httpx.post(f"{served.url}/work/{job.id}/cancel", data={"token": served.token})
    assert ended(job).state is State.STOPPED


@posix
def test_the_command_is_watched_when_its_runner_is_killed(tmp_path: Path) -> None:
    jobs = Jobs(copied("sedge-lift", tmp_path / "lift"))
    job = under_way(jobs.start(MANY, page="forecast", title="Many"))
    until(lambda: "command" in marks_of(job))
    os.kill(marks_of(job)["runner"]["pid"], signal.SIGKILL)
    until(lambda: not is_alive(marks_of(job)["runner"]))
    assert job.state is State.RUNNING
    job.cancel()
    assert ended(job).state is State.STOPPED


@posix
def test_a_job_that_was_killed_says_how_to_go_on(tmp_path: Path) -> None:
    home = copied("sedge-lift", tmp_path / "lift")
    kept = str(tmp_path / "flights.parquet")
    with serving(home) as served:
        jobs = served.bench.jobs
        job = under_way(jobs.start([*MANY, "--parquet", kept], page="forecast", title="Many"))
        os.killpg(marks_of(job)["runner"]["pid"], signal.SIGKILL)
        assert ended(job).state is State.BROKEN_OFF
        text = httpx.get(f"{served.url}/work/{job.id}").text
        assert "ended from outside" in text
        assert "Go on from where it was" in text
        sent = {"token": served.token, "how": "go on", "once": "1"}
        places = {
            httpx.post(f"{served.url}/work/{job.id}/again", data=sent).headers["location"]
            for _ in range(2)
        }
        (place,) = places
        again = jobs.find(place.rpartition("/")[2])
        assert again.begun_with[-1] == "--resume"
        under_way(again).cancel()
        ended(again)


@posix
def test_the_command_ends_when_its_folder_is_taken_away(tmp_path: Path) -> None:
    jobs = Jobs(copied("sedge-lift", tmp_path / "lift"))
    job = under_way(jobs.start(MANY, page="forecast", title="Many"))
    until(lambda: "command" in marks_of(job))
    marks = marks_of(job)
    job.folder.rename(tmp_path / "elsewhere")
    until(lambda: not any(map(is_alive, marks.values())))
    assert jobs.all() == []


def test_a_restart_of_the_machine_is_seen(tmp_path: Path) -> None:
    jobs = Jobs(tmp_path)
    mark = mark_of(os.getpid())
    running = laid(jobs, "20260101-120000-aaa", process={"runner": mark})
    restarted = laid(
        jobs, "20260101-120001-bbb", process={"runner": mark | {"boot": "another start"}}
    )
    reused = laid(jobs, "20260101-120002-ccc", process={"runner": mark | {"born": "long ago"}})
    assert running.state is State.RUNNING
    assert restarted.state is State.BROKEN_OFF
    assert reused.state is State.BROKEN_OFF


def test_an_answer_that_nobody_saw_come_is_not_vouched_for(tmp_path: Path) -> None:
    jobs = Jobs(tmp_path)
    whole = laid(jobs, "20260101-120000-aaa", answer={"schema": "loftwright/check/1"})
    wrong = laid(jobs, "20260101-120001-bbb", answer={"schema": "loftwright/problems/1"})
    half = laid(jobs, "20260101-120002-ccc")
    (half.folder / "answer.json").write_text('{"schema": "loftwright/che')
    against = laid(
        jobs, "20260101-120003-ddd", answer={"schema": "loftwright/ledger-ready/1"}, end={"code": 1}
    )
    states = [each.state for each in (whole, wrong, half, against)]
    assert states == [State.NOT_VOUCHED, State.BROKEN_OFF, State.BROKEN_OFF, State.DONE]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a full device is Linux's")
def test_a_full_disk_is_told(tmp_path: Path) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    jobs = Jobs(home)
    job = laid(jobs, "20260101-120000-aaa")
    asked = job.asked | {"whole": ["check", str(home), "--json"]}
    (job.folder / "job.json").write_text(json.dumps(signed(job.id, asked)))
    (job.folder / "answer.json").symlink_to("/dev/full")
    runner = [sys.executable, "-m", "loftwright.web.jobs.runner", str(job.folder)]
    assert subprocess.run(runner, check=False).returncode == 1
    assert job.state is State.FAILED
    assert "No space left" in job.said()
    with serving(home) as served:
        assert "No space left" in httpx.get(f"{served.url}/work/{job.id}").text


def test_work_that_fills_the_disk_can_be_stopped(tmp_path: Path, monkeypatch) -> None:
    jobs = Jobs(copied("sedge-lift", tmp_path / "lift"))
    job = under_way(jobs.start(MANY, page="forecast", title="Many"))

    def full(self: Path, **_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(self))

    monkeypatch.setattr(Path, "touch", full)
    job.cancel()
    assert ended(job).state is State.STOPPED


def test_what_the_system_refuses_is_said_by_the_page(serve, monkeypatch) -> None:
    served = serve("stand-bottle")
    job = laid(served.bench.jobs, "20260101-000000-aaa", end={"code": 0, "ended": 2e9})

    def refused(self: Path, *_: object, **__: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(self))

    for name in ("touch", "rename"):
        monkeypatch.setattr(Path, name, refused)
    monkeypatch.setattr("shutil.rmtree", lambda *_, **__: None)
    for act in ({"act": "pin", "wanted": "yes"}, {"act": "remove"}):
        place = f"{served.url}/work/{job.id}/{act['act']}"
        said = httpx.post(place, data={"token": served.token, **act})
        assert said.status_code == 422
        assert "See whether the" in said.text
    assert job.folder.is_dir()


def test_work_that_cannot_be_begun_is_told_and_leaves_nothing(serve) -> None:
    served = serve("sedge-lift")
    (served.home / ".loftwright").write_text("a file in the way")
    with pytest.raises(ProblemError) as caught:
        served.bench.jobs.start(["check"], page="describe", title="Check")
    assert caught.value.problems[0].code == "work-not-started"
    said = httpx.post(f"{served.url}/ledger/verify", data={"token": served.token})
    assert said.status_code == 422
    assert "cannot be started" in said.text


@pytest.mark.parametrize("content", ["", "{", "[]", "null", '{"done": "x"}', '{"pid": []}', "\x00"])
@pytest.mark.parametrize("file", ["job", "process", "progress", "answer", "end"])
def test_a_broken_folder_breaks_no_page(serve, file: str, content: str) -> None:
    served = serve("stand-bottle")
    job = laid(
        served.bench.jobs,
        "20260101-120000-aaa",
        process={"runner": mark_of(os.getpid())},
        progress={"done": 1, "total": 4, "what": "flights", "rate": None, "left_s": None},
    )
    (job.folder / f"{file}.json").write_text(content)
    for path in ("/", "/work", f"/work/{job.id}", f"/work/{job.id}/card"):
        assert httpx.get(f"{served.url}{path}").status_code == 200


def test_two_servers_on_one_campaign_see_the_same_work(tmp_path: Path) -> None:
    home = copied("sedge-lift", tmp_path / "lift")
    with serving(home) as one, serving(home) as other:
        job = under_way(one.bench.jobs.start(MANY, page="forecast", title="Many"))
        assert [each.id for each in other.bench.jobs.running()] == [job.id]
        httpx.post(f"{other.url}/work/{job.id}/cancel", data={"token": other.token})
        assert ended(job).state is State.STOPPED
        for served in (one, other):
            said = httpx.post(f"{served.url}/work/{job.id}/remove", data={"token": served.token})
            assert said.status_code in (303, 404)
        assert one.bench.jobs.all() == other.bench.jobs.all() == []


def test_old_work_is_swept_but_never_what_runs_is_kept_or_is_the_latest(tmp_path: Path) -> None:
    jobs = Jobs(tmp_path)
    done = {"end": {"code": 0, "ended": 1.0}}
    mark = mark_of(os.getpid())
    running = laid(jobs, "20250101-000000-run", process={"runner": mark})
    pinned = laid(jobs, "20250101-000001-pin", **done)
    pinned.pin(True)
    rare = laid(jobs, "20250101-000002-rar", page="ledger", **done)
    old = [laid(jobs, f"20260101-0000{k:02}-aaa", **done) for k in range(20)]
    jobs.sweep(most=10)
    left = {each.id for each in jobs.all()}
    assert left == {each.id for each in (running, pinned, rare, *old[-7:])}
    pinned.pin(False)
    jobs.sweep(most=0, largest=0)
    assert {each.id for each in jobs.all()} == {running.id, rare.id, old[-1].id}


def test_large_work_is_swept_by_its_size(tmp_path: Path) -> None:
    jobs = Jobs(tmp_path)
    done = {"end": {"code": 0, "ended": 1.0}}
    for k in range(3):
        job = laid(jobs, f"20260101-00000{k}-aaa", **done)
        (job.folder / "report.html").write_bytes(b" " * 4000)
    jobs.sweep(largest=9500)
    assert [each.id for each in jobs.all()] == ["20260101-000002-aaa", "20260101-000001-aaa"]


def test_it_can_be_kept_done_again_and_taken_away_by_its_page(serve) -> None:
    served = serve("stand-bottle")
    job = laid(served.bench.jobs, "20260101-000000-aaa", end={"code": 0, "ended": 2e9},
               answer={"schema": "loftwright/check/1", "name": "<b>x</b>", "list": [{"says": "y"}],
                       "flags": {"one": 1}, "yes": True, "none": []})  # fmt: skip
    place = f"{served.url}/work/{job.id}"
    text = httpx.get(place).text
    assert "&lt;b&gt;x&lt;/b&gt;" in text
    assert httpx.get(f"{place}/answer.json").json()["yes"] is True
    token = {"token": served.token}
    assert httpx.post(f"{place}/pin", data=token | {"wanted": "yes"}).status_code == 303
    assert job.is_pinned
    again = httpx.post(f"{place}/again", data=token).headers["location"]
    assert ended(served.bench.jobs.find(again.rpartition("/")[2])).state is State.DONE
    assert httpx.post(f"{place}/remove", data=token).status_code == 303
    assert httpx.get(place).status_code == 404
    for act in ("again", "remove", "pin", "cancel", "card"):
        assert httpx.post(f"{place}/{act}", data=token).status_code in (404, 405)
