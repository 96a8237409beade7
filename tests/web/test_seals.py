"""What a campaign from somebody else brings as work is not shown as ours, nor begun for them."""

from __future__ import annotations

import json
import os
import shutil
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx
import pytest
from browsing import look, needs_browser
from web.serving import copied, serving, vouched
from web.test_jobs import ended

from loftwright.web.api.verbs import VERBS, is_listed
from loftwright.web.jobs import Job, Jobs, State, seals

NAME = "20260101-120000-abcdef"
posix = pytest.mark.skipif(os.name != "posix", reason="modes and links are of this system")

# Markup that no policy of scripts stops, and markup that should not run where all else fails.
HOSTILE = (
    '<form method="post" action="/work/x/remove"><button>Keep for good</button></form>',
    '<form action="https://elsewhere.example/"><input name="code"><button>Log in</button></form>',
    '<meta http-equiv="refresh" content="0;url=https://elsewhere.example/">',
    "<style>header{display:none}</style>",
    '<link rel="stylesheet" href="https://elsewhere.example/x.css">',
    '<link rel="prefetch" href="/ledger/export.zip">',
    '<base href="https://elsewhere.example/">',
    '<iframe src="/phone"></iframe>',
    '<object data="/phone"></object><embed src="/phone">',
    "<svg><foreignObject><form action='/work/x/remove'></form></foreignObject></svg>",
    "<svg><a xlink:href='javascript:alert(1)'><text>x</text></a></svg>",
    '<a href="javascript:alert(1)">More</a><a href="data:text/html,x">More</a>',
    '<img src="/x" onerror="alert(1)"><p onclick="alert(1)">x</p>',
    '<p hx-get="/phone" hx-trigger="load">x</p>',
    '<p id="main" data-copy="rm -rf ~">x</p><meta name="token" content="mine">',
    "</main></body><main>x</main>",
    "<p>The vehicle is safe at 40 bar.</p>",
)


def brought(home: Path, *, words: tuple[str, ...] = ("check",), report: str = "x") -> Job:
    """Lay work down as a campaign from elsewhere brings it, with a mark that we did not make."""
    folder = home / ".loftwright" / "jobs" / NAME
    (folder / "strips").mkdir(parents=True)
    asked = {"words": [*words], "begun_with": [*words], "page": "forecast", "title": "A forecast"}
    content: dict[str, Any] = {
        "job.json": {**asked, "started": 1e9, "seal": "0" * 64},
        "answer.json": {"schema": "loftwright/forecast/1", "name": "a false answer"},
        "end.json": {"code": 0, "ended": 1e9 + 1},
        "seal.json": {"files": {"job.json": "0" * 64}, "seal": "0" * 64},
    }
    for name, what in content.items():
        (folder / name).write_text(json.dumps(what), encoding="utf-8")
    (folder / "said.txt").write_text("a false word", encoding="utf-8")
    page = f"<!doctype html><html><body><main>{report}</main></body></html>"
    (folder / "report.html").write_text(page, encoding="utf-8")
    return Job(folder)


@pytest.mark.parametrize("report", HOSTILE)
def test_markup_of_others_is_no_part_of_our_pages(serve, report: str) -> None:
    served = serve("stand-bottle")
    job = brought(served.home, report=report)
    assert job.state is State.NOT_VOUCHED
    for path in ("/work", f"/work/{job.id}", f"/work/{job.id}/card", "/", "/forecast",
                 f"/rehearse/{job.id}", f"/rehearse/{job.id}/report",
                 f"/rehearse/tune/{job.id}"):  # fmt: skip
        said = httpx.get(served.url + path, follow_redirects=True)
        assert said.status_code == 200
        assert report not in said.text
        assert "a false" not in said.text
    assert "Nobody on this machine saw" in httpx.get(f"{served.url}/work/{job.id}").text
    assert httpx.get(f"{served.url}/api/jobs/{job.id}/answer").status_code == 409


def test_a_report_of_others_is_a_page_that_may_do_nothing(serve) -> None:
    served = serve("stand-bottle")
    job = brought(served.home)
    said = httpx.get(f"{served.url}/work/{job.id}/report.html")
    rules = dict(each.partition(" ")[::2] for each in
                 said.headers["content-security-policy"].split("; "))  # fmt: skip
    assert rules["sandbox"] == ""  # no allowance
    assert rules["default-src"] == rules["form-action"] == rules["base-uri"] == "'none'"
    assert "script-src" not in rules
    (job.folder / "report.html").unlink()
    (job.folder / "report.html").mkdir()
    assert httpx.get(f"{served.url}/work/{job.id}/report.html").status_code == 404


