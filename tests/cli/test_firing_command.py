"""``loftwright firing``."""

from __future__ import annotations

import csv
import hashlib

import numpy as np
import pytest

from loftwright.cli.records import DELIMITERS, _spread
from loftwright.documents import read_campaign
from loftwright.evidence.layout import WORDS
from loftwright.flight.firing import static_firing

PROMISED = {
    "peak_thrust_n",
    "impulse_n_s",
    "water_out_s",
    "air_out_s",
    "pressure_at_water_out_pa",
    "temperature_at_water_out_k",
    "initial_air_mass_kg",
}
RATE = 2000


@pytest.fixture
def records(stand, tmp_path):
    """Two records of the stand's own bottle, computed, then dirtied: tare, weight, noise."""
    firing = static_firing(read_campaign(stand))
    paths = []
    for number in (1, 2):
        time = np.arange(0.0, 4.0, 1 / RATE)
        push = np.interp(time - 1.5, firing.time, firing.thrust, left=0.0, right=0.0)
        water = np.interp(time - 1.5, firing.time, firing.water_mass)
        noise = np.random.default_rng(number).normal(0.0, 0.1, time.size)
        force = push + 0.3 + 9.81 * (firing.water_mass[0] - water) + noise
        path = tmp_path / f"stand_{number}.txt"
        rows = "\n".join(f"{value:.3f}" for value in force)
        path.write_text(f"% rate {RATE} Hz\n% force in N\n{rows}\n", encoding="utf-8")
        paths.append(path)
    return paths


def test_answer_has_the_promised_keys(loftwright, stand):
    answer = loftwright("firing", stand, "--json").answer
    assert answer["schema"] == "loftwright/firing/1"
    assert set(answer) >= PROMISED
    assert "fitted" not in answer


def test_a_vehicle_with_a_launch_tube_fires_on_the_stand_too(loftwright, demo):
    answer = loftwright("firing", demo, "--json").answer
    assert 0.05 < answer["water_out_s"] < answer["air_out_s"] < 1.0
    # About 2 g V ln-free bound: the impulse of a litre cannot exceed its mass times its jet speed.
    assert 10.0 < answer["impulse_n_s"] < 60.0


