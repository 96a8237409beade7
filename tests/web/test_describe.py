"""The pages of the documents: what is saved, what is refused, what two people do at once."""

from __future__ import annotations

import hashlib
import re
import tomllib
from html import unescape
from typing import Any

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.edit import with_values
from loftwright.documents.reading import MODELS
from loftwright.documents.template import starter
from loftwright.web.describe.draft import Draft, draft_of, edit_of
from loftwright.web.describe.form import addable, sections
from loftwright.web.posting import Form

INPUT = re.compile(r'<(?:input|select|textarea)[^>]*name="(f:[^"]+)"[^>]*data-was="([^"]*)"')


class Person:
    """Somebody with a page open."""

    def __init__(self, served: Any) -> None:
        self.served = served

    def get(self, path: str) -> httpx.Response:
        return httpx.get(self.served.url + path)

    def open(self, path: str) -> dict[str, str]:
        """Open a form, and return what a browser would send of it."""
        page = self.get(path)
        assert page.status_code == 200, page.text
        based_on = re.search(r'name="based_on" value="(\w+)"', page.text)
        fields = {name: unescape(value) for name, value in INPUT.findall(page.text)}
        return {**fields, "based_on": based_on.group(1) if based_on else ""}

    def send(self, path: str, fields: dict[str, Any]) -> httpx.Response:
        return httpx.post(self.served.url + path, data={**fields, "token": self.served.token})

    def vehicle(self) -> dict[str, Any]:
        return tomllib.loads((self.served.home / "vehicle.toml").read_text(encoding="utf-8"))


@pytest.fixture
def person(serve) -> Person:
    return Person(serve("sedge-lift"))


def test_every_document_of_every_example_opens_and_saves_nothing_unchanged(serve) -> None:
    for example in ("sedge-lift", "sedge-lift-mended", "stand-bottle", "terrace-stages"):
        person = Person(serve(example))
        before = {path: path.read_bytes() for path in person.served.home.glob("*.toml")}
        pages = re.findall(r'href="(/describe/[^"/]+)"', person.get("/describe").text)
        assert len(pages) >= 3
        assert "still the example" not in person.get("/describe").text
        for page in dict.fromkeys(pages):
            if "program." in page:
                assert person.get(f"{page}/text").status_code == 200
                continue
            fields = person.open(page)
            assert person.send(page, fields).status_code == 303
        assert {path: path.read_bytes() for path in before} == before


def test_only_changed_fields_are_written(person) -> None:
    before = (person.served.home / "vehicle.toml").read_text(encoding="utf-8")
    fields = person.open("/describe/vehicle")
    fields["f:fill.water_volume"] = "0.81 L"
    answer = person.send("/describe/vehicle", fields)
    place = answer.headers["location"]
    assert place.startswith("/describe/vehicle?saved=")
    assert "Saved: 1 field." in person.get(place).text
    after = (person.served.home / "vehicle.toml").read_text(encoding="utf-8")
    assert after == with_values(before, {"fill.water_volume": "0.81 L"})
    assert person.send("/describe/undo", {}).status_code == 303
    assert (person.served.home / "vehicle.toml").read_text(encoding="utf-8") == before
    person.send("/describe/undo", {"again": "yes"})
    assert person.vehicle()["fill"]["water_volume"] == "0.81 L"


def test_numbers_of_thousands_of_digits_are_no_fault(person) -> None:
    long = "9" * 5000  # more than Python turns into a number
    fields = {**person.open("/describe/vehicle"), f"f:vessel.{long}.volume": "1 L"}
    for path in ("/describe/vehicle", "/describe/vehicle/form", "/describe/vehicle/check"):
        assert person.send(path, fields).status_code < 500
    text = {"merged": "yes", "text": "x", "based_on": "", "now": "", f"pick:{long}": "yours"}
    assert person.send("/describe/vehicle/text", text).status_code < 500


def test_what_is_wrong_is_said_at_its_field_and_nothing_is_lost(person) -> None:
    fields = person.open("/describe/vehicle") | {"f:fill.water_volume": "a lot", "f:name": "Mine"}
    answer = person.send("/describe/vehicle", fields)
    assert answer.status_code == 422
    assert 'value="a lot"' in answer.text
    assert 'value="Mine"' in answer.text
    row = answer.text.partition('name="f:fill.water_volume"')[2].partition("</div>")[0]
    assert 'aria-invalid="true"' in row
    assert "! " in row
    assert '<a href="#f-fill-water_volume">Fill: water volume</a>' in answer.text
    assert person.vehicle()["name"] != "Mine"