@needs_browser
def test_a_browser_shuts_it_off(serve, browser) -> None:
    from selenium.webdriver.common.by import By

    served = serve("stand-bottle")
    own = f"{served.url}/work/{NAME}"
    report = (
        f'<meta http-equiv="refresh" content="0;url={served.url}/ledger">'
        f'<form method="post" action="{own}/remove"><button id="go">Remove</button></form>'
        f'<a id="away" href="{served.url}/ledger">x</a><p id="told">as it was</p>'
        "<script>document.getElementById('told').textContent = 'run'</script>"
    )
    job = brought(served.home, report=report)
    look(browser, f"{own}/report.html")
    browser.find_element(By.ID, "go").click()
    assert browser.find_element(By.ID, "told").text == "as it was"
    assert browser.current_url == f"{own}/report.html"
    browser.find_element(By.ID, "away").click()
    assert "asked for by a page of another site" in browser.page_source
    assert job.folder.exists()
    browser.get_log("browser")  # of what was refused: none of it is ours


@pytest.mark.parametrize(
    "words",
    [
        ("forecast", "--parquet", "/tmp/anything"),
        ("forecast", "--report=/tmp/anything"),
        ("forecast", "--workers", "elsewhere.example:1"),
        ("compare", "/etc"),
        ("strip", "/etc/passwd"),
        ("serve",),
        ("record", "a", "/etc/passwd"),
        ("debrief", "a", "--log", "/etc/passwd"),
        ("--help",),
        (),
    ],
)
def test_nothing_is_begun_for_others_that_could_write_or_reach_out(serve, words) -> None:
    served = serve("stand-bottle")
    job = brought(served.home, words=words)
    assert "Work it out here" not in httpx.get(f"{served.url}/work/{job.id}").text
    sent = {"token": served.token, "once": "1"}
    said = httpx.post(f"{served.url}/work/{job.id}/again", data=sent)
    assert said.status_code == 422
    assert "nothing that is begun for others" in said.text
    assert served.bench.jobs.all() == [job]


def test_what_others_asked_for_is_worked_out_here_under_its_own_words(serve) -> None:
    served = serve("stand-bottle")
    job = brought(served.home, words=("check",))
    text = httpx.get(f"{served.url}/work/{job.id}").text
    assert "Work it out here" in text
    assert f"<code>loftwright check {served.home}</code>" in text
    sent = {"token": served.token, "once": "1"}
    place = httpx.post(f"{served.url}/work/{job.id}/again", data=sent).headers["location"]
    own = ended(served.bench.jobs.find(place.rpartition("/")[2]))
    assert (own.state, own.title) == (State.DONE, "check")


def test_every_verb_of_the_list_is_listed_and_no_option_besides() -> None:
    for verb in VERBS.values():
        arguments = ["x"] * len(verb.arguments)
        assert is_listed([verb.name, *arguments]) is (verb.files is None), verb
        assert not is_listed([verb.name, *arguments, "--report", "x"])


# ---------------------------------------------------------------- the seal itself


@pytest.fixture
def sealed(tmp_path: Path) -> Job:
    job = brought(tmp_path)
    (job.folder / "strips" / "0.npz").write_bytes(b"a strip")
    job = vouched(job.folder)
    assert job.state is State.DONE
    assert "x" in job.report_main()
    return job


@pytest.mark.parametrize(
    "name", ["job.json", "answer.json", "said.txt", "report.html", "end.json", "strips/0.npz"]
)
@pytest.mark.parametrize("how", ["changed", "gone", "linked"])
def test_a_seal_is_of_every_file_as_it_was(sealed: Job, name: str, how: str) -> None:
    path = sealed.folder / name
    content = path.read_bytes()
    path.unlink()
    if how == "changed":
        path.write_bytes(content + b" ")
    elif how == "linked":
        elsewhere = sealed.folder / "elsewhere"
        elsewhere.write_bytes(content)
        path.symlink_to(elsewhere)
    assert not sealed.is_vouched_for
    assert sealed.report_main() == ""
    assert sealed.answer() is None
    path.unlink(missing_ok=True)
    path.write_bytes(content)
    assert sealed.is_vouched_for


def test_a_seal_is_of_no_file_that_came_later_and_of_no_other_folder(sealed: Job) -> None:
    other = sealed.folder.with_name("20260101-120000-fedcba")
    shutil.copytree(sealed.folder, other)
    assert not Job(other).is_vouched_for
    (sealed.folder / "strips" / "1.npz").write_bytes(b"a strip")
    assert sealed.state is State.NOT_VOUCHED
    (sealed.folder / "strips" / "1.npz").unlink()
    sealed.folder.joinpath("strips").rename(sealed.folder / "elsewhere")
    (sealed.folder / "strips").symlink_to(sealed.folder / "elsewhere")
    assert sealed.state is State.NOT_VOUCHED


