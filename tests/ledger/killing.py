"""Kill a program that writes to a ledger, again and again, and see that nothing is lost.

    python tests/ledger/killing.py --kills 1000 --seed 1

Each time a child process writes entry after entry, and says so of each only when the ledger has
taken it; at a random moment it gets SIGKILL. Then the ledger must open, be whole, hold every entry
of which was said that it was taken, and none by half. One time in five the child is killed while it
brings a ledger of version 1 up to date. Systems without fork cannot run this.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from loftwright.ledger.ledger import Ledger, open_ledger
from loftwright.ledger.opening import FILE, backup_of
from loftwright.ledger.schema import APPLICATION, STEPS, VERSION
from loftwright.ledger.taking_in import take_in
from loftwright.ledger.verify import verify

MOST_BEFORE = 6  # entries that a child writes before its time runs
WINDOW = 2.0  # and then, by the pace of this disk, until it is killed at the latest
A_CAMPAIGN = 25  # kills after which a new one is begun, so that looking at all stays quick
EVIDENCE = b"time_s,height_m\n0,0\n1,14\n"


@dataclass
class Seen:
    """What a run has come to."""

    kills: int = 0
    acknowledged: int = 0
    entries: int = 0
    while_migrating: int = 0
    old_left: int = 0  # killed before the new version stood


def make_flight(folder: Path, name: str) -> None:
    """Make a flight's folder with its evidence, ready to be taken in."""
    place = folder / "flights" / name
    (place / "evidence").mkdir(parents=True)
    (place / "build").mkdir()
    (place / "build" / "campaign.toml").write_text(f'name = "{name}"\n', encoding="utf-8")
    (place / "evidence" / "board.csv").write_bytes(EVIDENCE)
    (place / "flight.toml").write_text(
        f'name = "{name}"\n[[evidence]]\nfile = "board.csv"\nkind = "log"\n'
        f'sha256 = "{hashlib.sha256(EVIDENCE).hexdigest()}"\nsize = {len(EVIDENCE)}\n',
        encoding="utf-8",
    )


def write_on(folder: Path, seed: int, say) -> None:
    """Write entries of all kinds without end; ``say`` each once the ledger has taken it."""
    draw = random.Random(seed)
    with open_ledger(folder) as ledger:
        flights = [each.name for each in ledger.flights()]
        while True:
            what = f"{seed}-{draw.getrandbits(48):x} {'·' * draw.randrange(600)}"
            flight = draw.choice(flights)
            kind = draw.choice(["finding", "action", "decision", "judge", "close", "flight"])
            if kind == "finding":
                ledger.add_finding(what, flight=flight, evidence=["board.csv"])
            elif kind == "action":
                ledger.add_action(what)
            elif kind == "decision":
                ledger.add_decision(what, why=what, evidence=[f"{flight}/board.csv"])
            elif kind == "judge":
                ledger.judge(flight, "canopy", "worked", why=what)
            elif kind == "close":
                number = ledger.add_action(f"to close {what}").number
                say(["action", f"to close {what}"])
                ledger.close_action(number, why=what)
            else:
                what = f"flight-{seed}-{draw.getrandbits(48):x}"
                make_flight(folder, what)
                take_in(ledger)
                flights.append(what)
            say([kind, what])


def killed(work, after: int, delay: float) -> list[list[str]]:
    """Run ``work(say)`` in a child, kill it ``delay`` s after it said so many things.

    Returns all that it said; 0 counts from its beginning.
    """
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        try:
            os.write(writer, b"\n")
            work(lambda said: os.write(writer, json.dumps(said).encode() + b"\n"))
        except BaseException as error:
            os.write(writer, json.dumps(["error", repr(error)]).encode() + b"\n")
        os._exit(1)
    os.close(writer)
    said = b""
    while said.count(b"\n") <= after and (part := os.read(reader, 1 << 16)):
        said += part
    time.sleep(delay)
    os.kill(child, signal.SIGKILL)
    while part := os.read(reader, 1 << 16):
        said += part
    os.close(reader)
    os.waitpid(child, 0)
    return [json.loads(line) for line in said.split(b"\n") if line]