@pytest.mark.parametrize(
    ("field", "typed", "mend"),
    [
        ("mass.dry", "-212 g", "correct it, e.g. 186 g ± 1 g"),
        ("vessel.0.wall", "", "write it here, e.g. 0.012 in ± 0.0012 in"),
        ("fins.0.count", "3.5", "write it in digits, e.g. 4"),
        ("fill.gauge_pressure", "75", 'put the unit behind the number, e.g. "60 psi ± 2 psi"'),
    ],
)
def test_a_field_is_mended_without_what_only_a_text_needs(person, field, typed, mend) -> None:
    fields = person.open("/describe/vehicle") | {f"f:{field}": typed}
    told = person.send("/describe/vehicle/check", fields).json()["fields"]
    assert told[field]["mend"] == mend


def test_typing_is_checked_and_drawn_without_saving(person) -> None:
    before = (person.served.home / "vehicle.toml").read_bytes()
    was = person.open("/describe/vehicle")
    fields = was | {"f:fill.water_volume": "0.5 L"}
    said = person.send("/describe/vehicle/check", fields).json()
    assert said["changed"] == 1
    assert said["pad"] != person.send("/describe/vehicle/check", was).json()["pad"]
    assert "vehicle.fill.water_volume=0.5 L" in said["command"]
    said = person.send("/describe/vehicle/check", fields | {"f:body.length": "0"}).json()
    assert said["pad"] is None
    assert said["fields"]["body.length"]["severity"] == "error"
    assert (person.served.home / "vehicle.toml").read_bytes() == before


def test_edits_of_different_fields_by_two_are_both_kept(person) -> None:
    other = Person(person.served)
    mine, theirs = person.open("/describe/vehicle"), other.open("/describe/vehicle")
    other.send("/describe/vehicle", theirs | {"f:fill.water_volume": "0.7 L"})
    answer = person.send("/describe/vehicle", mine | {"f:name": "Mine"})
    said = person.get(answer.headers["location"]).text
    assert "Saved: 1 field." in said
    assert "Others had changed fill.water_volume meanwhile; that was kept." in said
    assert person.vehicle()["name"] == "Mine"
    assert person.vehicle()["fill"]["water_volume"] == "0.7 L"


@pytest.mark.parametrize(
    ("pick", "stands"), [("yours", "0.6 L"), ("theirs", "0.7 L"), ("base", "")]
)
def test_edits_of_the_same_field_are_decided_by_the_person(person, pick: str, stands: str) -> None:
    was = person.vehicle()["fill"]["water_volume"]
    other = Person(person.served)
    mine, theirs = person.open("/describe/vehicle"), other.open("/describe/vehicle")
    other.send("/describe/vehicle", theirs | {"f:fill.water_volume": "0.7 L"})
    answer = person.send(
        "/describe/vehicle", mine | {"f:fill.water_volume": "0.6 L", "f:name": "Mine"}
    )
    assert answer.status_code == 409
    for value in ("0.6 L", "0.7 L", was):
        assert value in unescape(answer.text)
    assert person.vehicle()["name"] != "Mine"
    hidden = re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', answer.text)
    fields = {name: unescape(value) for name, value in hidden}
    fields["pick:fill.water_volume"] = pick
    assert person.send("/describe/vehicle", fields).status_code == 303
    assert person.vehicle()["fill"]["water_volume"] == (stands or was)
    assert person.vehicle()["name"] == "Mine"


def test_tables_are_added_and_left_out(person) -> None:
    fields = person.open("/describe/vehicle")
    shape = person.send("/describe/vehicle/form", fields | {"act": "add:fins.1"})
    assert 'name="f:fins.1.count"' in shape.text
    assert len(person.vehicle()["fins"]) == 1
    empty = {"f:fins.1.count": "", "f:fins.1.span": ""}
    refused = person.send("/describe/vehicle", fields | {"added": "fins.1"} | empty)
    assert refused.status_code == 422
    fins = {f"f:fins.1.{word}": str(value) for word, value in person.vehicle()["fins"][0].items()}
    assert person.send("/describe/vehicle", fields | {"added": "fins.1"} | fins).status_code == 303
    assert len(person.vehicle()["fins"]) == 2
    shape = person.send(
        "/describe/vehicle/form", person.open("/describe/vehicle") | {"act": "remove:fins.0"}
    )
    assert '<input type="hidden" name="gone" value="fins.0">' in shape.text
    assert 'name="f:fins.0.count"' not in shape.text
    person.send("/describe/vehicle", person.open("/describe/vehicle") | {"gone": "fins.0"})
    assert len(person.vehicle()["fins"]) == 1


