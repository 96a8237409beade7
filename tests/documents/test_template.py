"""A new campaign reads back without a word, and nothing is ever overwritten."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents import read_campaign
from loftwright.documents.avionics import Avionics
from loftwright.documents.reading import MODELS, read_document
from loftwright.documents.template import (
    EXAMPLES,
    is_mostly_example,
    new_campaign,
    starter,
    starters_of_electronics,
)
from loftwright.errors import ProblemError


def test_a_new_campaign_reads_without_a_word(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "lifts"
    written = new_campaign(folder, "Spring lifts")
    campaign = read_campaign(folder)
    assert campaign.warnings == ()
    assert campaign.head.name == "Spring lifts"
    assert sorted(campaign.hashes) == sorted(path.name for path in written)


def test_what_nobody_filled_in_is_known_until_most_of_it_is_filled_in() -> None:
    model = MODELS["vehicle"]
    text = starter("vehicle", "x")
    assert is_mostly_example(text.encode(), model)
    assert not is_mostly_example(text.replace(EXAMPLES, "Mine").encode(), model)
    measured = re.sub(r'= "0?\.?(\d)', r'= "1\1', text)
    assert not is_mostly_example(measured.encode(), model)
    assert not is_mostly_example(text.replace(' = "', " = ", 1).encode(), model)  # does not read


def test_electronics_that_nobody_filled_in_are_an_example_too() -> None:
    model, text = MODELS["avionics"], starters_of_electronics()["avionics.toml"]
    assert is_mostly_example(text.encode(), model)
    named = text.replace('name = "One board"', 'name = "Mine"')
    assert is_mostly_example(named.encode(), model)
    assert not is_mostly_example(text.replace(EXAMPLES, "Mine").encode(), model)
    measured = re.sub(r'= "0?\.?(\d)', r'= "1\1', text)
    assert not is_mostly_example(measured.encode(), model)


@given(st.text(max_size=40))
def test_any_name_makes_a_readable_head(name: str) -> None:
    from tomllib import loads

    said = loads(starter("campaign", name))["name"]
    assert said.isprintable()
    assert said.strip()


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text("mine")
    with pytest.raises(ProblemError) as caught:
        new_campaign(tmp_path, "Spring lifts")
    assert [problem.code for problem in caught.value.problems] == ["file-exists"]
    assert [each.name for each in tmp_path.iterdir()] == ["site.toml"]
    assert (tmp_path / "site.toml").read_text() == "mine"


def test_a_file_in_the_place_of_the_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "lifts").write_text("mine")
    with pytest.raises(ProblemError) as caught:
        new_campaign(tmp_path / "lifts", "Spring lifts")
    assert caught.value.problems[0].code == "file-not-written"


@pytest.mark.parametrize("document", list(MODELS))
def test_every_field_that_stands_as_a_comment_reads_when_it_is_used(
    document: str, tmp_path: Path
) -> None:
    """Taking the # away from everything leaves problems between fields at most."""
    text = re.sub(r"(?m)^# (?=[a-z_0-9]+ = |\[)", "", starter(document, "x"))
    path = tmp_path / f"{document}.toml"
    path.write_text(text, encoding="utf-8")
    try:
        read_document(path, MODELS[document])
    except ProblemError as error:
        codes = {problem.code for problem in error.problems}
        assert not {code for code in codes if code.startswith(("quantity-", "doc-"))} - {
            "doc-not-used"
        }


def test_starting_avionics_are_wired(tmp_path: Path) -> None:
    path = tmp_path / "avionics.toml"
    path.write_text(starter("avionics", "x"), encoding="utf-8")
    avionics = read_document(path, Avionics)
    assert avionics.controller[0].battery == avionics.battery[0].name
    assert avionics.controller[0].senses == "baro, accel, pad line"


def test_the_starter_carries_a_caution() -> None:
    assert "Proof-test" in starter("vehicle", "x")


def test_a_new_campaign_with_electronics_reads_without_a_word(tmp_path: Path) -> None:
    written = new_campaign(tmp_path / "lifts", "Spring lifts", electronics=True)
    campaign = read_campaign(tmp_path / "lifts")
    assert campaign.warnings == ()
    assert campaign.avionics is not None
    assert set(campaign.programs) == {"board"}
    assert sorted(campaign.hashes) == sorted(path.name for path in written)


def test_electronics_overwrite_nothing_either(tmp_path: Path) -> None:
    (tmp_path / "program-board.toml").write_text("mine")
    with pytest.raises(ProblemError):
        new_campaign(tmp_path, "Spring lifts", electronics=True)
    assert [path.name for path in tmp_path.iterdir()] == ["program-board.toml"]


def test_a_campaign_begins_with_what_was_asked(tmp_path):
    new_campaign(tmp_path, "Own", payload=False, question='Is it "high"?', units="us")
    campaign = read_campaign(tmp_path)
    assert campaign.head.question == 'Is it "high"?'
    assert campaign.head.units == "us"
    assert campaign.payload is None
    assert not (tmp_path / "payload.toml").exists()
