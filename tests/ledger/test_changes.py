"""What differs between two builds, programs and all, in the words of their documents."""

from __future__ import annotations

import pytest

from loftwright.documents.differences import Difference
from loftwright.errors import ProblemError
from loftwright.ledger.changes import build_changes, documents_of, is_spread_only
from loftwright.report.field_words import path_words


def changed(documents, file, old, new):
    text = documents[file].decode("utf-8")
    assert old in text
    return {**documents, file: text.replace(old, new).encode("utf-8")}


@pytest.fixture
def documents(campaign):
    return documents_of(campaign)


def test_a_build_is_all_that_the_campaign_names(campaign, documents):
    (campaign / "notes.toml").write_text("x = 1", encoding="utf-8")
    assert set(documents_of(campaign)) == set(documents)
    assert "program-board.toml" in documents


def test_nothing_differs_from_itself_nor_by_a_comment(documents):
    assert build_changes(documents, documents) == []
    commented = {**documents, "vehicle.toml": documents["vehicle.toml"] + b"\n# a comment\n"}
    assert build_changes(documents, commented) == []


def test_a_field_is_told_as_it_was_written(documents):
    other = changed(documents, "payload.toml", '"11 N ± 1 N"', '"5 lbf ± 0.2 lbf"')
    assert build_changes(documents, other) == [
        Difference("payload.hold.strength", "11 N ± 1 N", "5 lbf ± 0.2 lbf")
    ]


def test_a_change_of_a_program_is_told(documents):
    other = changed(documents, "program-board.toml", "sample_every = ", "sample_every = ")
    assert build_changes(documents, other) == []
    text = documents["program-board.toml"].decode("utf-8")
    line = next(line for line in text.splitlines() if line.startswith("hold = "))
    other = changed(documents, "program-board.toml", line, 'hold = "77 ms"')
    (found, *_) = build_changes(documents, other)
    assert found.path.startswith("program.board.stage.")
    assert found.other == "77 ms"
    assert path_words(found.path).startswith("program of board: stage ")


def test_a_build_that_does_not_read_any_more_is_compared_by_its_text(documents):
    old = changed(documents, "payload.toml", "[hold]", "[grip]")
    found = build_changes(old, documents)
    assert Difference("payload.grip.strength", "11 N ± 1 N", None) in found
    assert Difference("payload.hold.strength", None, "11 N ± 1 N") in found
    broken = {**documents, "site.toml": b"\xff no toml"}
    assert any(each.path == "site" for each in build_changes(broken, documents))


def test_names_that_lead_out_of_the_folder_are_not_followed(documents, tmp_path):
    outside = tmp_path / "outside.toml"
    evil = {**documents, "../" * 12 + str(outside).lstrip("/"): b"x = 1"}
    build_changes(evil, documents)
    assert not outside.exists()


def test_a_campaign_that_does_not_read_has_no_build(campaign):
    (campaign / "vehicle.toml").write_text("x", encoding="utf-8")
    with pytest.raises(ProblemError):
        documents_of(campaign)


@pytest.mark.parametrize(
    ("one", "other", "only"),
    [
        ("11 N ± 1 N", "11 N ± 0.2 N", True),
        ("11 N ± 1 N", "11 N", True),
        ("11 N +/- 1 N", "11 N ± 1 N", True),
        ("11 N ± 1 N", "12 N ± 1 N", False),
        ("11 N", None, False),
        (None, "11 N", False),
    ],
)
def test_a_value_known_better_is_told_from_another_value(one, other, only):
    assert is_spread_only(Difference("payload.hold.strength", one, other)) is only
