"""A campaign that came from somebody else, with links in it: nothing of the person's is touched."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path

import httpx
import pytest
from web.serving import commanded, copied, serving

from loftwright.documents.worked import Worked, note_worked, refuse_links
from loftwright.errors import ProblemError
from loftwright.web.bench import Bench
from loftwright.web.config import Config
from loftwright.web.debrief.takes import Takes
from loftwright.web.incoming.inbox import Inbox
from loftwright.web.jobs import Jobs

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links need rights on other systems")
PLACES = (
    ".loftwright",
    ".loftwright/jobs",
    ".loftwright/inbox",
    ".loftwright/takes",
    ".loftwright/whatif",
    ".loftwright/worked",
    ".loftwright/debriefs",
    ".loftwright/undo",
    ".loftwright/undo/read",
)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Lay down what a person has elsewhere, old enough to be swept if it were of a campaign."""
    own = tmp_path / "own"
    for name in ("letters/a.txt", "pictures/b.txt", "c.json", "d.toml"):
        path = own / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("kept")
    for each in (*own.rglob("*"), own):
        os.utime(each, (time.time() - 1e7,) * 2)
    return own


def linked(home: Path, place: str, to: Path) -> Path:
    (home / place).parent.mkdir(parents=True, exist_ok=True)
    (home / place).symlink_to(to, target_is_directory=True)
    return home


def seen(folder: Path) -> dict[str, float]:
    return {str(each): each.stat().st_mtime for each in (folder, *folder.rglob("*"))}


@pytest.mark.parametrize("place", PLACES)
def test_a_link_in_the_workplace_is_refused_and_nothing_behind_it_touched(
    place: str, own: Path, tmp_path: Path
) -> None:
    home = linked(copied("stand-bottle", tmp_path / "bottle"), place, own)
    before = seen(own)
    with pytest.raises(ProblemError) as caught:
        Bench(home, Config())
    assert caught.value.problems[0].code == "work-link"
    with pytest.raises(ProblemError):
        Jobs(home).start(["check"], page="describe", title="Check")
    with pytest.raises(ProblemError):
        note_worked(home, Worked(verb="check", of="x"))
    assert seen(own) == before


def test_a_link_to_another_place_of_the_campaign_is_one_too(tmp_path: Path) -> None:
    home = copied("sedge-lift-flown", tmp_path / "flown")
    linked(home, ".loftwright/jobs", home / "flights")
    with pytest.raises(ProblemError, match="leads to another place"):
        Jobs(home).start(["check"], page="describe", title="Check")
    assert list((home / "flights").iterdir())


def test_a_campaign_behind_a_link_is_as_good_as_any(tmp_path: Path) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    (home / ".loftwright" / "jobs").mkdir(parents=True)
    (tmp_path / "link").symlink_to(home, target_is_directory=True)
    refuse_links(tmp_path / "link")
    refuse_links(tmp_path / "link" / "campaign.toml")


def test_the_page_of_several_campaigns_says_why_one_does_not_open(
    own: Path, tmp_path: Path
) -> None:
    several = tmp_path / "several"
    linked(copied("stand-bottle", several / "bottle"), ".loftwright", own)
    with commanded(several) as told:
        address = told["address"].rstrip("/")
        token = httpx.get(address).text.partition('name="token" value="')[2].partition('"')[0]
        said = httpx.post(f"{address}/open/bottle", data={"token": token}, timeout=60)
        assert "leads to another place" in said.text
        assert "take the link away" in said.text


def test_a_link_among_the_jobs_is_none(own: Path, tmp_path: Path) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    linked(home, ".loftwright/jobs/20250101-000000-aaaaaa", own)
    (own / "job.json").write_text("{}")
    before = seen(own)
    jobs = Jobs(home)
    assert jobs.all() == []
    jobs.sweep(most=0, largest=0)
    assert seen(own) == before


def test_a_take_names_no_file_of_the_persons(own: Path, tmp_path: Path) -> None:
    home = copied("stand-bottle", tmp_path / "bottle")
    (home / "board.csv").symlink_to(own / "c.json")
    takes = home / ".loftwright" / "takes"
    takes.mkdir(parents=True)
    for number, file in enumerate(("../../board.csv", "../../../own/c.json", str(own / "c.json"))):
        said = {"file": file, "name": "board.csv", "told": {}, "waits": None}
        name = f"{number:016x}"
        take = {"flight": None, "job": None, "files": [said]}
        (takes / f"{name}.json").write_text(json.dumps(take))
        with pytest.raises(ProblemError, match="do not wait here"):
            Takes(home).find(name)