def test_csv_integrates_to_the_impulse(loftwright, stand, tmp_path):
    path = tmp_path / "firing.csv"
    answer = loftwright("firing", stand, "--csv", path, "--json").answer
    with path.open(newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    time, thrust = (np.array([float(row[key]) for row in rows]) for key in ("time_s", "thrust_n"))
    assert np.trapezoid(thrust, time) == pytest.approx(answer["impulse_n_s"], rel=2e-3)


def test_records_are_measured_and_fitted(loftwright, stand, records):
    before = [path.read_bytes() for path in records]
    words = ("--rate", RATE, "--unit", "N", "--json")
    answer = loftwright("firing", stand, "--fit", *records, *words).answer
    assert set(answer["records"]) == {path.name for path in records}
    for record in answer["records"].values():
        # Impulse of the record that was made above, within what the reading itself admits.
        assert abs(record["impulse_n_s"] - answer["impulse_n_s"]) < 3 * record["impulse_sd_n_s"]
        assert record["duration_s"] > 0
    assert set(answer["fitted"]) >= {"flow_coefficient", "velocity_coefficient"}
    assert all({"value", "sd"} <= set(each) for each in answer["fitted"].values())
    assert [path.read_bytes() for path in records] == before


def test_write_puts_the_fit_into_the_document_and_keeps_the_rest(loftwright, stand, records):
    path = stand / "vehicle.toml"
    before = path.read_text(encoding="utf-8").splitlines()
    words = ("--rate", RATE, "--unit", "N", "--write", "--json")
    answer = loftwright("firing", stand, "--fit", *records, *words).answer
    after = path.read_text(encoding="utf-8").splitlines()
    assert answer["files"] == [str(path)]
    vehicle = read_campaign(stand).vehicle
    fitted = answer["fitted"]["flow_coefficient"]
    assert vehicle.nozzle.flow_coefficient.value == pytest.approx(fitted["value"], abs=fitted["sd"])
    source = [line for line in after if line not in before and line.startswith("#")]
    assert len(source) == 1
    assert all(record.name in source[0] for record in records)
    comments = [line for line in after if line.startswith("#") and line not in source]
    assert comments == [line for line in before if line.startswith("#")]
    kept = [line for line in before if "coefficient" not in line]
    assert all(line in after for line in kept)


def test_a_fit_is_shown_beside_the_model_as_written(loftwright, stand, records):
    words = ("--rate", RATE, "--unit", "N")
    answer = loftwright("firing", stand, "--fit", *records, *words, "--json").answer
    text = loftwright("firing", stand, "--fit", *records, *words).out
    measured, _, rest = text.partition("Fitted to the records")
    fitted, _, model = rest.partition("The model as written")
    assert "Measured, from the records" in measured
    for name, record in answer["records"].items():
        (line,) = (each for each in measured.splitlines() if name in each)
        assert line.count("±") == 3
        shown = float(line.split()[1])
        assert shown == pytest.approx(record["impulse_n_s"], abs=record["impulse_sd_n_s"] / 10)
    for name in ("flow_coefficient", "velocity_coefficient"):
        (line,) = (each for each in fitted.splitlines() if f".{name})" in each)
        assert line.count("±") == 2
        each = answer["fitted"][name]
        shown = float(line.partition(")")[2].split()[0])
        assert shown == pytest.approx(each["value"], abs=each["sd"] / 10)
    assert all(note in fitted for note in answer["fit_notes"])
    assert "peak thrust" in model
    assert answer["warnings"] == []


def test_without_records_nothing_is_said_of_any(loftwright, stand):
    text = loftwright("firing", stand).out
    assert "Measured" not in text
    assert "Fitted" not in text


def test_the_same_record_is_not_counted_twice(loftwright, stand, records):
    path = stand / "vehicle.toml"
    words = ("--rate", RATE, "--unit", "N", "--json")
    loftwright("firing", stand, "--fit", records[0], *words, "--write")
    once = path.read_bytes()
    ended = loftwright("firing", stand, "--fit", *records, *words, "--write")
    assert ended.code == 2
    (problem,) = ended.answer["problems"]
    assert problem["code"] == "command-fitted-already"
    assert records[0].name in problem["message"]
    assert records[1].name not in problem["message"]
    assert "--again" in problem["mend"]
    line = problem["where"]["line"]
    assert path.read_text(encoding="utf-8").splitlines()[line - 1].startswith("# fitted to")
    assert path.read_bytes() == once
    looked = loftwright("firing", stand, "--fit", records[0], *words).answer
    assert [each["code"] for each in looked["warnings"]] == ["command-fitted-already"]
    other = loftwright("firing", stand, "--fit", records[1], *words).answer
    assert other["warnings"] == []
    assert loftwright("firing", stand, "--fit", *records, *words, "--write", "--again").code == 0
    assert path.read_bytes() != once


def test_a_record_of_another_fill_is_told_with_its_numbers(loftwright, stand, records):
    text = records[0].read_text(encoding="utf-8")
    said = "% water 650 mL\n% pressure 413 kPa\n"
    records[0].write_text(said + text, encoding="utf-8")
    words = ("--rate", RATE, "--unit", "N")
    answer = loftwright("firing", stand, "--fit", *records, *words, "--json").answer
    warnings = {each["where"]["field"]: each for each in answer["warnings"]}
    assert set(warnings) == {"fill.gauge_pressure", "fill.water_volume"}
    for field, number in (("fill.gauge_pressure", "413 kPa"), ("fill.water_volume", "0.65 L")):
        warning = warnings[field]
        assert (warning["code"], warning["severity"]) == ("command-other-fill", "warning")
        assert f"{records[0].name} says {number}" in warning["message"]
        assert records[1].name not in warning["message"]
        assert f"--set vehicle.{field}='{number}'" in warning["mend"]
    assert not [name for name in answer["fitted"] if name.startswith("fill_")]
    assert not [note for note in answer["fit_notes"] if note.startswith("fill.")]
    ended = loftwright("firing", stand, "--fit", *records, *words)
    assert "says 413 kPa" in ended.err
    assert "(fill." not in ended.out
    assert "than modelled" not in ended.out


def test_how_to_read_a_record_can_be_said(loftwright, stand, records):
    text = records[0].read_text(encoding="utf-8").splitlines()
    rows = [f"{number / RATE * 1e3:.4f};{row}".replace(".", ",") for number, row in enumerate(text)]
    records[0].write_text("\n".join(["ms;load", *rows[2:]]) + "\n", encoding="utf-8")
    words = ("--delimiter", "semicolon", "--decimal", ",", "--time-unit", "ms", "--unit", "N")
    answer = loftwright("firing", stand, "--fit", records[0], *words, "--column", "2", "--json")
    (record,) = answer.answer["records"].values()
    assert abs(record["impulse_n_s"] - answer.answer["impulse_n_s"]) < 3 * record["impulse_sd_n_s"]


def test_delimiters_are_those_that_the_reader_knows():
    assert {word: mark for mark, word in WORDS.items()} == DELIMITERS


def test_what_a_record_does_not_settle_is_asked_for(loftwright, stand, tmp_path):
    path = tmp_path / "bare.txt"
    path.write_text("\n".join("0.1" for _ in range(200)), encoding="utf-8")
    ended = loftwright("firing", stand, "--fit", path, "--json")
    assert ended.code == 2
    assert all(each["code"].startswith("evidence-") for each in ended.answer["problems"])


def test_problems_of_all_records_come_in_one_run(loftwright, stand, tmp_path):
    missing = [tmp_path / "one.txt", tmp_path / "two.txt"]
    ended = loftwright("firing", stand, "--fit", *missing, "--json")
    assert [each["where"]["file"] for each in ended.answer["problems"]] == ["one.txt", "two.txt"]


def test_report_shows_records_over_the_prediction(loftwright, stand, records, tmp_path):
    path = tmp_path / "firing.html"
    words = ("--rate", RATE, "--unit", "N", "--report", path)
    ended = loftwright("firing", stand, "--fit", *records, *words)
    assert ended.code == 0
    page = path.read_text(encoding="utf-8")
    assert records[0].name in page
    # What new firings would measure: 5 to 95 and 25 to 75 %, at each of three widths.
    assert page.count('class="band"') == 2 * 3
    assert "The nozzle passes" in page
    assert "must not fly" not in page  # it stands on the stand
    assert f"Written: {path}" in ended.out


def test_records_of_one_name_are_told_apart(loftwright, stand, records, tmp_path):
    (tmp_path / "other").mkdir()
    twin = tmp_path / "other" / records[0].name
    twin.write_bytes(records[1].read_bytes())
    words = ("--rate", RATE, "--unit", "N", "--json")
    answer = loftwright("firing", stand, "--fit", records[0], "--fit", twin, *words).answer
    assert set(answer["records"]) == {str(records[0]), str(twin)}


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (["D", "--fit", "a", "b", "--json"], ["D", "--fit", "a", "--fit", "b", "--json"]),
        (["--fit", "a", "b", "c/campaign.toml"], ["--fit", "a", "--fit", "b", "c/campaign.toml"]),
        (["D", "--fit", "a", "--rate", "5"], ["D", "--fit", "a", "--rate", "5"]),
        (["D", "--fit"], ["D", "--fit"]),
        (["D", "--fit", "--json"], ["D", "--fit", "--json"]),
        (["D"], ["D"]),
    ],
)
def test_fit_takes_any_number_of_files(typed, meant):
    assert list(_spread(typed)) == meant


def test_a_folder_ends_the_files_to_fit(tmp_path):
    typed = ["--fit", "a", "b", str(tmp_path)]
    assert list(_spread(typed)) == ["--fit", "a", "--fit", "b", str(tmp_path)]


def test_hashes_name_the_very_records(loftwright, stand, records):
    words = ("--rate", RATE, "--unit", "N", "--json")
    answer = loftwright("firing", stand, "--fit", records[0], *words).answer
    digest = hashlib.sha256(records[0].read_bytes()).hexdigest()
    assert answer["records"][records[0].name]["sha256"] == digest
