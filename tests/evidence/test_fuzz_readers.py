"""A short run of the fuzzer; ``fuzz_readers.py`` by itself does the long ones."""

from __future__ import annotations

from evidence.fuzz_readers import run


def test_no_broken_file_breaks_a_reader() -> None:
    failed: list[str] = []
    outcomes = run(400, seed=11, told=failed.append)
    assert failed == []
    assert outcomes.total() == 400
    assert len(outcomes) > 12  # it is not all refused for one reason
    assert outcomes["read"] > 40
