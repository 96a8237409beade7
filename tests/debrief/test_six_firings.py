"""The figures on file are what the reader makes of the records, where the records are."""

from __future__ import annotations

from pathlib import Path

import pytest
from debrief.six_firings import figures_of, six_stored, stored, written

from loftwright.evidence.record import read_firing_record
from loftwright.evidence.thrust import measure_firing


def test_the_figures_on_file_are_recomputed_from_the_records(measured_firings: list[Path]) -> None:
    on_file = stored()
    assert [path.stem for path in measured_firings] == list(on_file)
    for path in measured_firings:
        found = figures_of(measure_firing(read_firing_record(path)))
        row = on_file[path.stem]
        assert found.pop("sha256") == row.pop("sha256")
        assert row == pytest.approx(found, rel=2e-5)


def test_a_firing_on_file_is_written_as_it_was_read() -> None:
    def rows(text: str) -> list[str]:
        return [line for line in text.splitlines() if "=" in line]

    again = written(six_stored())
    text = (Path(__file__).with_name("six_firings.toml")).read_text(encoding="utf-8")
    assert rows(again) == rows(text)
