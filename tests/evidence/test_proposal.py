"""What is proposed of a file shows enough that a wrong reading is seen, and corrections follow."""

from __future__ import annotations

import numpy as np
import pytest
from evidence.synthetic_logs import TOP, flown, written
from hypothesis import given
from hypothesis import strategies as st

from loftwright.errors import ProblemError
from loftwright.evidence.log_choice import LogOptions
from loftwright.evidence.proposal import propose_file, units_offered
from loftwright.evidence.table_preview import MOST_BINS, _Bins
from loftwright.evidence.taking import Told

FLIGHT = flown(seconds=45.0)
FEET = 0.3048  # m, exact (NIST SP 811, B.8)


def put(tmp_path, columns, names=(), name="log.csv", **form):
    path = tmp_path / name
    path.write_text(written(columns, names, **form))
    return path


def test_a_log_is_proposed_with_its_columns_and_what_the_reading_makes_of_it(tmp_path):
    path = put(tmp_path, [FLIGHT.time * 1e3, FLIGHT.pressure / 100.0], ("ms", "baro (hPa)"))
    found = propose_file(path, Told(), ())
    assert found.ready
    assert [(each.role, each.unit) for each in found.columns] == [
        ("time", "ms"),
        ("pressure", "hPa"),
    ]
    assert found.rise_m == pytest.approx(TOP, abs=3.0)
    assert found.duration_s == pytest.approx(45.0, abs=0.1)
    assert len(found.flights) == 1


def test_a_column_is_drawn_from_its_least_to_its_most(tmp_path):
    path = put(tmp_path, [FLIGHT.time, FLIGHT.pressure], ("s", "pressure (Pa)"))
    table = propose_file(path, Told(), ()).table
    assert table is not None
    drawn = table.columns[1]
    assert len(drawn.low) <= 2 * MOST_BINS
    assert drawn.low.min() == pytest.approx(FLIGHT.pressure.min(), abs=1e-3)
    assert drawn.high.max() == pytest.approx(FLIGHT.pressure.max(), abs=1e-3)
    assert [each[:5] for each in drawn.cells[:1]] == [f"{FLIGHT.pressure[0]:.3f}"[:5]]


def test_odd_units_and_decimal_commas_are_corrected(tmp_path):
    columns = [FLIGHT.time, FLIGHT.height / FEET, FLIGHT.pressure]
    path = put(tmp_path, columns, ("a", "b", "c"), delimiter=";", decimal=",")
    told = Told("log", LogOptions({"time": "a", "height": "b"}, {"b": "ft"}, ignored=("c",)), True)
    found = propose_file(path, told, ())
    assert found.ready
    assert found.rise_m == pytest.approx(TOP, abs=3.0)
    wrong = Told("log", LogOptions({"time": "a", "height": "b"}, {"b": "m"}, ignored=("c",)), True)
    assert propose_file(path, wrong, ()).rise_m == pytest.approx(TOP / FEET, rel=0.05)


def test_what_cannot_be_read_yet_shows_its_columns_all_the_same(tmp_path):
    path = put(tmp_path, [FLIGHT.time, FLIGHT.height], ("time (s)", "height"))
    found = propose_file(path, Told(), ())
    assert not found.ready
    assert found.problems[0].code == "log-unit-missing"
    assert [each.role for each in found.columns] == ["time", "height"]
    assert found.table is not None
    assert found.table.columns[1].cells
    told = Told(None, LogOptions(units={"2": "m"}), tells_layout=True)
    assert propose_file(path, told, ()).ready


def test_the_flights_of_a_file_are_listed_whichever_is_chosen(tmp_path):
    time = np.concatenate([FLIGHT.time, FLIGHT.time + 60.0])
    pressure = np.concatenate([FLIGHT.pressure, FLIGHT.pressure])
    path = put(tmp_path, [time, pressure], ("s", "pressure (Pa)"))
    unchosen = propose_file(path, Told(), ())
    assert unchosen.problems[0].code == "log-several-flights"
    assert len(unchosen.flights) == 2
    second = propose_file(path, Told(None, LogOptions(flight_number=2)), ())
    assert second.ready
    assert second.flight_number == 2
    assert [each.liftoff_s for each in second.flights] == [
        each.liftoff_s for each in unchosen.flights
    ]


def test_a_firing_shows_its_columns(tmp_path):
    time = np.arange(3000) / 2000.0
    force = np.where((time > 0.5) & (time < 0.7), 80.0, 0.0)
    path = put(tmp_path, [time, force], ("time (s)", "force (N)"), digits=(5, 2))
    found = propose_file(path, Told(), ())
    assert found.kind == "firing"
    assert found.ready
    assert [each.role for each in found.columns] == ["time", "force"]
    assert found.rows == 3000


def test_a_file_that_is_no_table_has_no_columns(tmp_path):
    path = tmp_path / "words.txt"
    path.write_text("nothing but words\n")
    found = propose_file(path, Told(), ())
    assert (found.kind, found.table, found.columns) == ("other", None, ())
    assert not propose_file(path, Told("log"), ()).ready


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(ProblemError):
        propose_file(tmp_path / "gone.csv", Told(), ())


def test_units_to_choose_are_units_that_are_read():
    assert "ft" in units_offered("height")
    assert units_offered("state") == ()
    assert "kgf" in units_offered("force")


@given(
    st.lists(st.integers(min_value=0, max_value=2000), min_size=1, max_size=6),
    st.integers(min_value=0, max_value=2**32 - 1),
)
def test_parts_hold_the_least_and_the_most_whatever_pieces_rows_come_in(sizes, seed):
    values = np.random.default_rng(seed).normal(size=(sum(sizes), 2))
    bins, at = _Bins(2), 0
    for size in sizes:
        bins.feed(values[at : at + size])
        at += size
    low, high = bins.finish()
    assert len(low) <= 2 * MOST_BINS
    if len(values):
        assert (low.min(axis=0) == values.min(axis=0)).all()
        assert (high.max(axis=0) == values.max(axis=0)).all()
