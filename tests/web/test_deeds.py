"""What a page says was done is so: no address alone makes it say so, nor what has changed since."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import httpx
import pytest
from web.every_page import FLIGHT
from web.serving import vouched
from web.test_describe import Person

from loftwright.web.deeds import MOST, Deed, Deeds

WATER = "vehicle.fill.water_volume"
CLAIMS = (
    "Written into",
    "Taken back",
    "Saved",
    "data-saved",  # by which the browser forgets what was typed and is not saved
    "nothing had to be written",
    "Others had changed",
)


@pytest.fixture
def person(serve) -> Person:
    return Person(serve("sedge-lift"))


@pytest.mark.parametrize(
    "address",
    [
        f"/forecast?wrote={WATER}",
        "/forecast?back=1%20value%20of%20a%20what-if",
        "/describe/vehicle?saved=1&kept=fill.water_volume",
        "/describe/vehicle?saved=0",
        "/describe/vehicle/text?saved=1",
    ],
)
def test_no_address_makes_a_page_say_that_something_was_done(person: Person, address: str) -> None:
    page = person.get(address)
    assert page.status_code == 200
    main = page.text.partition("<main")[2]
    assert [claim for claim in CLAIMS if claim in main] == []


def written(person: Person, text: str) -> str:
    answer = person.send("/forecast/write", {"set": f"{WATER}={text}"})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_what_the_sliders_wrote_is_said_as_long_as_it_stands(person: Person) -> None:
    place = written(person, "0.81 L")
    assert f"Written into the documents: {WATER}." in person.get(place).text
    page = person.get("/forecast").text
    assert "Written into" not in page
    (change,) = re.findall(r'name="change" value="(\w+)"', page)
    back = person.send("/forecast/undo", {"change": change}).headers["location"]
    assert "Taken back: 1 value of a what-if." in person.get(back).text
    assert "Written into" not in person.get(place).text
    person.send("/describe/undo", {"again": "yes"})
    assert "Taken back" not in person.get(back).text
    assert f"Written into the documents: {WATER}." in person.get(place).text  # it stands again
    assert "Taken back" not in person.get(back.replace("back=", "wrote=")).text
    vehicle = person.served.home / "vehicle.toml"
    vehicle.write_text(vehicle.read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
    assert "Written into" not in person.get(place).text


def test_what_was_saved_is_said_of_its_document_as_long_as_it_stands(person: Person) -> None:
    fields = person.open("/describe/vehicle") | {"f:fill.water_volume": "0.81 L"}
    place = person.send("/describe/vehicle", fields).headers["location"]
    assert "Saved: 1 field." in person.get(place).text
    for other in ("/describe/site", "/describe/vehicle/text"):
        assert "Saved" not in person.get(place.replace("/describe/vehicle", other)).text
    person.send("/describe/undo", {})
    assert "Saved" not in person.get(place).text


def test_a_text_that_was_saved_is_said_once_it_is(person: Person) -> None:
    page = person.get("/describe/site/text").text
    (text,) = re.findall(r"<textarea[^>]*>\n?(.*?)</textarea>", page, re.S)
    (based_on,) = re.findall(r'name="based_on" value="(\w+)"', page)
    sent = {"text": unescape(text) + "\n# mine\n", "based_on": based_on}
    place = person.send("/describe/site/text", sent).headers["location"]
    assert "data-saved" in person.get(place).text
    assert "data-saved" not in person.get(place.replace("site", "vehicle")).text
    person.send("/describe/undo", {})
    assert "data-saved" not in person.get(place).text


def test_only_what_was_kept_is_shown_as_kept(serve) -> None:
    served = serve("sedge-lift-flown")
    said = {"schema": "loftwright/debrief/1", "kept": ["The figures are in the ledger."]}
    for number, more in ("1", []), ("2", ["--keep"]):
        folder = served.bench.jobs.folder / f"20260101-120000-00000{number}"
        folder.mkdir(parents=True)
        words = ["debrief", str(served.home), FLIGHT, *more]
        asked = {"words": words, "page": "debrief", "title": "A debrief", "started": 1e9}
        (folder / "job.json").write_text(json.dumps(asked), encoding="utf-8")
        (folder / "answer.json").write_text(json.dumps(said), encoding="utf-8")
        job = vouched(folder)
        page = httpx.get(f"{served.url}/debrief/{FLIGHT}?shown={job.id}&kept={job.id}", timeout=60)
        section = page.text.partition('<section id="kept"')[2].partition("</section>")[0]
        assert ("The figures are in the ledger." in section) is ("--keep" in more)
        assert ("To the ledger" in section) is ("--keep" in more)


def test_deeds_are_remembered_in_bounds(tmp_path: Path) -> None:
    deeds = Deeds(tmp_path)
    keys = [deeds.note(Deed("form", {"vehicle.toml": None})) for _ in range(MOST + 1)]
    assert len(set(keys)) == len(keys)
    assert deeds.standing(keys[0], "form") is None
    assert deeds.standing(keys[1], "form") is not None
    assert deeds.standing(keys[1], "text") is None
    (tmp_path / "vehicle.toml").mkdir()  # what cannot be read does not stand
    assert deeds.standing(keys[1], "form") is None
