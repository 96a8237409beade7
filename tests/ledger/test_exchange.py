"""The whole ledger as plain files and back: the same bytes, the same content, or nothing."""

from __future__ import annotations

import csv
import json
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger import campaigns

from loftwright.errors import ProblemError
from loftwright.ledger.entries import SURENESS
from loftwright.ledger.exchange import TABLES, content, export_to, import_from
from loftwright.ledger.functions import FUNCTIONS, OUTCOMES
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.taking_in import take_in
from loftwright.ledger.verify import verify


def codes(error: pytest.ExceptionInfo[ProblemError]) -> list[str]:
    return [problem.code for problem in error.value.problems]


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture
def exported(ledger, tmp_path):
    """An export of a ledger with something of everything in it."""
    ledger.add_finding("It slipped", flight="first-lift", evidence=["board.csv"], unsettled=True)
    ledger.add_action('A hook; twice, "strong"\nand glued', who="Ána", finding=1)
    ledger.close_action(1, flight="second-lift", why="it held")
    ledger.add_decision("Fly", why="It holds", evidence=["first-lift/board.csv"])
    ledger.judge("first-lift", "canopy", "failed")
    ledger.keep_figures("first-lift", {"apogee_m": (94.2, 0.1 + 0.2), "x_s": (1 / 3, None)},
                        made_by="board")  # fmt: skip
    export_to(ledger, tmp_path / "export")
    return tmp_path / "export"


def test_the_same_ledger_makes_the_same_bytes(ledger, exported, tmp_path):
    export_to(ledger, tmp_path / "again")
    assert bytes_of(exported) == bytes_of(tmp_path / "again")


def test_an_export_comes_back_as_it_was(ledger, exported, tmp_path):
    (tmp_path / "new").mkdir()
    with open_ledger(tmp_path / "new") as other:
        count = import_from(other, exported)
        assert count == sum(map(len, content(ledger).values()))
        assert content(other) == content(ledger)
        assert other.documents(other.flights()[0].build) == ledger.documents(
            ledger.flights()[0].build
        )
        export_to(other, tmp_path / "back")
    assert bytes_of(tmp_path / "back") == bytes_of(exported)


def test_numbers_go_on_after_the_last(exported, tmp_path):
    (tmp_path / "new").mkdir()
    with open_ledger(tmp_path / "new") as other:
        import_from(other, exported)
        assert other.add_action("next").number == 2


def test_the_files_are_plain(exported):
    names = {name.partition(".")[0] for name in bytes_of(exported) if "/" not in name}
    assert names == {"ledger", *TABLES}
    (action,) = json.loads((exported / "action.json").read_text(encoding="utf-8"))
    assert action["who"] == "Ána"
    with (exported / "action.csv").open(encoding="utf-8", newline="") as stream:
        (row,) = csv.DictReader(stream)
    assert row["what"] == action["what"]
    documents = list((exported / "documents").iterdir())
    assert any(b"[canopy]" in path.read_bytes() for path in documents)


words = st.text(
    st.characters(blacklist_categories=["Cs"], blacklist_characters="\0"), min_size=1
).filter(lambda text: text.strip())
entries = st.lists(
    st.one_of(
        st.tuples(st.just("finding"), words, st.sampled_from(SURENESS), st.booleans()),
        st.tuples(st.just("action"), words, st.none() | words, st.none() | st.dates()),
        st.tuples(st.just("decision"), words, words, st.booleans()),
        st.tuples(st.just("judge"), st.sampled_from(FUNCTIONS), st.sampled_from(OUTCOMES), words),
        st.tuples(st.just("close"), words),
        st.tuples(
            st.just("figure"), words, st.floats(allow_nan=False, allow_infinity=False),
            st.none() | st.floats(0, 1e300),
        ),
    ),
    max_size=12,
)  # fmt: skip


def write(ledger, entry) -> None:
    match entry:
        case "finding", what, sure, has:
            evidence = ["board.csv"] if has else []
            ledger.add_finding(what, sure=sure, flight="one", evidence=evidence, unsettled=has)
        case "action", what, who, due:
            ledger.add_action(what, who=who, due=None if due is None else due.isoformat())
        case "decision", what, why, has:
            ledger.add_decision(what, why=why, evidence=["one/board.csv"] if has else [])
        case "judge", function, outcome, why:
            ledger.judge("one", function, outcome, why=why)
        case "figure", name, value, sd:
            ledger.keep_figures("one", {name: (value, sd)}, made_by=name)
        case "close", why:
            for action in ledger.actions(open_only=True)[:1]:
                ledger.close_action(action.number, why=why)


