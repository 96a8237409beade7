"""Flights as Parquet: whole or partial, gone on with only where they belong together."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from flight.campaigns import example

from loftwright.errors import ProblemError
from loftwright.flight import flights_file
from loftwright.flight.blocks import Block
from loftwright.flight.flights_file import partial_path, through
from loftwright.flight.forecast import forecast
from loftwright.flight.results import Provenance

pq = pytest.importorskip("pyarrow.parquet", reason="the optional pyarrow is not installed")

MADE_BY = Provenance({"vehicle.toml": "12ab"}, "model 1", 7, 1000, 1e-6)
STEP = 100


@pytest.fixture(autouse=True)
def _small_groups(monkeypatch):
    monkeypatch.setattr(flights_file, "ROWS", 250)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "many.parquet"


def block(first: int) -> Block:
    numbers = np.arange(first, first + STEP, dtype=float)
    happened = np.where(numbers % 3 == 0, np.nan, np.sqrt(numbers))
    columns = {"apogee_m": np.sin(numbers), "release_s": happened, "outcome": numbers % 2}
    return Block(first, columns, {"vehicle.mass.dry": np.cos(numbers)})


def fly(first: int, until: int = 1000, end: BaseException | None = None):
    for start in range(first, until, STEP):
        yield block(start)
    if end is not None:
        raise end


def stopped(path, until, end=None, **others):
    """Write flights until something ends it."""
    end = KeyboardInterrupt() if end is None else end
    with pytest.raises(type(end)):
        list(through(path, MADE_BY, lambda first: fly(first, until, end), **others))


def codes(caught) -> list[str]:
    return [problem.code for problem in caught.value.problems]


def test_a_row_is_a_flight(path):
    seen = list(through(path, MADE_BY, fly))
    assert [each.first for each in seen] == list(range(0, 1000, STEP))
    table = pq.read_table(path)
    expected = {name: np.concatenate([each.columns[name] for each in seen]) for name in
                ("apogee_m", "release_s", "outcome")}  # fmt: skip
    assert table["flight"].to_pylist() == list(range(1000))
    for name, values in expected.items():
        np.testing.assert_array_equal(table[name].to_numpy(), values)
    assert table["release_s"].null_count == 334
    assert "drawn_vehicle.mass.dry" in table.column_names
    assert pq.read_metadata(path).num_row_groups == 4
    about = json.loads(table.schema.metadata[b"loftwright"])
    assert about["documents_sha256"] == {"vehicle.toml": "12ab"}
    assert (about["seed"], about["model"], about["relative_tolerance"]) == (7, "model 1", 1e-6)
    assert about["outcomes"]["0"].startswith("Flew")


@pytest.mark.parametrize("until", [100, 200, 300, 900])
def test_what_was_flown_before_a_stop_can_be_read_and_gone_on_with(path, until):
    stopped(path, until)
    partial = partial_path(path)
    assert partial.name == "many.partial.parquet"
    assert pq.read_table(partial)["flight"].to_pylist() == list(range(until))
    assert list(path.parent.iterdir()) == [partial]
    asked = []

    def rest(first: int):
        asked.append(first)
        return fly(first)

    again = list(through(path, MADE_BY, rest, resume=True))
    assert asked == [until]
    assert list(path.parent.iterdir()) == [path]
    whole = path.with_name("whole.parquet")
    straight = list(through(whole, MADE_BY, fly))
    assert pq.read_table(path).equals(pq.read_table(whole))
    for name in ("apogee_m", "release_s", "outcome"):
        one, other = (np.concatenate([b.columns[name] for b in all_]) for all_ in (again, straight))
        np.testing.assert_array_equal(one, other)


def test_a_file_that_is_complete_is_lengthened(path):
    list(through(path, replace(MADE_BY, flights=300), lambda first: fly(first, 300)))
    list(through(path, MADE_BY, fly, resume=True))
    assert pq.read_metadata(path).num_rows == 1000


def test_resuming_where_nothing_stands_begins_at_the_first_flight(path):
    list(through(path, MADE_BY, fly, resume=True))
    assert pq.read_metadata(path).num_rows == 1000


def test_a_stop_before_the_first_flight_leaves_nothing(path):
    stopped(path, 0)
    assert list(path.parent.iterdir()) == []


def test_a_stop_while_going_on_never_leaves_less(path):
    stopped(path, 600)
    blocks = through(path, MADE_BY, fly, resume=True)
    assert next(blocks).first == 0
    blocks.close()
    assert pq.read_metadata(partial_path(path)).num_rows == 600


def test_an_earlier_run_is_not_thrown_away_unasked(path):
    stopped(path, 300)
    with pytest.raises(ProblemError) as caught:
        list(through(path, MADE_BY, fly))
    assert codes(caught) == ["command-begun"]
    assert "300 flights" in caught.value.problems[0].message
    assert pq.read_metadata(partial_path(path)).num_rows == 300


@pytest.mark.parametrize(
    ("other", "words"),
    [
        (replace(MADE_BY, seed=8), "seed differ"),
        (replace(MADE_BY, model="model 2"), "model differ"),
        (replace(MADE_BY, relative_tolerance=1e-5), "relative tolerance differ"),
        (replace(MADE_BY, documents={"vehicle.toml": "34cd"}), "documents sha256 differ"),
    ],
)
def test_flights_made_otherwise_are_refused(path, other, words):
    stopped(path, 300)
    with pytest.raises(ProblemError) as caught:
        list(through(path, other, fly, resume=True))
    assert codes(caught) == ["command-resume"]
    assert words in caught.value.problems[0].message
    assert pq.read_metadata(partial_path(path)).num_rows == 300


def test_flights_of_other_code_are_refused(path, monkeypatch):
    stopped(path, 300)
    monkeypatch.setattr(flights_file, "fingerprint", lambda: {"code": "other"})
    with pytest.raises(ProblemError, match="code differ"):
        list(through(path, MADE_BY, fly, resume=True))


def test_more_flights_than_are_asked_for_are_kept(path):
    list(through(path, MADE_BY, fly))
    with pytest.raises(ProblemError) as caught:
        list(through(path, replace(MADE_BY, flights=500), fly, resume=True))
    assert codes(caught) == ["command-resume"]
    assert pq.read_metadata(path).num_rows == 1000


@pytest.mark.parametrize("content", [b"", b"PAR1 no more"])
def test_a_file_that_cannot_be_read_is_told(path, content):
    partial_path(path).write_bytes(content)
    with pytest.raises(ProblemError) as caught:
        list(through(path, MADE_BY, fly, resume=True))
    assert codes(caught) == ["command-resume"]
    assert "\n" not in caught.value.problems[0].message
    assert partial_path(path).read_bytes() == content


def test_a_full_disk_is_told_and_leaves_the_old_file(path, monkeypatch):
    path.write_bytes(b"old")

    def full(*_arguments, **_others):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(pq.ParquetWriter, "write_table", full)
    with pytest.raises(ProblemError) as caught:
        list(through(path, MADE_BY, fly))
    assert codes(caught) == ["file-not-written"]
    assert "No space left" in caught.value.problems[0].message
    assert path.read_bytes() == b"old"
    assert list(path.parent.iterdir()) == [path]


def test_an_ensemble_stopped_and_resumed_is_the_one_flown_straight(path, monkeypatch):
    campaign = example("sedge-lift")
    straight = forecast(campaign, flights=900)

    def stop(done: int, _total: int) -> None:
        if done >= 512:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        forecast(campaign, flights=900, parquet=path, progress=stop)
    assert 512 <= pq.read_metadata(partial_path(path)).num_rows < 900
    resumed = forecast(campaign, flights=900, parquet=path, resume=True)
    for name, values in straight.columns.items():
        np.testing.assert_array_equal(resumed.columns[name], values)
    assert resumed.statistics == straight.statistics
    assert resumed.drivers == straight.drivers
    # Flown again where every flight stood in the file.
    again = forecast(campaign, flights=900, parquet=path, resume=True)
    for name, lane in straight.band.lanes.items():
        np.testing.assert_array_equal(again.band.lanes[name], lane)
