"""What was acknowledged stays: programs killed, disks full, folders write-protected.

A thousand kills are a run of its own: ``python tests/ledger/killing.py``; here are a few dozen.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from ledger import campaigns, killing

from loftwright.errors import ProblemError
from loftwright.ledger.exchange import content
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.opening import FILE, migrate
from loftwright.ledger.schema import VERSION
from loftwright.ledger.taking_in import take_in
from loftwright.ledger.verify import verify


def codes(error: pytest.ExceptionInfo[ProblemError]) -> list[str]:
    return [problem.code for problem in error.value.problems]


# ---------------------------------------------------------------- killed


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are made by fork")
def test_killed_at_any_moment_nothing_acknowledged_is_lost():
    done = subprocess.run(
        [sys.executable, killing.__file__, "--kills", "24", "--seed", "5"],
        check=False, capture_output=True, encoding="utf-8",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "nothing lost" in done.stdout


def test_what_is_lost_would_be_noticed(tmp_path):
    killing.make_flight(tmp_path, "first")
    with open_ledger(tmp_path) as ledger:
        take_in(ledger)
        ledger.add_finding("there", flight="first", evidence=["board.csv"])
    assert killing.check(tmp_path, [["finding", "there"], ["flight", "first"]]) == 2
    with pytest.raises(AssertionError):
        killing.check(tmp_path, [["finding", "not there"]])
    (tmp_path / "flights" / "first" / "evidence" / "board.csv").write_bytes(b"else")
    with pytest.raises(AssertionError):
        killing.check(tmp_path, [])


# ---------------------------------------------------------------- a full disk


def fill(ledger) -> int:
    """Write until there is no room; return how many entries were acknowledged."""
    for count in range(10_000):
        try:
            ledger.add_action(f"{count} {'x' * 1000}")
        except ProblemError as error:
            if error.problems[0].code != "ledger-no-room":
                raise
            return count
    raise AssertionError("there was room without end")


def test_a_full_ledger_says_so_and_keeps_what_it_took(campaign):
    with open_ledger(campaign) as ledger:
        ledger.rows("PRAGMA max_page_count = 60")
        count = fill(ledger)
        assert count > 20
        assert len(ledger.actions()) == count
        ledger.rows("PRAGMA max_page_count = 100000")
        ledger.add_action("after room was made")
    with open_ledger(campaign) as ledger:
        assert len(ledger.actions()) == count + 1
        assert verify(ledger).is_whole


AT_A_LIMIT = """
import resource, sys
from pathlib import Path
from loftwright.errors import ProblemError
from loftwright.ledger.ledger import open_ledger
with open_ledger(Path(sys.argv[1])) as ledger:
    resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
    count = 0
    try:
        while count < 10_000:
            ledger.add_action(f"{count} {'x' * 1000}")
            count += 1
    except ProblemError as error:
        print(count, error.problems[0].code)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files")
def test_a_system_that_refuses_to_write_is_told(campaign):
    done = subprocess.run(
        [sys.executable, "-c", AT_A_LIMIT, str(campaign)],
        check=True, capture_output=True, encoding="utf-8",
    )  # fmt: skip
    count, code = done.stdout.split()
    assert code == "ledger-no-room"
    with open_ledger(campaign) as ledger:
        assert len(ledger.actions()) == int(count) > 20
        assert verify(ledger).is_whole


