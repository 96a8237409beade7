"""Changes can be taken back after any end, and nothing by hand is written over."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest
from documents.bad_documents import WHOLE
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.documents import history, journal
from loftwright.documents.change import Edit, change
from loftwright.documents.history import redo, steps, undo, write_documents
from loftwright.documents.journal import KEPT, kept_text, remember, undo_folder
from loftwright.documents.reading import MODELS
from loftwright.errors import ProblemError


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return Path(shutil.copytree(WHOLE, tmp_path / "home"))


def set_fill(home: Path, water: str) -> None:
    edit = Edit({"fill.water_volume": water})
    change(home, {"vehicle.toml": edit}, {"vehicle.toml": MODELS["vehicle"]})


def vehicle(home: Path) -> bytes:
    return (home / "vehicle.toml").read_bytes()


def code_of(caught: pytest.ExceptionInfo[ProblemError]) -> str:
    return caught.value.problems[0].code


def test_changes_are_taken_back_in_turn_and_made_again(home: Path) -> None:
    texts = [vehicle(home)]
    for water in ("0.5 L", "0.6 L", "0.7 L"):
        set_fill(home, water)
        texts.append(vehicle(home))
    for text in texts[-2::-1]:
        undo(home)
        assert vehicle(home) == text
    with pytest.raises(ProblemError) as caught:
        undo(home)
    assert code_of(caught) == "undo-nothing"
    for text in texts[1:]:
        redo(home)
        assert vehicle(home) == text
    with pytest.raises(ProblemError) as caught:
        redo(home)
    assert code_of(caught) == "undo-nothing"


def test_the_steps_are_said_in_words(home: Path) -> None:
    assert steps(home) == history.Steps(None, None)
    set_fill(home, "0.5 L")
    told = steps(home)
    assert told.undo is not None
    assert told.undo.what == "vehicle.fill.water_volume = 0.5 L"
    undo(home)
    told = steps(home)
    assert told.undo is None
    assert told.redo is not None


def test_a_new_change_ends_what_could_be_made_again(home: Path) -> None:
    set_fill(home, "0.5 L")
    undo(home)
    set_fill(home, "0.6 L")
    with pytest.raises(ProblemError):
        redo(home)


@pytest.mark.parametrize("step", [undo, redo])
def test_what_was_changed_by_hand_is_not_written_over(home: Path, step) -> None:
    set_fill(home, "0.5 L")
    if step is redo:
        undo(home)
    by_hand = vehicle(home) + b"# noted by hand\n"
    (home / "vehicle.toml").write_bytes(by_hand)
    assert steps(home).blocked == (("vehicle.toml",) if step is undo else ())
    with pytest.raises(ProblemError) as caught:
        step(home)
    assert code_of(caught) == "undo-changed-since"
    assert caught.value.problems[0].where.file == "vehicle.toml"
    assert vehicle(home) == by_hand


def test_only_the_change_that_was_looked_at_is_taken_back(home: Path) -> None:
    set_fill(home, "0.5 L")
    seen = steps(home).undo
    set_fill(home, "0.6 L")
    both = vehicle(home)
    with pytest.raises(ProblemError) as caught:
        undo(home, seen.key)
    assert code_of(caught) == "undo-another"
    assert "0.6 L" in caught.value.problems[0].message
    assert vehicle(home) == both
    later = steps(home).undo
    assert undo(home, later.key) == later
    assert undo(home, seen.key) == seen
    with pytest.raises(ProblemError) as caught:
        redo(home, later.key)
    assert code_of(caught) == "undo-another"
    assert redo(home, seen.key) == seen


def test_a_change_that_was_broken_off_was_not_made(home: Path, monkeypatch) -> None:
    set_fill(home, "0.5 L")
    text = vehicle(home)

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(history, "_put", killed)
        with pytest.raises(KeyboardInterrupt):
            set_fill(home, "0.6 L")
    assert vehicle(home) == text
    assert steps(home).undo.what.endswith("0.5 L")
    undo(home)
    set_fill(home, "0.8 L")
    assert b"0.8 L" in vehicle(home)


def test_a_change_of_several_is_made_whole_or_not_at_all(home: Path, monkeypatch) -> None:
    before = {path.name: path.read_bytes() for path in home.glob("*.toml")}
    put_one, fails = history._put_one, iter([False, True])

    def put(path: Path, content: bytes | None) -> None:
        if next(fails, False):
            raise ProblemError([])
        put_one(path, content)

    monkeypatch.setattr(history, "_put_one", put)
    with pytest.raises(ProblemError):
        write_documents(home, {"vehicle.toml": b"# v", "site.toml": b"# s"}, "both")
    assert {path.name: path.read_bytes() for path in home.glob("*.toml")} == before
    assert steps(home).undo is None


def test_a_document_that_began_goes_and_comes_back(home: Path) -> None:
    write_documents(home, {"upper.toml": b"# upper\n", "site.toml": None}, "an upper stage")
    assert not (home / "site.toml").exists()
    undo(home)
    assert not (home / "upper.toml").exists()
    assert (home / "site.toml").exists()
    redo(home)
    assert (home / "upper.toml").read_bytes() == b"# upper\n"


def test_what_is_kept_is_bounded_and_the_oldest_goes_first(home: Path, monkeypatch) -> None:
    monkeypatch.setattr(journal, "KEPT", 5)
    for number in range(9):
        write_documents(home, {"vehicle.toml": b"# %d" % number}, f"change {number}")
    assert len(list(undo_folder(home).glob("*.toml"))) == 6
    for _ in range(5):
        undo(home)
    assert vehicle(home) == b"# 3"
    with pytest.raises(ProblemError):
        undo(home)
    assert KEPT == 200


def test_texts_that_were_read_are_remembered_in_bounds(home: Path, monkeypatch) -> None:
    monkeypatch.setattr(journal, "REMEMBERED", 3)
    digests = [remember(home, b"# %d" % number) for number in range(5)]
    assert [kept_text(home, digest) is not None for digest in digests].count(True) == 3
    assert kept_text(home, digests[-1]) == b"# 4"


def test_what_is_read_now_is_remembered_though_the_clock_was_set_back(home: Path, monkeypatch):
    monkeypatch.setattr(journal, "REMEMBERED", 3)
    week = 7 * 24 * 3600
    for path in [
        undo_folder(home) / "read" / f"{remember(home, b'# %d' % n)}.toml" for n in (1, 2)
    ]:
        os.utime(path, (path.stat().st_atime + week, path.stat().st_mtime + week))
    digests = [remember(home, b"# now %d" % number) for number in range(4)]
    assert [kept_text(home, each) is not None for each in digests] == [False, True, True, True]


def test_a_damaged_text_is_never_written(home: Path) -> None:
    set_fill(home, "0.5 L")
    text = vehicle(home)
    for path in undo_folder(home).glob("*.toml"):
        path.write_bytes(b"# damaged")
    with pytest.raises(ProblemError) as caught:
        undo(home)
    assert code_of(caught) == "undo-lost"
    assert vehicle(home) == text


EVIL = {"when": "", "what": "", "files": {"../out.toml": ["0" * 64, "1" * 64]}}


@pytest.mark.parametrize(
    "body",
    [
        "",
        "[",
        "[]",
        "{}",
        '{"format": 1, "done": 7, "changes": []}',
        json.dumps({"format": 1, "done": 1, "changes": [EVIL]}),
        json.dumps({"format": 1, "done": 1, "changes": [{**EVIL, "files": {"a.toml": "no"}}]}),
        json.dumps({"format": 1, "done": 1, "changes": [{**EVIL, "files": {"a.py": [None] * 2}}]}),
    ],
)
def test_a_journal_that_is_none_of_ours_undoes_nothing(home: Path, body: str) -> None:
    undo_folder(home).mkdir(parents=True)
    (undo_folder(home) / "journal.json").write_text(body)
    with pytest.raises(ProblemError) as caught:
        undo(home)
    assert code_of(caught) == "undo-unreadable"
    set_fill(home, "0.5 L")  # sets it aside
    undo(home)
    assert [path.read_text() for path in undo_folder(home).glob("*.unreadable")] == [body]


@settings(max_examples=25)
@given(st.lists(st.sampled_from(["undo", "redo", "hand", "a", "b", "c"]), max_size=12))
def test_no_text_is_lost_whatever_is_done(tmp_path_factory, doings: list[str]) -> None:
    home = tmp_path_factory.mktemp("home")
    document = home / "vehicle.toml"
    document.write_bytes(b"# first\n")
    for number, doing in enumerate(doings):
        before = document.read_bytes()
        if doing == "hand":
            document.write_bytes(b"# by hand %d\n" % number)
        elif doing in ("undo", "redo"):
            try:
                {"undo": undo, "redo": redo}[doing](home)
            except ProblemError:
                assert document.read_bytes() == before
        else:
            write_documents(home, {"vehicle.toml": f"# {doing}\n".encode()}, doing)
            if document.read_bytes() != before:
                undo(home)
                assert document.read_bytes() == before
                redo(home)
        after = document.read_bytes()
        by_hand = [each for each in (before, after) if b"hand" in each]
        if doing != "hand" and before != after:
            # What was written over is still kept.
            digest = history.digest_of(before)
            assert digest is not None
            assert kept_text(home, digest) == before, by_hand


def test_a_document_that_could_never_be_read_is_not_written(home: Path) -> None:
    text = vehicle(home)
    with pytest.raises(ProblemError) as caught:
        write_documents(home, {"vehicle.toml": b"#" * 70_000}, "too much")
    assert code_of(caught) == "doc-too-large"
    assert vehicle(home) == text
    assert steps(home).undo is None
