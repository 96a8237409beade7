"""Opening a ledger: made, brought up to date, refused, and shared by two programs."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import pytest

from loftwright.errors import ProblemError
from loftwright.ledger import opening, problems
from loftwright.ledger.exchange import TABLES, content
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.opening import FILE, backup_of, connect, is_shared, migrate
from loftwright.ledger.schema import APPLICATION, STEPS, VERSION
from loftwright.ledger.verify import verify

DIGEST = hashlib.sha256(b"\x00\xff").hexdigest()
MOUNTS = """sysfs /sys sysfs rw 0 0
/dev/sda1 / ext4 rw 0 0
server:/home /home nfs4 rw 0 0
/dev/sdb1 /home/ana/card\\040one vfat rw 0 0
//box/share /mnt/box cifs rw 0 0
"""


def codes(error: pytest.ExceptionInfo[ProblemError]) -> list[str]:
    return [problem.code for problem in error.value.problems]


def version(file: Path) -> int:
    with closing(sqlite3.connect(file)) as database:
        return database.execute("PRAGMA user_version").fetchone()[0]


def old_ledger(file: Path, upto: int) -> None:
    """Make a ledger as version ``upto`` made it, with something of everything in it."""
    with closing(sqlite3.connect(file, isolation_level=None)) as database:
        migrate(database, None, upto)
        assert database.execute("PRAGMA user_version").fetchone()[0] == upto
        for statement in (
            f"INSERT INTO document VALUES ('{DIGEST}', x'00ff')",
            "INSERT INTO flight VALUES ('a', 1, 'A', '2026-05-03', NULL, 'success', NULL, "
            f"'{DIGEST}', "
            "NULL, '2026-05-03')",
            "INSERT INTO evidence VALUES ('a', 'b.csv', 'e', 3, 'log', NULL, NULL, '2026-05-03')",
            "INSERT INTO finding (number, noted, what, sure, flight) "
            "VALUES (7, '2026-05-03', 'It slipped', 'known', 'a')",
            "INSERT INTO finding_evidence VALUES (7, 'a', 'b.csv', 'e')",
            "INSERT INTO action (number, noted, what, who) VALUES (3, 'then', 'A hook', 'Ana')",
            "INSERT INTO decision VALUES (2, '2026-05-03', 'Fly', 'It is mended', NULL)",
        ):
            database.execute(statement)


def test_a_new_ledger_is_of_the_present_version_and_carries_our_mark(campaign):
    with open_ledger(campaign) as ledger:
        assert ledger.may_write
        assert ledger.flights() == ()
    with closing(sqlite3.connect(campaign / FILE)) as database:
        assert database.execute("PRAGMA user_version").fetchone() == (VERSION,)
        assert database.execute("PRAGMA application_id").fetchone() == (APPLICATION,)
        tables = database.execute("SELECT strict FROM pragma_table_list WHERE schema = 'main' "
                                  "AND name NOT LIKE 'sqlite_%'").fetchall()  # fmt: skip
    assert len(tables) == len(TABLES) + 1  # and the documents
    assert all(strict for (strict,) in tables)


def test_the_campaigns_file_stands_for_its_folder(campaign):
    with open_ledger(campaign / "campaign.toml") as ledger:
        assert ledger.file == campaign / FILE


def test_no_folder_is_told(tmp_path):
    with pytest.raises(ProblemError) as told:
        open_ledger(tmp_path / "nowhere")
    assert codes(told) == ["file-no-folder"]


@pytest.mark.parametrize("earlier", range(1, VERSION))
def test_every_earlier_version_is_brought_up_to_date_with_a_copy_beside_it(tmp_path, earlier):
    old_ledger(tmp_path / FILE, earlier)
    before = (tmp_path / FILE).read_bytes()
    with open_ledger(tmp_path) as ledger:
        assert [each.what for each in ledger.findings("a")] == ["It slipped"]
        assert ledger.findings()[0].evidence[0].file == "b.csv"
        assert not ledger.findings()[0].unsettled
        assert ledger.action(3).who == "Ana"
        assert ledger.decision(2).why == "It is mended"
        assert ledger.document(DIGEST) == b"\x00\xff"
    assert version(tmp_path / FILE) == VERSION
    copy = backup_of(tmp_path / FILE, earlier)
    assert version(copy) == earlier
    with closing(sqlite3.connect(copy)) as database:
        assert database.execute("SELECT what FROM finding").fetchall() == [("It slipped",)]
        assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert before != (tmp_path / FILE).read_bytes()
    assert not list(tmp_path.glob("*.part"))


def test_a_step_that_fails_leaves_the_version_before(tmp_path, monkeypatch):
    old_ledger(tmp_path / FILE, 1)
    broken = (STEPS[0], (*STEPS[1], "CREATE TABLE finding (x)"))
    monkeypatch.setattr(opening, "STEPS", broken)
    with pytest.raises(sqlite3.OperationalError):
        open_ledger(tmp_path)
    assert version(tmp_path / FILE) == 1
    with closing(sqlite3.connect(tmp_path / FILE)) as database:
        columns = [row[1] for row in database.execute("PRAGMA table_info(finding)")]
    assert "explains" not in columns


def test_a_copy_that_is_there_already_is_not_written_over(tmp_path):
    old_ledger(tmp_path / FILE, 1)
    backup_of(tmp_path / FILE, 1).write_bytes(b"kept")
    open_ledger(tmp_path).close()
    assert backup_of(tmp_path / FILE, 1).read_bytes() == b"kept"


def test_a_newer_ledger_is_refused_and_left_alone(campaign):
    open_ledger(campaign).close()
    with closing(sqlite3.connect(campaign / FILE, isolation_level=None)) as database:
        database.execute(f"PRAGMA user_version = {VERSION + 1}")
    with pytest.raises(
        ProblemError, match=f"version {VERSION + 1}; this one knows {VERSION}"
    ) as told:
        open_ledger(campaign)
    assert codes(told) == ["ledger-newer"]
    assert version(campaign / FILE) == VERSION + 1


def test_another_programs_database_is_refused(tmp_path):
    with closing(sqlite3.connect(tmp_path / FILE, isolation_level=None)) as database:
        database.execute("CREATE TABLE birds (name)")
    with pytest.raises(ProblemError) as told:
        open_ledger(tmp_path)
    assert codes(told) == ["ledger-not-ours"]
    with closing(sqlite3.connect(tmp_path / FILE)) as database:
        assert database.execute("SELECT name FROM sqlite_master").fetchall() == [("birds",)]


@pytest.mark.parametrize(
    "part",
    [
        "CREATE TRIGGER x AFTER INSERT ON finding BEGIN DELETE FROM finding; END",
        "CREATE VIEW x AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i FROM n) "
        "SELECT i FROM n",
    ],
)
def test_a_ledger_that_does_something_by_itself_is_refused(campaign, part):
    open_ledger(campaign).close()
    with closing(sqlite3.connect(campaign / FILE, isolation_level=None)) as database:
        database.execute(part)
    with pytest.raises(ProblemError, match="never makes: x") as told:
        open_ledger(campaign)
    assert codes(told) == ["ledger-not-ours"]


@pytest.mark.parametrize("text", [b"no database at all, but long enough to be looked at" * 40])
def test_what_is_no_database_is_refused(tmp_path, text):
    (tmp_path / FILE).write_bytes(text)
    with pytest.raises(ProblemError) as told:
        open_ledger(tmp_path)
    assert codes(told) == ["ledger-not-ours"]
    assert (tmp_path / FILE).read_bytes() == text


def test_a_damaged_ledger_is_told(ledger, flown):
    for number in range(200):
        ledger.add_action(f"{number} {'x' * 500}")
    ledger.close()
    file = flown / FILE
    pages = bytearray(file.read_bytes())
    pages[-4096 * 20 :] = b"\x05" * (4096 * 20)
    file.write_bytes(pages)
    with open_ledger(flown) as damaged, pytest.raises(ProblemError) as told:
        damaged.actions()
    assert codes(told) == ["ledger-damaged"]
    assert "keep it" in told.value.problems[0].mend


def test_an_old_library_is_refused_in_words(campaign, monkeypatch):
    monkeypatch.setattr(opening, "LEAST_SQLITE", (99, 0, 0))
    with pytest.raises(ProblemError, match="needs 99") as told:
        open_ledger(campaign)
    assert codes(told) == ["ledger-sqlite-old"]


# ---------------------------------------------------------------- two programs at once


def test_two_programs_write_one_after_the_other_and_both_entries_stand(campaign):
    with open_ledger(campaign) as one, open_ledger(campaign) as other:
        for number in range(20):
            (one, other)[number % 2].add_action(f"action {number}")
        assert [each.what for each in one.actions()] == [f"action {k}" for k in range(20)]
        assert one.actions() == other.actions()


WRITER = """
import sys
from pathlib import Path
from loftwright.ledger.ledger import open_ledger
with open_ledger(Path(sys.argv[1])) as ledger:
    for number in range(25):
        ledger.add_action(f"{sys.argv[2]}-{number}")
