"""Columns of very many flights: flat in memory, read back as they were, gone with their owner."""

from __future__ import annotations

import errno
import gc
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from flight.campaigns import example

from loftwright.errors import ProblemError
from loftwright.flight import forecast as forecast_module
from loftwright.flight import store
from loftwright.flight.blocks import Block
from loftwright.flight.forecast import forecast
from loftwright.flight.statistics import statistics
from loftwright.flight.store import ColumnsOnDisk, Store, head

CAMPAIGN = example("sedge-lift")


def parts(flights: int, step: int = 700):
    stream = np.random.default_rng(3)
    for _ in range(0, flights, step):
        values = stream.standard_normal((step, 3))
        values[values[:, 2] > 1.0, 2] = np.nan
        yield {"a": values[:, 0], "b": values[:, 1], "c_s": values[:, 2]}


def kept(flights: int, asked: int) -> Store:
    found = Store(asked)
    for part in parts(flights):
        found.append(part)
    return found


@pytest.fixture
def pair():
    """The same columns in memory and on disk."""
    return kept(7000, 7000).columns(), kept(7000, store.STREAMED_ABOVE + 1).columns()


def test_columns_on_disk_are_those_in_memory(pair):
    memory, disk = pair
    assert isinstance(memory, dict)
    assert isinstance(disk, ColumnsOnDisk)
    assert list(disk) == list(memory)
    assert len(disk) == 3
    assert "a" in disk
    assert disk.get("d") is None
    with pytest.raises(KeyError):
        disk["d"]
    for name, values in disk.items():
        assert values.tobytes() == memory[name].tobytes()
    for name, values in head(disk, 100).items():
        assert values.tobytes() == head(memory, 100)[name].tobytes()


def test_statistics_are_the_same_to_the_last_digit(pair):
    memory, disk = pair
    assert statistics(disk) == statistics(memory)
    assert statistics(disk)["c_s"]["count"] < 7000


def test_what_is_read_cannot_be_changed_by_mistake(pair):
    with pytest.raises(ValueError, match="read-only"):
        pair[1]["a"][0] = 1.0


def test_the_scratch_folder_goes_with_its_owner():
    columns = kept(1400, store.STREAMED_ABOVE + 1).columns()
    folder = columns._folder
    assert len(list(folder.iterdir())) == 3
    del columns
    gc.collect()
    assert not folder.exists()


def test_a_full_disk_is_told_in_one_line(monkeypatch):
    columns = ColumnsOnDisk()

    def full(*_arguments):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(ProblemError) as caught:
        columns.append({"a": np.zeros(3)})
    (problem,) = caught.value.problems
    assert problem.code == "file-not-written"
    assert "No space left" in problem.message
    assert "\n" not in problem.message
    assert "TMPDIR" in problem.mend


def test_no_scratch_folder_is_told(monkeypatch, tmp_path):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "none"))
    with pytest.raises(ProblemError) as caught:
        ColumnsOnDisk()
    assert caught.value.problems[0].code == "file-not-written"


def test_memory_does_not_grow_with_the_number_of_flights(monkeypatch):
    """Twenty columns of 400 000 flights are 64 MB; no more than a few of them are ever held."""
    flights, step, names = 400_000, 2000, [f"figure_{i}" for i in range(20)]
    nominal = forecast(CAMPAIGN)

    def fly(_recipe, first, last):
        stream = np.random.default_rng(1)
        for start in range(first, last, step):
            columns = {name: stream.standard_normal(step) for name in names}
            yield Block(start, {**columns, "outcome": np.zeros(step)}, {})

    monkeypatch.setattr(forecast_module, "fly_here", fly)
    monkeypatch.setattr(forecast_module, "bands_of", lambda *_: None)
    monkeypatch.setattr(forecast_module, "_single", lambda *_: nominal)
    tracemalloc.start()
    try:
        found = forecast(CAMPAIGN, flights=flights)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert found.statistics["figure_3"]["count"] == flights
    assert "outcome" not in found.statistics
    assert peak < 24e6


def test_a_streamed_ensemble_is_the_one_in_memory(monkeypatch):
    plain = forecast(CAMPAIGN, flights=300)
    monkeypatch.setattr(store, "STREAMED_ABOVE", 100)
    streamed = forecast(CAMPAIGN, flights=300)
    assert isinstance(streamed.columns, ColumnsOnDisk)
    assert isinstance(streamed.drawn, ColumnsOnDisk)
    for one, other in ((streamed.columns, plain.columns), (streamed.drawn, plain.drawn)):
        assert list(one) == list(other)
        for name in one:
            assert one[name].tobytes() == other[name].tobytes()
    assert streamed.statistics == plain.statistics
    assert streamed.drivers == plain.drivers