def test_documents_are_added_and_left_out(person) -> None:
    assert person.send("/describe/add", {"document": "boosters"}).status_code == 303
    assert (person.served.home / "boosters.toml").exists()
    assert person.get("/describe/boosters").status_code == 200
    person.send("/describe/leave-out", {"document": "boosters"})
    assert person.get("/describe/boosters").status_code == 404
    refused = person.send("/describe/leave-out", {"document": "vehicle"})
    assert refused.status_code == 409
    assert "always has its vehicle" in refused.text


def test_an_undo_over_an_edit_by_hand_is_refused_in_words(person) -> None:
    person.send("/describe/vehicle", person.open("/describe/vehicle") | {"f:name": "Mine"})
    with (person.served.home / "vehicle.toml").open("a") as stream:
        stream.write("# by hand\n")
    assert "changed by other means" in person.get("/describe").text
    answer = person.send("/describe/undo", {})
    assert answer.status_code == 409
    assert "by other means" in answer.text
    assert person.vehicle()["name"] == "Mine"


def test_a_text_is_saved_as_it_was_typed(person) -> None:
    page = person.get("/describe/program.board/text")
    based_on = re.search(r'name="based_on" value="(\w+)"', page.text).group(1)
    path = person.served.home / "program-board.toml"
    text = path.read_text(encoding="utf-8") + "\n# tried on the bench <b>\n"
    sent = {"text": text.replace("\n", "\r\n"), "based_on": based_on}
    assert person.send("/describe/program.board/text", sent).status_code == 303
    assert path.read_text(encoding="utf-8") == text
    assert "&lt;b&gt;" in person.get("/describe/program.board/text").text
    said = person.send("/describe/program.board/text/check", {"text": text + "sample = 1"}).json()
    assert list(said["lines"].values()) == ["error"]
    wrong = {"text": text + "[[stage", "based_on": hashlib.sha256(path.read_bytes()).hexdigest()}
    refused = person.send("/describe/program.board/text", wrong)
    assert refused.status_code == 422
    assert "[[stage" in refused.text
    assert path.read_text(encoding="utf-8") == text
    person.send("/describe/program.board/text", wrong | {"with_errors": "yes"})
    assert path.read_text(encoding="utf-8") == text + "[[stage"
    assert person.get("/describe").status_code == 200


def test_a_condition_that_does_not_read_is_said_beside_its_line_and_not_saved_unasked(
    person,
) -> None:
    page = person.get("/describe/program.board/text").text
    text = unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", page, re.DOTALL).group(1))
    based_on = re.search(r'name="based_on" value="(\w+)"', page).group(1)
    broken = re.sub(r'when = "climb [^"]*"', 'when = "climb < 50 fts"', text, count=1)
    assert broken != text
    typed = {"text": broken, "based_on": based_on}
    file = person.served.home / "program-board.toml"
    line = next(n for n, each in enumerate(broken.split("\n"), 1) if "50 fts" in each)
    told = person.send("/describe/program.board/text/check", typed).json()
    assert told["lines"][str(line)] == "error"
    refused = person.send("/describe/program.board/text", typed)
    assert refused.status_code == 422
    assert "not a known unit" in refused.text
    assert "50 fts" not in file.read_text(encoding="utf-8")
    saved = person.send("/describe/program.board/text", {**typed, "with_errors": "yes"})
    assert saved.status_code == 303
    glance = person.get("/").text
    assert "The documents do not read" in glance
    assert 'href="/program/program-board"' in glance
    assert "1 error" in person.get("/describe").text


def test_a_document_that_is_no_toml_opens_as_text(person) -> None:
    (person.served.home / "vehicle.toml").write_text("[fill\n", encoding="utf-8")
    answer = person.get("/describe/vehicle")
    assert answer.headers["location"] == "/describe/vehicle/text"
    assert person.get("/describe/vehicle/text").status_code == 200
    assert person.send("/describe/vehicle", {"f:name": "x"}).status_code in (303, 422)


def test_two_texts_are_put_together_by_the_person(person) -> None:
    path = person.served.home / "vehicle.toml"
    page = person.get("/describe/vehicle/text")
    based_on = re.search(r'name="based_on" value="(\w+)"', page.text).group(1)
    old = path.read_text(encoding="utf-8")
    path.write_text(with_values(old, {"name": "Theirs"}), encoding="utf-8")
    mine = with_values(old, {"name": "Mine", "fill.water_volume": "0.5 L"})
    answer = person.send("/describe/vehicle/text", {"text": mine, "based_on": based_on})
    assert answer.status_code == 409
    pick = re.search(r'name="(pick:\d+)"', answer.text).group(1)
    now = re.search(r'name="now" value="(\w+)"', answer.text).group(1)
    sent = {"merged": "yes", "text": mine, "based_on": based_on, "now": now, pick: "theirs"}
    assert person.send("/describe/vehicle/text", sent).status_code == 303
    assert person.vehicle()["name"] == "Theirs"
    assert person.vehicle()["fill"]["water_volume"] == "0.5 L"