"""


def test_processes_that_write_all_at_once_lose_nothing(tmp_path):
    """They begin at once too: one of them makes the ledger."""
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path), name]) for name in "abcd"
    ]
    assert [each.wait() for each in writers] == [0] * 4
    with open_ledger(tmp_path) as ledger:
        actions = ledger.actions()
        assert verify(ledger).is_whole
    assert [each.number for each in actions] == list(range(1, 101))
    for name in "abcd":  # in the order in which each wrote them
        own = [each.what for each in actions if each.what.startswith(name)]
        assert own == [f"{name}-{number}" for number in range(25)]


def test_one_reads_while_another_writes(campaign):
    with open_ledger(campaign) as one, open_ledger(campaign) as other:
        one.add_action("there")
        with one.writing() as database:
            database.execute("INSERT INTO action (noted, what) VALUES ('now', 'not yet')")
            assert [each.what for each in other.actions()] == ["there"]
        assert len(other.actions()) == 2


def test_who_waits_too_long_is_told_and_nothing_is_lost(campaign, monkeypatch):
    monkeypatch.setattr(opening, "WAIT_S", 0.02)
    with open_ledger(campaign) as one, open_ledger(campaign) as other:
        with one.writing(), pytest.raises(ProblemError) as told:
            other.add_action("too soon")
        assert codes(told) == ["ledger-busy"]
        other.add_action("later")
        assert [each.what for each in one.actions()] == ["later"]


def test_an_action_is_closed_once_whoever_is_first(ledger, flown):
    number = ledger.add_action("Fit a second hook").number
    with open_ledger(flown) as other:
        other.close_action(number, flight="second-lift")
        with pytest.raises(ProblemError) as told:
            ledger.close_action(number, why="me too")
    assert codes(told) == ["ledger-closed"]
    assert ledger.action(number).closed_by == "second-lift"
    assert ledger.action(number).closed_why is None


def test_a_failure_halfway_leaves_nothing(ledger):
    before = content(ledger)

    def half() -> None:
        with ledger.writing() as database:
            database.execute("INSERT INTO action (noted, what) VALUES ('now', 'half')")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        half()
    assert content(ledger) == before


def test_the_database_refuses_what_does_not_belong_into_it(ledger):
    for statement in (
        "INSERT INTO action (noted, what) VALUES ('now', NULL)",
        "INSERT INTO action (number, noted, what) VALUES ('seven', 'now', 'x')",
        "INSERT INTO finding (noted, what, sure, flight) VALUES ('now', 'x', 'likely', 'none')",
        "INSERT INTO finding (noted, what, sure) VALUES ('now', 'x', 'certainly')",
    ):
        with pytest.raises(sqlite3.IntegrityError), ledger.writing() as database:
            database.execute(statement)


# ---------------------------------------------------------------- how changes reach the file


def journal(folder: Path) -> str:
    with closing(sqlite3.connect(folder / FILE)) as database:
        return database.execute("PRAGMA journal_mode").fetchone()[0]


def test_a_log_is_used_on_a_disk_of_ones_own(campaign):
    open_ledger(campaign).close()
    assert journal(campaign) == "wal"


def test_on_a_network_the_rollback_journal_is_used(campaign, monkeypatch):
    open_ledger(campaign).close()
    monkeypatch.setattr(opening, "is_shared", lambda folder: True)
    with open_ledger(campaign) as ledger:
        ledger.add_action("there")
    assert journal(campaign) == "delete"


@pytest.mark.parametrize(
    ("folder", "shared"),
    [
        ("/home/ben/lifts", True),
        ("/home/ana/card one/lifts", False),
        ("/mnt/box/lifts", True),
        ("/opt/lifts", False),
        ("/opt/Dropbox/lifts", True),
    ],
)
@pytest.mark.skipif(os.name != "posix", reason="mounts are told so on Linux")
def test_folders_that_others_see_are_known(folder, shared):
    assert is_shared(Path(folder), MOUNTS) is shared


def test_what_the_database_says_is_told_and_faults_of_ours_are_not_hidden():
    assert problems.said_by(sqlite3.OperationalError("no code"), "x") is None
    with closing(sqlite3.connect(":memory:")) as database, pytest.raises(sqlite3.Error) as fault:
        database.execute("SELEKT")
    assert problems.said_by(fault.value, "x") is None


def test_connect_makes_nothing_in_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(ProblemError) as told:
        connect(tmp_path / "nowhere" / FILE)
    assert codes(told) == ["ledger-unreadable"]


def test_on_a_full_disk_it_can_be_looked_at(campaign, monkeypatch):
    with open_ledger(campaign) as ledger:
        ledger.add_action("Hold the battery with a strap")
    free = {"bytes": 0}

    def full(_file):
        raise sqlite3.OperationalError("disk I/O error")

    monkeypatch.setattr(opening, "_open_to_write", full)
    monkeypatch.setattr(
        "shutil.disk_usage", lambda _: SimpleNamespace(free=free["bytes"], total=1, used=1)
    )
    with open_ledger(campaign) as found:
        assert [each.what for each in found.actions()] == ["Hold the battery with a strap"]
        with pytest.raises(ProblemError) as caught:
            found.add_action("Make room")
    assert caught.value.problems[0].code == "ledger-read-only"
    free["bytes"] = 1 << 30  # a disk that fails is no full one
    with pytest.raises(sqlite3.OperationalError), open_ledger(campaign):
        pass
