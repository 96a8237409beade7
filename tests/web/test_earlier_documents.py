"""What is shown of earlier documents says so, whatever changed them, and says it no more when they
are again what they were.
"""

from __future__ import annotations

import json
import os
import shutil

import httpx
import pytest
from web.serving import copied, vouched

from loftwright.web.jobs import Job, Jobs
from loftwright.web.jobs.seals import signed
from loftwright.web.jobs.stand import what_would_fly

SAYS = "The documents have changed since: this is of the earlier ones."
DOCUMENTS = ("vehicle.toml", "payload.toml", "site.toml", "avionics.toml", "program-board.toml")


def laid(jobs: Jobs, words: list[str], number: int = 1, **answer: object) -> Job:
    """Lay down a job that is done, as `Jobs.start` and its runner leave it."""
    folder = jobs.folder / f"20260101-00000{number}-abcdef"
    folder.mkdir(parents=True)
    whole = [words[0], str(jobs.home), *words[1:]]
    asked = {
        "words": whole, "whole": whole, "begun_with": words, "title": " ".join(words),
        "page": "forecast", "order": number, "started": 1.0, "made_of": what_would_fly(jobs.home),
    }  # fmt: skip
    (folder / "job.json").write_text(json.dumps(signed(folder.name, asked)), "utf-8")
    said = {"schema": f"loftwright/{words[0]}/1", **answer}
    (folder / "answer.json").write_text(json.dumps(said), "utf-8")
    return vouched(folder)


@pytest.fixture
def jobs(tmp_path):
    return Jobs(copied("sedge-lift", tmp_path / "lift"))


def edited(path, text: str) -> None:
    path.write_text(path.read_text("utf-8") + text, "utf-8")


@pytest.mark.parametrize("file", DOCUMENTS)
def test_each_document_makes_it_one_of_earlier_ones(jobs, file) -> None:
    job, path = laid(jobs, ["forecast", "--flights", "400"]), jobs.home / file
    before = path.read_bytes()
    assert not job.is_of_earlier
    edited(path, "\n# another\n")
    assert job.is_of_earlier
    path.write_bytes(before)
    assert not job.is_of_earlier


def test_a_program_put_in_the_place_of_another_with_its_time_and_size_is_seen(jobs) -> None:
    job, path = laid(jobs, ["rehearse"]), jobs.home / "program-board.toml"
    state, text = path.stat(), path.read_text("utf-8")
    place = text.index("=") + 1
    other = jobs.home / "other.txt"
    other.write_text(text[:place] + "\t" + text[place + 1 :], "utf-8")
    os.utime(other, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert not job.is_of_earlier
    os.replace(other, path)
    assert job.is_of_earlier


def test_another_file_of_the_same_role_and_one_that_goes_are_seen(jobs) -> None:
    job, head = laid(jobs, ["forecast"]), jobs.home / "campaign.toml"
    text = head.read_text("utf-8")
    shutil.copy(jobs.home / "site.toml", jobs.home / "meadow.toml")
    head.write_text(text.replace('"site.toml"', '"meadow.toml"'), "utf-8")
    assert job.is_of_earlier
    head.write_text(text, "utf-8")
    assert not job.is_of_earlier
    (jobs.home / "site.toml").unlink()
    assert job.is_of_earlier


def test_another_question_changes_nothing_that_flies(jobs) -> None:
    job, head = laid(jobs, ["forecast"]), jobs.home / "campaign.toml"
    lines = head.read_text("utf-8").splitlines()
    told = ['question = "Another?"' if each.startswith("question") else each for each in lines]
    head.write_text("\n".join(told) + "\n", "utf-8")
    assert not job.is_of_earlier


def test_what_is_of_a_flight_or_wrote_itself_is_of_no_documents(jobs) -> None:
    told = [laid(jobs, words, number) for number, words in enumerate(
        (["debrief", "a"], ["causes", "a"], ["fit", "a", "--write"], ["ledger", "verify"]), 1
    )]  # fmt: skip
    edited(jobs.home / "vehicle.toml", "\n# another\n")
    assert [each.is_of_earlier for each in told] == [False] * 4


def test_who_alters_what_it_was_made_of_is_not_vouched_for(jobs) -> None:
    job = laid(jobs, ["forecast"])
    edited(jobs.home / "vehicle.toml", "\n# another\n")
    asked = job.asked | {"made_of": what_would_fly(jobs.home)}
    (job.folder / "job.json").write_text(json.dumps(asked), "utf-8")
    assert not job.is_ours


def test_pages_say_it(serve) -> None:
    served = serve("sedge-lift")
    answer = {"values": {"vehicle.fill.water_volume": 8e-4}}
    job = laid(served.bench.jobs, ["best", "--aim", "most apogee"], **answer)
    pages = ("/", "/forecast", f"/work/{job.id}", "/work")
    for path in pages:
        assert SAYS not in httpx.get(served.url + path).text, path
    edited(served.home / "site.toml", "\n# another\n")
    for path in pages:
        assert SAYS in httpx.get(served.url + path).text, path
