"""Whether the ledger and the evidence are what they were."""

from __future__ import annotations

import hashlib
import shutil

import pytest
from ledger import campaigns

from loftwright.ledger.taking_in import take_in
from loftwright.ledger.verify import verify


def amiss(ledger) -> list[tuple[str, str]]:
    return [(each.code, each.where.file) for each in verify(ledger).problems]


BOARD = "flights/first-lift/evidence/board.csv"


def test_all_is_as_it_was(ledger):
    found = verify(ledger)
    assert found.is_whole
    assert (found.flights, found.files) == (2, 1)
    assert found.size == len(b"time_s,height_m\n0,0\n")


def test_a_changed_byte_is_found(ledger, flown):
    campaigns.change(flown / BOARD, "0,0", "0,1")
    assert amiss(ledger) == [("ledger-evidence-changed", BOARD)]


@pytest.mark.parametrize("spoil", [lambda path: path.unlink(), campaigns.folder])
def test_a_file_that_is_gone_is_found(ledger, flown, spoil):
    spoil(flown / BOARD)
    assert amiss(ledger) == [("ledger-evidence-missing", BOARD)]


def test_a_flight_that_is_gone_is_found(ledger, flown):
    shutil.rmtree(flown / "flights" / "first-lift")
    assert amiss(ledger) == [("ledger-evidence-missing", "flights/first-lift")]


def test_a_digest_that_was_rewritten_with_its_file_is_found(ledger, flown):
    """Somebody changed the evidence, and flight.toml to go with it."""
    (old,) = ledger.evidence("first-lift")
    campaigns.change(flown / BOARD, "0,0", "9,9")
    new = hashlib.sha256((flown / BOARD).read_bytes()).hexdigest()
    campaigns.change(flown / "flights" / "first-lift" / "flight.toml", old.sha256, new)
    take_in(ledger)
    assert amiss(ledger) == [("ledger-evidence-changed", BOARD)] * 2


def test_a_document_that_was_tampered_with_is_found(ledger):
    with ledger.writing() as database:
        database.execute("UPDATE document SET content = x'20' WHERE sha256 = ?",
                         (ledger.flights()[0].record,))  # fmt: skip
    assert [code for code, _ in amiss(ledger)] == ["ledger-damaged"]


def test_a_build_that_lost_a_document_is_found(ledger):
    with ledger.writing() as database:
        database.execute("DELETE FROM build_document WHERE file = 'site.toml' AND build = ?",
                         (ledger.flights()[0].build,))  # fmt: skip
    assert [code for code, _ in amiss(ledger)] == ["ledger-damaged"]


def test_an_entry_that_leads_nowhere_is_found(ledger):
    ledger.rows("PRAGMA foreign_keys = OFF")
    with ledger.writing() as database:
        database.execute("INSERT INTO judgement (noted, flight, function, outcome) "
                         "VALUES ('now', 'third', 'launch', 'worked')")  # fmt: skip
    (problem,) = verify(ledger).problems
    assert problem.code == "ledger-damaged"
    assert problem.message == "an entry of judgement leads to none of flight"
