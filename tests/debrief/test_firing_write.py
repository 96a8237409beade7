"""A fit in words and in the vehicle's document."""

from __future__ import annotations

import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from debrief.made_up_firings import SDS, VALUES, known_firing
from debrief.stand_simulator import simulate

from loftwright.debrief.firings.features import observed
from loftwright.debrief.firings.fit import FiringFit, fit_firings
from loftwright.debrief.firings.prior import Prior
from loftwright.debrief.firings.words import fill_notes, provenance_comment, write_back, written
from loftwright.debrief.firings.write import write_fit
from loftwright.documents import read_campaign

EXAMPLE = Path(__file__).parents[2] / "examples" / "stand-bottle"


@pytest.fixture(scope="module")
def fit() -> FiringFit:
    return fit_firings([known_firing(0.8, 0.72, 1.5e-4)], VALUES, SDS, simulate)


@pytest.mark.parametrize(
    ("field", "value", "sd", "text"),
    [
        ("nozzle.flow_coefficient", 0.9137, 0.021, "0.91 ± 0.02"),
        ("nozzle.flow_coefficient", 0.9137, 0.0141, "0.914 ± 0.014"),
        ("nozzle.breakthrough_volume", 1.482e-4, 2.6e-5, "148 mL ± 26 mL"),
        ("fill.gauge_pressure", 275790.0, 4900.0, "276 kPa ± 5 kPa"),
        ("fill.water_volume", 1.0003e-3, 7.1e-6, "1.000 L ± 0.007 L"),
    ],
)
def test_a_value_as_it_is_written(field: str, value: float, sd: float, text: str) -> None:
    assert written(field, value, sd) == text


def test_the_nozzle_is_written_back_and_the_fill_only_when_asked(fit: FiringFit) -> None:
    assert set(write_back(fit)) == {
        "nozzle.flow_coefficient",
        "nozzle.velocity_coefficient",
        "nozzle.breakthrough_volume",
    }
    assert "fill.gauge_pressure" in write_back(fit, fills=True)


def test_the_notes_say_what_informed_what(fit: FiringFit) -> None:
    notes = {note.split(" ")[0]: note for note in fit.notes}
    assert "informed by central time" in notes["nozzle.flow_coefficient"]
    assert "informed by impulse" in " ".join(fit.notes)
    assert "hardly inform" in notes["fill.water_volume"]
    assert "the documents say 0.95 ± 0.03" in " ".join(fit.notes)


def test_a_header_that_differs_from_the_documents_is_told() -> None:
    conditions = {"pressure": 300e3, "water": 1.0}
    records = [known_firing(0.8, 0.72, 1.5e-4, conditions)]
    prior = Prior.of(VALUES, SDS, [observed(record) for record in records])
    (note,) = fill_notes(records, prior)
    assert note == (
        "made-up.txt: fill.gauge_pressure 300 kPa from the record's header, "
        "where the documents say 275.8 kPa"
    )


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_the_document_keeps_everything_else(fit: FiringFit, tmp_path: Path, ends: str) -> None:
    folder = Path(shutil.copytree(EXAMPLE, tmp_path / "stand"))
    path = folder / "vehicle.toml"
    before = path.read_text(encoding="utf-8")
    path.write_bytes(before.replace("\n", ends).encode())
    values = write_fit(path, fit)
    after = path.read_bytes().decode().replace(ends, "\n")
    assert path.read_bytes().count(b"\r\n") == (after.count("\n") if ends == "\r\n" else 0)
    assert f"# {provenance_comment(fit)}\n" in after
    kept = [line for line in before.split("\n") if "_coefficient" not in line]
    assert [line for line in after.split("\n") if line in kept] == kept
    assert tomllib.loads(after)["nozzle"]["flow_coefficient"] == values["nozzle.flow_coefficient"]
    nozzle = read_campaign(folder).vehicle.nozzle
    found = fit.fitted["nozzle.flow_coefficient"]
    assert nozzle.flow_coefficient.value == pytest.approx(found.value, abs=found.sd)
    assert nozzle.breakthrough_volume is not None


def test_a_second_fit_replaces_the_comment_of_the_first(fit: FiringFit, tmp_path: Path) -> None:
    path = Path(shutil.copytree(EXAMPLE, tmp_path / "stand")) / "vehicle.toml"
    write_fit(path, fit)
    other = replace(fit, records=(replace(fit.records[0], name="later.txt"),))
    write_fit(path, other)
    text = path.read_text(encoding="utf-8")
    assert text.count("# fitted to") == 1
    assert "later.txt" in text