@pytest.mark.parametrize(
    "seal",
    ["", "[]", '{"files": []}', '{"files": {"a": []}, "seal": "x"}', "[" * 9000, '{"seal": 1}'],
)
def test_a_broken_seal_is_none(sealed: Job, seal: str) -> None:
    (sealed.folder / "seal.json").write_text(seal)
    assert sealed.state is State.NOT_VOUCHED


def test_what_was_begun_here_and_broken_off_is_ours(tmp_path: Path) -> None:
    job = brought(tmp_path)
    for name in ("answer.json", "end.json", "seal.json"):
        (job.folder / name).unlink()
    assert job.state is State.NOT_VOUCHED
    assert job.said() == ""
    asked = {key: each for key, each in job.asked.items() if key != "seal"}
    (job.folder / "job.json").write_text(json.dumps(seals.signed(job.id, asked)))
    assert job.state is State.BROKEN_OFF
    assert job.said() == "a false word"


def test_another_machine_vouches_for_nothing_here(tmp_path: Path, elsewhere) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    said = "import sys; from loftwright.web.jobs import Jobs; from pathlib import Path; " \
           "job = Jobs(Path(sys.argv[1])).start(['check'], page='describe', title='Check'); " \
           "exec('while job.state.value == \"running\": pass'); print(job.state.value)"  # fmt: skip
    run = [sys.executable, "-c", said, str(home)]
    there = subprocess.run(run, env=elsewhere, capture_output=True, text=True, check=True)
    assert there.stdout.strip() == "done"
    (job,) = Jobs(home).all()
    assert job.state is State.NOT_VOUCHED
    again = Jobs(home).start(["check"], page="describe", title="Check")
    assert ended(again).state is State.DONE


# ---------------------------------------------------------------- the key


def test_the_tests_have_a_key_of_their_own(state_of_its_own: Path, tmp_path: Path) -> None:
    run = [sys.executable, "-c", "from loftwright.web.jobs import seals; print(seals.key_path())"]
    child = subprocess.run(run, capture_output=True, text=True, check=True).stdout.strip()
    assert Path(child) == seals.key_path()
    assert seals.key_path().is_relative_to(state_of_its_own)
    jobs = Jobs(copied("stand-bottle", tmp_path / "bottle"))
    assert ended(jobs.start(["check"], page="describe", title="Check")).state is State.DONE
    assert seals.key_path().is_file()  # thread and processes have used it


@pytest.fixture
def elsewhere(tmp_path: Path) -> dict[str, str]:
    """Return the environment of another machine, or of another person on this one."""
    there = os.environ | {name: str(tmp_path / "home") for name in ("HOME", "XDG_STATE_HOME")}
    there.pop(seals.VARIABLE, None)
    return there


def key_in(environment: dict[str, str]) -> tuple[str, bool]:
    said = "from loftwright.web.jobs import seals; print(seals._key().hex(), seals.key_is_kept())"
    run = [sys.executable, "-c", said]
    found = subprocess.run(run, env=environment, capture_output=True, text=True, check=True)
    key, kept = found.stdout.split()
    return key, kept == "True"


@posix
def test_the_key_is_made_once_whoever_comes_first_and_is_nobody_elses(elsewhere) -> None:
    with ThreadPoolExecutor(3) as several:
        found = set(several.map(key_in, [elsewhere] * 3))
    assert len(found) == 1
    ((key, kept),) = found
    assert kept
    (path,) = Path(elsewhere["XDG_STATE_HOME"]).rglob("seal.key")
    assert path.read_bytes().hex() == key
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert len(list(path.parent.iterdir())) == 1
    path.write_bytes(b"half")  # no key: another takes its place
    assert key_in(elsewhere)[0] != key


@posix
def test_where_no_key_can_be_kept_it_lasts_as_long_as_the_server(elsewhere, tmp_path: Path) -> None:
    (tmp_path / "home").write_text("a file in the way")
    (one, kept), (other, _) = key_in(elsewhere), key_in(elsewhere)
    assert one != other
    assert not kept
    assert key_in(elsewhere | {seals.VARIABLE: one})[0] == one  # as its children have it


def test_the_page_of_work_says_that_no_key_can_be_kept(serve, monkeypatch) -> None:
    served = serve("stand-bottle")
    assert "cannot be written" not in httpx.get(f"{served.url}/work").text
    monkeypatch.setenv(seals.VARIABLE, "0" * 64)
    text = httpx.get(f"{served.url}/work").text
    assert str(seals.key_path()) in text
    assert "until the workbench is closed" in text


def test_two_servers_vouch_for_the_same(tmp_path: Path) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    with serving(home) as one, serving(home) as other:
        job = ended(one.bench.jobs.start(["check"], page="describe", title="Check"))
        assert other.bench.jobs.find(job.id).state is State.DONE
