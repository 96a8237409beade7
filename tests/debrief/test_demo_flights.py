"""The demo's recorded flights: whole, marked as invented, and made by the script beside them."""

from __future__ import annotations

import importlib.util
import json
import shutil
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from loftwright.debrief.scoring.kept_forecast import read_kept_forecast
from loftwright.documents.reading import read_campaign
from loftwright.evidence.flight_log import read_flight_log
from loftwright.evidence.recorded_flight import flights_of, read_recorded_flight

EXAMPLES = Path(__file__).parents[2] / "examples"
FLOWN = EXAMPLES / "sedge-lift-flown"
NAMES = ("2026-05-09-a", "2026-05-09-b", "2026-05-16-a")
LOG = "evidence/board.csv"
LARGEST = 300_000  # bytes of a file


@pytest.fixture(scope="module")
def maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_flights", EXAMPLES / "make_flights.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # where dataclasses look up their annotations
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def made(maker: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Path:
    copy = tmp_path_factory.mktemp("made") / "campaign"
    copy.mkdir()
    for document in FLOWN.glob("*.toml"):
        shutil.copy(document, copy / document.name)
    maker.make(copy)
    return copy


def test_there_are_the_flights_that_the_docs_tell_of() -> None:
    assert flights_of(FLOWN) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_a_flight_is_whole_and_marked_as_invented(name: str) -> None:
    flight = read_recorded_flight(FLOWN, name)
    assert not flight.warnings
    assert flight.record.note is not None
    assert flight.record.note.startswith("Invented")
    head = (flight.folder / LOG).read_text(encoding="utf-8").splitlines()[0]
    assert head.startswith("# Invented")
    assert flight.forecast is not None
    kept = read_kept_forecast(flight.forecast)
    assert kept.documents == dict(sorted(flight.campaign.hashes.items()))
    assert kept.made[:10] < str(flight.record.flown)[:10]
    for file in flight.folder.rglob("*.*"):
        assert not file.is_file() or file.stat().st_size < LARGEST


@pytest.mark.parametrize("name", NAMES)
def test_a_log_reads_without_being_told_how(name: str) -> None:
    (log,) = read_recorded_flight(FLOWN, name).logs
    read = read_flight_log(log.path)
    assert read.pressure_pa is not None
    assert np.isfinite(read.pressure_pa).all()
    assert read.push_m_s2 is not None
    assert [mark.words for mark in read.marks][:2] == ["pad", "climbing"]


def test_it_flew_the_documents_that_the_campaign_still_has() -> None:
    now = read_campaign(FLOWN).hashes
    for name in NAMES:
        assert read_recorded_flight(FLOWN, name).campaign.hashes == now


def test_the_documents_are_those_of_the_rehearsed_demo() -> None:
    rehearsed, now = (read_campaign(EXAMPLES / name).hashes
                      for name in ("sedge-lift-rehearsed", "sedge-lift-flown"))  # fmt: skip
    assert {name for name in now if now[name] != rehearsed[name]} == {"campaign.toml"}


@pytest.mark.parametrize("name", NAMES)
def test_the_script_still_makes_the_log(made: Path, name: str) -> None:
    kept, again = (read_flight_log(folder / "flights" / name / LOG) for folder in (FLOWN, made))
    np.testing.assert_array_equal(again.time_s, kept.time_s)
    assert again.marks == kept.marks
    # A last digit may round the other way on a processor that computes otherwise.
    for column, last in (("pressure_pa", 0.1), ("push_m_s2", 0.01)):
        ours, theirs = getattr(again, column), getattr(kept, column)
        np.testing.assert_allclose(ours, theirs, rtol=0.0, atol=1.01 * last)
        assert (ours == theirs).mean() > 0.99


@pytest.mark.parametrize("name", NAMES)
def test_the_script_still_makes_the_words(made: Path, name: str) -> None:
    def words(folder: Path) -> list[str]:
        text = (folder / "flights" / name / "flight.toml").read_text(encoding="utf-8")
        return [line for line in text.splitlines() if not line.startswith("sha256")]

    assert words(made) == words(FLOWN)


@pytest.mark.parametrize("name", NAMES)
def test_the_script_still_makes_the_forecast(made: Path, name: str) -> None:
    kept, again = (
        json.loads((folder / "flights" / name / "forecast.json").read_text(encoding="utf-8"))
        for folder in (FLOWN, made)
    )
    for figure in ("apogee_m", "touchdown_vehicle_time_s", "release_time_s"):
        assert again["samples"][figure] == pytest.approx(kept["samples"][figure], rel=1e-6)
