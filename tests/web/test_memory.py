"""What was worked out is kept until a file changes, and worked out once for all who ask."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest

from loftwright.documents.worked import Worked, note_worked
from loftwright.web.memory import MOST, Memory, folder_stamps


@pytest.fixture
def home(tmp_path):
    (tmp_path / "flights" / "a").mkdir(parents=True)
    (tmp_path / "vehicle.toml").write_text("a")
    (tmp_path / "flights" / "a" / "flight.toml").write_text("a")
    return tmp_path


def counting(memory, key="k", **more):
    made = []

    def make():
        made.append(1)
        return len(made)

    return lambda: memory.recall(key, make, **more)


def test_it_is_worked_out_anew_when_anything_changes(home):
    look = counting(Memory(home))
    assert [look(), look()] == [1, 1]
    (home / "flights" / "a" / "flight.toml").write_text("ab")
    assert [look(), look()] == [2, 2]
    (home / "new.txt").touch()
    assert look() == 3
    os.utime(home / "vehicle.toml", ns=(1, 1))
    assert look() == 4
    (home / "new.txt").unlink()
    assert [look(), look()] == [5, 5]


def test_what_depends_on_documents_alone_is_kept_until_they_are_others(home):
    documents = {"vehicle.toml": "one"}
    look = counting(Memory(home), of=documents)
    (home / "new.txt").touch()
    assert [look(), look()] == [1, 1]
    documents["vehicle.toml"] = "another"
    assert [look(), look()] == [2, 2]


def test_what_the_workbench_keeps_for_itself_does_not_count(home):
    look = counting(Memory(home))
    look()
    (home / ".loftwright" / "jobs").mkdir(parents=True)
    (home / ".loftwright" / "jobs" / "x").touch()
    (home / "ledger.sqlite-shm").write_text("x")
    (home / "ledger.sqlite-wal").touch()
    assert look() == 1
    (home / "ledger.sqlite-wal").write_text("a change that waits")
    assert look() == 2


def test_a_note_of_what_was_worked_out_counts(home):
    look = counting(Memory(home))
    look()
    note_worked(home, Worked(verb="forecast", of="one"))
    assert [look(), look()] == [2, 2]
    note_worked(home, Worked(verb="forecast", of="one", is_kept=True))
    assert look() == 3


@pytest.mark.skipif(os.name == "nt", reason="the time of change is that of making there")
def test_another_file_with_the_time_and_size_of_the_old_one_counts(home):
    look, path = counting(Memory(home)), home / "vehicle.toml"
    look()
    before = path.stat()
    path.write_text("b")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert look() == 2


def test_a_change_while_it_is_worked_out_is_seen_next_time(home):
    memory = Memory(home)

    def make():
        read = (home / "vehicle.toml").read_text()
        (home / "vehicle.toml").write_text(read + "b")
        return read

    assert [memory.recall("k", make) for _ in range(3)] == ["a", "ab", "abb"]


def test_who_asks_meanwhile_waits_for_the_same(home):
    memory, begun, may_end = Memory(home), Event(), Event()
    made = []

    def make():
        made.append(1)
        begun.set()
        may_end.wait(10)
        return "found"

    with ThreadPoolExecutor(4) as people:
        asked = [people.submit(memory.recall, "k", make) for _ in range(4)]
        assert begun.wait(10)
        assert memory.recall("other", lambda: "at once") == "at once"
        may_end.set()
        assert [each.result() for each in asked] == ["found"] * 4
    assert made == [1]


def test_nothing_is_kept_of_what_failed(home):
    memory = Memory(home)
    with pytest.raises(ValueError, match="broken"):
        memory.recall("k", lambda: (_ for _ in ()).throw(ValueError("broken")))
    assert memory.recall("k", lambda: "mended") == "mended"


def test_it_does_not_grow_without_end(home):
    memory = Memory(home)
    for i in range(MOST + 50):
        memory.recall(i, lambda: "x")
    assert len(memory._places) == MOST
    assert memory.recall(0, lambda: "anew") == "anew"


def test_links_are_not_followed_out_of_the_folder(home, tmp_path_factory):
    out = tmp_path_factory.mktemp("out")
    (out / "many").mkdir()
    (home / "link").symlink_to(out, target_is_directory=True)
    assert not [each for each in folder_stamps(home) if "many" in each[0]]


def test_a_mistake_in_one_document_changes_no_unit_of_the_pages(tmp_path):
    from web.serving import copied

    from loftwright.web.bench import Bench
    from loftwright.web.config import Config
    from loftwright.web.said import units_of

    home = copied("sedge-lift", tmp_path / "lift")
    bench = Bench(home, Config())
    assert units_of(bench) == "us"
    (home / "vehicle.toml").write_text("[fill\n")
    assert units_of(bench) == "us"
    (home / "campaign.toml").write_text("[\n")
    assert units_of(bench) == "metric"