@settings(max_examples=15)
@given(entries)
def test_whatever_was_written_comes_back(written):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        campaigns.add_flight(folder, "one", files={"board.csv": b"x"}, build=False)
        (folder / "new").mkdir()
        with open_ledger(folder) as ledger, open_ledger(folder / "new") as other:
            take_in(ledger)
            for entry in written:
                write(ledger, entry)
            export_to(ledger, folder / "export")
            import_from(other, folder / "export")
            assert content(other) == content(ledger)
            export_to(other, folder / "again")
        assert bytes_of(folder / "export") == bytes_of(folder / "again")


# ---------------------------------------------------------------- refused


def test_nothing_is_written_over_something(ledger, tmp_path):
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(ProblemError) as told:
        export_to(ledger, tmp_path / "there")
    assert codes(told) == ["file-exists"]
    assert bytes_of(tmp_path / "there") == {"mine.txt": b"mine"}
    (tmp_path / "empty").mkdir()
    export_to(ledger, tmp_path / "empty")
    assert not list(tmp_path.glob(".*"))


def test_a_ledger_with_entries_takes_no_export(ledger, exported):
    before = content(ledger)
    with pytest.raises(ProblemError) as told:
        import_from(ledger, exported)
    assert codes(told) == ["ledger-not-empty"]
    assert content(ledger) == before


def rewrite(path: Path, old: str, new: str) -> None:
    campaigns.change(path, old, new)


SPOILS = {
    "no folder": shutil.rmtree,
    "a file is missing": lambda own: (own / "action.json").unlink(),
    "no json": lambda own: (own / "action.json").write_text("[", encoding="utf-8"),
    "no list": lambda own: (own / "action.json").write_text("{}", encoding="utf-8"),
    "another form": lambda own: rewrite(own / "ledger.json", "export/1", "export/9"),
    "no version": lambda own: rewrite(own / "ledger.json", '"version": 2', '"version": "two"'),
    "an entry less": lambda own: (own / "flight.json").write_text("[]", encoding="utf-8"),
    "another word": lambda own: rewrite(own / "finding.json", '"likely"', '"surely"'),
    "another key": lambda own: rewrite(own / "finding.json", '"what"', '"wat"'),
    "another type": lambda own: rewrite(own / "action.json", '"number": 1', '"number": [1]'),
    "a huge number": lambda own: rewrite(own / "action.json", '"number": 1', f'"number": {10**30}'),
    "another flight": lambda own: rewrite(own / "judgement.json", "first-lift", "third-lift"),
    "a document": lambda own: next((own / "documents").iterdir()).write_bytes(b"else"),
    "no document": lambda own: next((own / "documents").iterdir()).unlink(),
}


@pytest.mark.parametrize("spoil", SPOILS.values(), ids=SPOILS)
def test_an_export_that_is_not_whole_is_refused_whole(exported, tmp_path, spoil):
    spoil(exported)
    (tmp_path / "new").mkdir()
    with open_ledger(tmp_path / "new") as other:
        with pytest.raises(ProblemError) as told:
            import_from(other, exported)
        assert set(codes(told)) <= {"ledger-export-unfit", "file-missing"}
        assert not any(content(other).values())
        assert other.rows("SELECT count(*) FROM document") == [(0,)]
        assert verify(other).is_whole


def test_a_newer_export_is_refused(exported, tmp_path):
    rewrite(exported / "ledger.json", '"version": 2', '"version": 99')
    (tmp_path / "new").mkdir()
    with open_ledger(tmp_path / "new") as other, pytest.raises(ProblemError) as told:
        import_from(other, exported)
    assert codes(told) == ["ledger-newer"]


def test_an_export_of_an_earlier_version_lacks_what_came_later(exported, tmp_path):
    head = json.loads((exported / "ledger.json").read_text(encoding="utf-8"))
    head["version"] = 1
    for table in ("judgement", "figure"):
        (exported / f"{table}.json").unlink()
        del head["entries"][table]
    (exported / "ledger.json").write_text(json.dumps(head), encoding="utf-8")
    (finding,) = json.loads((exported / "finding.json").read_text(encoding="utf-8"))
    for late in ("explains", "unsettled", "closed", "closed_by", "closed_why"):
        del finding[late]
    (exported / "finding.json").write_text(json.dumps([finding]), encoding="utf-8")
    (tmp_path / "new").mkdir()
    with open_ledger(tmp_path / "new") as other:
        import_from(other, exported)
        assert other.finding(1).what == "It slipped"
        assert not other.finding(1).unsettled


def test_every_table_is_exported(ledger):
    tables = {name for (name,) in ledger.rows("SELECT name FROM sqlite_master WHERE type = 'table' "
                                              "AND name NOT LIKE 'sqlite_%'")}  # fmt: skip
    assert tables == {"document", *TABLES}