GOOD = {"file": "../inbox/content", "name": "board.csv", "told": {}, "waits": None}
ODD = (None, 1, True, [], {}, ["a"], {"a": 1}, "\0", "../x", "a" * 5000, "CON", -1e308)


@pytest.mark.parametrize("odd", ODD)
def test_a_take_of_others_is_none_or_one_that_pages_can_show(tmp_path: Path, odd: object) -> None:
    home = copied("sedge-lift", tmp_path / "lift")
    takes = home / ".loftwright" / "takes"
    takes.mkdir(parents=True)
    written = [{"flight": None, "job": None, "files": [{**GOOD, key: odd}]} for key in GOOD]
    written += [{"flight": None, "job": None, "files": [GOOD], key: odd}
                for key in ("flight", "job", "files")]  # fmt: skip
    written += [{"flight": None, "job": None, "files": [{**GOOD, "told": {key: odd}}]}
                for key in ("as", "unit", "scale", "flight_number", "name", "unknown")]  # fmt: skip
    for number, said in enumerate(written):
        (takes / f"{number:016x}.json").write_text(json.dumps(said))
    with serving(home) as served:
        token = {"token": served.token}
        for number in range(len(written)):
            place = f"{served.url}/incoming/{number:016x}"
            assert httpx.get(place).status_code < 500
            for deed in ("look", "leave-out", "drop"):
                assert httpx.post(f"{place}/{deed}", data=token).status_code < 500
        assert httpx.get(f"{served.url}/debrief").status_code < 500


@pytest.mark.parametrize("odd", ODD)
def test_a_file_of_the_inbox_of_others_is_none(tmp_path: Path, odd: object) -> None:
    number = "0" * 16
    home = copied("stand-bottle", tmp_path / "bottle")
    folder = home / ".loftwright" / "inbox" / number
    folder.mkdir(parents=True)
    (folder / "content").write_text("x")
    good = {"id": number, "name": "a.csv", "size": 1, "sha256": "0" * 64, "kind": "log",
            "why": "it has columns", "sure": True}  # fmt: skip
    (folder / "about.json").write_text(json.dumps(good))
    inbox = Inbox(home)
    assert inbox.find(number).name == "a.csv"
    with serving(home) as served:
        for key in good:
            (folder / "about.json").write_text(json.dumps({**good, key: odd}))
            for page in ("/api/inbox", "/debrief", "/ledger/keep"):
                assert httpx.get(f"{served.url}{page}").status_code == 200


@pytest.mark.parametrize("file", ["vehicle.toml", "site.toml"])
def test_a_document_that_is_a_link_is_neither_shown_nor_written(
    own: Path, tmp_path: Path, file: str
) -> None:
    home = copied("sedge-lift", tmp_path / "lift")
    secret = own / "d.toml"
    secret.write_text((home / file).read_text("utf-8") + "\n# 8fd2a1\n", "utf-8")
    (home / file).unlink()
    (home / file).symlink_to(secret)
    before = secret.read_text("utf-8")
    root = file.partition(".")[0]
    with serving(home) as served:
        for path in ("", "/text"):
            said = httpx.get(f"{served.url}/describe/{root}{path}", follow_redirects=True)
            assert said.status_code < 500
            assert "8fd2a1" not in said.text
            sent = {"token": served.token, "text": before + "x = 1\n", "with_errors": "yes"}
            assert httpx.post(f"{served.url}/describe/{root}{path}", data=sent).status_code < 500
    assert secret.read_text("utf-8") == before


@pytest.mark.parametrize("content", ["", "[]", "null", "{", '"x"', "[" * 5000, '{"job": [1]}'])
@pytest.mark.parametrize("place", ["debriefs", "takes", "worked", "undo/journal"])
def test_a_broken_note_breaks_no_page(tmp_path: Path, place: str, content: str) -> None:
    home = copied("sedge-lift-flown", tmp_path / "flown")
    flight = sorted(each.name for each in (home / "flights").iterdir())[0]
    folder = home / ".loftwright" / place
    path = folder.with_suffix(".json") if "/" in place else folder / f"{'a' * 16}.json"
    path.parent.mkdir(parents=True)
    with serving(home) as served:
        if place == "debriefs":
            from loftwright.web.debrief.debriefs import Debriefs

            path = Debriefs(served.bench, flight)._note(["debrief", flight], ledger=True)
        path.write_text(content)
        for page in ("/", "/debrief", "/describe", f"/incoming/{'a' * 16}"):
            assert httpx.get(f"{served.url}{page}", timeout=60).status_code < 500