def test_a_campaign_begins_in_an_empty_folder(serve) -> None:
    person = Person(serve())
    assert "Begin a campaign" in person.get("/describe").text
    asked = {"name": "Pond <lifts>", "question": "How high?", "units": "us"}
    answer = person.send("/describe/begin", asked)
    assert answer.headers["location"] == "/describe/vehicle"
    campaign = person.served.bench.read_campaign()
    assert (campaign.head.name, campaign.head.units) == ("Pond <lifts>", "us")
    assert campaign.payload is None
    assert "Pond &lt;lifts&gt;" in person.get("/describe/vehicle").text
    assert "still the example" in person.get("/describe").text
    form = person.get("/describe/site").text
    assert "Most of this is still the example" in form
    line = re.search(r"take the line “(.*?)” out of <a href=\"(.*?)\">", form)
    assert line is not None
    assert line[1] in person.get(line[2]).text
    again = person.send("/describe/begin", asked)
    assert again.status_code == 422
    assert "exists already" in again.text


@pytest.mark.parametrize(
    "having",
    [{"payload": "yes", "electronics": "yes"}, {"electronics": "yes"}, {"from": "demo"}],
)
def test_a_campaign_begins_with_what_was_asked(serve, having) -> None:
    person = Person(serve())
    assert person.send("/describe/begin", having).status_code == 303
    campaign = person.served.bench.read_campaign()
    assert campaign.payload is not None
    assert campaign.programs


VEHICLE = starter("vehicle", "x").encode()
NAMES = st.sampled_from(
    ["f:name", "f:fill.water_volume", "f:fins.0.count", "f:fins.1.count", "f:fins.7.x", "f:", "f:.",
     "f:part.0.name", "f:nozzle", "f:fins", "f:fins.0", "f:a.b.c", "f:0", "added", "gone", "act"]
)  # fmt: skip
TEXTS = st.text(max_size=8) | st.sampled_from(
    ["4", "0.5 L", "fins.0", "fins.1", "canopy", "part.0"]
)


@given(
    st.lists(st.tuples(NAMES, TEXTS), max_size=8), st.sampled_from(["canopy", "fins.1", "fins.0"])
)
def test_whatever_is_sent_makes_a_form(pairs, path) -> None:
    draft = draft_of(Form(pairs))
    edit_of(draft, VEHICLE, MODELS["vehicle"])
    for each in (draft, draft.with_table(path), draft.without(path)):
        assert sections(MODELS["vehicle"], VEHICLE, each)
        assert addable(MODELS["vehicle"], VEHICLE, each)


def test_a_new_element_that_goes_leaves_no_gap() -> None:
    draft = Draft(values={"fins.1.count": "3", "fins.2.count": "4"}, added=("fins.1", "fins.2"))
    left = draft.without("fins.1")
    assert left.added == ("fins.1",)
    assert left.values == {"fins.1.count": "4"}
    assert left.gone == ()
    assert draft.without("fins.0").with_table("fins.0").gone == ()


@pytest.mark.parametrize("file", ["campaign.toml", "vehicle.toml", "avionics.toml"])
@pytest.mark.parametrize(
    "content", [b"[", b"\xff\xfe", b"", b"x = 1\n" * 20_000, b"a = 2020-01-01\n"]
)
def test_whatever_stands_in_a_document_its_pages_say_so(person, file: str, content: bytes) -> None:
    (person.served.home / file).write_bytes(content)
    root = file.removesuffix(".toml")
    known = (200, 422) if len(content) > 64 * 1024 else (200,)
    assert person.get("/describe").status_code in known
    assert person.get(f"/describe/{root}").status_code in (200, 303, 422)
    assert person.get(f"/describe/{root}/text").status_code in (200, 422)
    assert person.send(f"/describe/{root}", {"f:zzz": "x"}).status_code in (303, 422)
    assert person.send(f"/describe/{root}/check", {"f:zzz": "x"}).status_code in (200, 303, 422)
    assert person.send(f"/describe/{root}/form", {"act": "add:canopy"}).status_code < 500
    assert person.send(f"/describe/{root}/text/check", {"text": "x"}).status_code in (200, 422)
    assert (person.served.home / file).read_bytes() == content