def check(folder: Path, said: list[list[str]]) -> int:
    """Hold a ledger to everything that was ever acknowledged; return how many entries it has."""
    assert [each for each in said if each[0] == "error"] == []
    with open_ledger(folder) as ledger:
        found = verify(ledger)
        assert found.problems == (), found.problems
        there = {
            "finding": {each.what for each in ledger.findings()},
            "action": {each.what for each in ledger.actions()},
            "decision": {each.what for each in ledger.decisions()},
            "judge": {each.why for each in ledger.judgements()},
            "close": {each.closed_why for each in ledger.actions() if not each.is_open},
            "flight": {each.name for each in ledger.flights()},
        }
        lost = [(kind, what) for kind, what in said if what.strip() not in there[kind]]
        assert lost == []
        assert whole(ledger)
        return sum(map(len, there.values()))


def whole(ledger: Ledger) -> bool:
    """Tell whether no entry is there by half."""
    return (
        all(len(each.evidence) == 1 for each in (*ledger.findings(), *ledger.decisions()))
        and all(len(ledger.evidence(each.name)) == 1 for each in ledger.flights())
        and all(each.build is not None for each in ledger.flights())
    )


def time_of_a_write() -> float:
    """Return how long an entry takes on this disk, s."""
    with (
        tempfile.TemporaryDirectory(prefix="loftwright-kill-") as name,
        open_ledger(Path(name)) as ledger,
    ):
        begun = time.perf_counter()
        for number in range(10):
            ledger.add_action(f"{number}")
        return (time.perf_counter() - begun) / 10.0


def kill_writers(folder: Path, kills: int, window: float, draw: random.Random, seen: Seen) -> None:
    """Begin a campaign, and kill those who write to its ledger."""
    make_flight(folder, "first")
    with open_ledger(folder) as ledger:
        take_in(ledger)
    said: list[list[str]] = []
    for _ in range(kills):
        seed, after = draw.getrandbits(48), draw.randrange(MOST_BEFORE)
        delay = draw.uniform(0.0, window)
        new = killed(lambda say, seed=seed: write_on(folder, seed, say), after, delay)
        said += new
        seen.kills += 1
        seen.acknowledged += len(new)
        entries = check(folder, said)
    seen.entries += entries


def kill_while_migrating(folder: Path, window: float, draw: random.Random, seen: Seen) -> None:
    """Kill a program that brings a ledger of version 1 up to date."""
    file = folder / FILE
    with closing(sqlite3.connect(file, isolation_level=None)) as database:
        database.execute("BEGIN")
        for statement in STEPS[0]:
            database.execute(statement)
        for number in range(400):
            row = (number + 1, "2026-05-03", f"{number} {'·' * 200}")
            database.execute("INSERT INTO action (number, noted, what) VALUES (?, ?, ?)", row)
        database.execute("PRAGMA user_version = 1")
        database.execute(f"PRAGMA application_id = {APPLICATION}")
        database.execute("COMMIT")
    killed(lambda say: open_ledger(folder).close(), 0, draw.uniform(0.0, 5.0 * window))
    seen.kills += 1
    seen.while_migrating += 1
    with closing(sqlite3.connect(file)) as database:
        seen.old_left += database.execute("PRAGMA user_version").fetchone()[0] < VERSION
    with open_ledger(folder) as ledger:
        assert len(ledger.actions()) == 400
        assert verify(ledger).is_whole
    with closing(sqlite3.connect(backup_of(file, 1))) as database:
        assert database.execute("PRAGMA user_version").fetchone()[0] == 1
        assert database.execute("SELECT count(*) FROM action").fetchone()[0] == 400


def run(kills: int, seed: int, progress=lambda seen: None) -> Seen:
    """Kill so often, and return what was seen; fails where anything is lost or half there."""
    draw, seen = random.Random(seed), Seen()
    while seen.kills < kills:
        window = WINDOW * time_of_a_write()
        folder = Path(tempfile.mkdtemp(prefix="loftwright-kill-"))
        try:
            (folder / "a").mkdir()
            (folder / "b").mkdir()
            kill_writers(
                folder / "a", min(A_CAMPAIGN, max(kills - seen.kills - 1, 1)), window, draw, seen
            )
            for number in range(max(1, min(A_CAMPAIGN // 4, kills - seen.kills))):
                (folder / "b" / str(number)).mkdir()
                kill_while_migrating(folder / "b" / str(number), window, draw, seen)
        finally:
            shutil.rmtree(folder)
        progress(seen)
    return seen


def main() -> None:
    """Run as a script."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    begun = time.perf_counter()
    seen = run(asked.kills, asked.seed, lambda seen: print(seen, file=sys.stderr))
    print(f"{seen}\nnothing lost, in {time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
