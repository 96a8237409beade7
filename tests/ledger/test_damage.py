"""Broken files in the place of a ledger: told in words, whatever is broken; never a traceback."""

from __future__ import annotations

import hashlib
import os

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger import campaigns

from loftwright.errors import ProblemError
from loftwright.ledger.exchange import content
from loftwright.ledger.history import flown_flights
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.opening import FILE
from loftwright.ledger.readiness import readiness
from loftwright.ledger.schema import STEPS
from loftwright.ledger.taking_in import take_in
from loftwright.ledger.verify import verify

TOLD = {"ledger-damaged", "ledger-not-ours", "ledger-newer", "ledger-no-such"}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A campaign whose ledger has something of everything, and the bytes of that ledger."""
    folder = campaigns.campaign(tmp_path_factory.mktemp("damage") / "c")
    campaigns.add_flight(folder, "one", outcome="success", files={"board.csv": b"x"})
    with open_ledger(folder) as ledger:
        take_in(ledger)
        for number in range(20):
            ledger.add_finding(f"{number}", flight="one", evidence=["board.csv"], unsettled=True)
            ledger.add_action(f"{number}", due="2026-05-03")
        ledger.add_decision("Fly", why="It holds", evidence=["one/board.csv"])
        ledger.judge("one", "canopy", "worked")
        ledger.keep_figures("one", {"apogee_m": (90.0, 1.0)}, made_by="board")
    return folder, (folder / FILE).read_bytes()


def use(folder) -> None:
    """Do with a ledger whatever can be done, or be told why not."""
    try:
        with open_ledger(folder) as ledger:
            take_in(ledger)
            content(ledger)
            flown_flights(ledger)
            readiness(ledger)
            verify(ledger)
    except ProblemError as error:
        if not {problem.code for problem in error.problems} <= TOLD:
            raise


@settings(max_examples=25)
@given(
    st.lists(
        st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), min_size=1, max_size=20
    ),
    st.booleans(),
)
def test_bytes_that_were_changed(made, changes, in_front):
    folder, whole = made
    broken = bytearray(whole)
    for place, byte in changes:
        broken[int(place * (8192 if in_front else len(whole)))] = byte
    for log in folder.glob(f"{FILE}-*"):
        log.unlink()
    (folder / FILE).write_bytes(broken)
    use(folder)


@pytest.mark.parametrize("share", [0.01, 0.3, 0.5, 0.99])
def test_a_file_that_was_cut_short(made, share):
    folder, whole = made
    for log in folder.glob(f"{FILE}-*"):
        log.unlink()
    (folder / FILE).write_bytes(whole[: int(share * len(whole))])
    use(folder)


def test_a_folder_or_a_pipe_in_its_place(tmp_path):
    (tmp_path / "a" / FILE).mkdir(parents=True)
    (tmp_path / "b").mkdir()
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "b" / FILE)
    else:
        (tmp_path / "b" / FILE).mkdir()
    for folder in (tmp_path / "a", tmp_path / "b"):
        with pytest.raises(ProblemError) as told:
            open_ledger(folder)
        assert [problem.code for problem in told.value.problems] == ["file-not-a-file"]


def test_steps_that_were_handed_out_are_never_changed():
    """Ledgers of these versions exist: what is to be different is a new step."""
    digests = [hashlib.sha256("\n".join(step).encode()).hexdigest()[:16] for step in STEPS]
    assert digests == ["da6f8bb2fc8028a7", "c091e61b37cb688f"]