@pytest.fixture
def small_disk(tmp_path):
    """A disk of half a megabyte, that can be protected; where the system lets us have one."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = shutil.which("mount") and subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(place)],
        check=False, capture_output=True,
    ).returncode == 0  # fmt: skip
    if not mounted:
        pytest.skip("only somebody who may mount can make a full disk")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def protect(place: Path) -> None:
    done = subprocess.run(
        ["mount", "-o", "remount,ro", str(place)], check=False, capture_output=True
    )
    if done.returncode:
        pytest.skip("this system does not remount")


def test_a_full_disk_is_told_and_nothing_is_lost(small_disk):
    with open_ledger(small_disk) as ledger:
        count = fill(ledger)
    assert count > 20
    with open_ledger(small_disk) as ledger:
        assert len(ledger.actions()) == count
        assert verify(ledger).is_whole


def test_a_disk_too_full_for_the_copy_leaves_the_ledger_of_before(small_disk):
    file = small_disk / FILE
    with closing(sqlite3.connect(file, isolation_level=None)) as database:
        migrate(database, None, 1)
        database.execute("INSERT INTO action (noted, what) VALUES ('then', ?)", ("x" * 300_000,))
    with pytest.raises(ProblemError) as told:
        open_ledger(small_disk)
    assert codes(told) == ["ledger-no-room"]
    with closing(sqlite3.connect(file)) as database:
        assert database.execute("PRAGMA user_version").fetchone() == (1,)
        assert database.execute("SELECT length(what) FROM action").fetchone() == (300_000,)
    assert [each.name for each in small_disk.iterdir()] == [FILE]


# ---------------------------------------------------------------- write-protected


def noted(folder: Path) -> dict:
    """Make a ledger with an entry; return all that is in it."""
    with open_ledger(folder) as ledger:
        ledger.add_action("Fit a second hook")
        return content(ledger)


def test_a_protected_disk_is_read_and_says_why_it_is_not_written(small_disk):
    there = noted(small_disk)
    campaigns.add_flight(small_disk, "late", build=False)
    protect(small_disk)
    with open_ledger(small_disk) as ledger:
        assert not ledger.may_write
        assert content(ledger) == there
        assert take_in(ledger).waiting == ("late",)
        with pytest.raises(ProblemError) as told:
            ledger.add_action("more")
    assert codes(told) == ["ledger-read-only"]


def test_a_protected_disk_without_a_ledger_says_so(small_disk):
    protect(small_disk)
    with pytest.raises(ProblemError) as told:
        open_ledger(small_disk)
    assert codes(told) == ["ledger-read-only"]


def test_what_was_left_in_the_log_is_read_from_a_protected_disk(small_disk, tmp_path):
    """As after a program was killed: the log beside the ledger holds its last entries."""
    (tmp_path / "own").mkdir()
    with open_ledger(tmp_path / "own") as ledger:
        ledger.add_action("in the log")
        for path in (tmp_path / "own").glob(f"{FILE}*"):
            shutil.copy(path, small_disk)
    (small_disk / f"{FILE}-shm").unlink()
    assert (small_disk / f"{FILE}-wal").stat().st_size > 0
    protect(small_disk)
    with open_ledger(small_disk) as ledger:
        assert [each.what for each in ledger.actions()] == ["in the log"]
        assert not ledger.may_write


def test_an_old_ledger_is_read_from_a_protected_disk(small_disk):
    with closing(sqlite3.connect(small_disk / FILE, isolation_level=None)) as database:
        migrate(database, None, 1)
        database.execute("INSERT INTO action (noted, what) VALUES ('then', 'a hook')")
    protect(small_disk)
    with open_ledger(small_disk) as ledger:
        assert [each.what for each in ledger.actions()] == ["a hook"]
        assert ledger.rows("PRAGMA user_version") == [(VERSION,)]
    with closing(sqlite3.connect(f"file:{small_disk / FILE}?mode=ro", uri=True)) as database:
        assert database.execute("PRAGMA user_version").fetchone() == (1,)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_a_folder_without_permission_to_write_is_read(campaign):
    there = noted(campaign)
    campaign.chmod(0o555)
    try:
        with open_ledger(campaign) as ledger:
            assert content(ledger) == there
            with pytest.raises(ProblemError) as told:
                ledger.add_action("more")
    finally:
        campaign.chmod(0o755)
    assert codes(told) == ["ledger-read-only"]


def test_protection_that_comes_while_the_ledger_is_open_is_told(campaign):
    """The connection refuses as it does when a disk turns write-protected under it."""
    with open_ledger(campaign) as ledger:
        ledger.add_action("there")
        ledger.rows("PRAGMA query_only = ON")
        with pytest.raises(ProblemError) as told:
            ledger.add_action("more")
        assert codes(told) == ["ledger-read-only"]
        assert [each.what for each in ledger.actions()] == ["there"]
