"""``loftwright record``: evidence in, documents kept, nothing lost and nothing guessed."""

from __future__ import annotations

import hashlib
import json
import stat

import numpy as np
import pytest
from evidence.synthetic_logs import flown, written

from loftwright.cli import outputs
from loftwright.debrief.flown import flown_campaign
from loftwright.documents import read_campaign
from loftwright.documents.flight_record import KINDS
from loftwright.documents.flights import FLIGHTS
from loftwright.evidence.flight_log import read_flight_log
from loftwright.evidence.recorded_flight import flights_of, read_recorded_flight
from loftwright.flight.firing import static_firing

FLIGHT = flown(seconds=45.0)
NAMES = ("ms", "baro (hPa)", "az (m/s2)", "stage", "servo")
RATE = 2000


def log_text(names=NAMES, **form):
    stage = ["PAD" if t < 10 else "UP" if t < 13 else "DOWN" for t in FLIGHT.time]
    servo = ["1" if t > 13 else "0" for t in FLIGHT.time]
    columns = [FLIGHT.time * 1e3, FLIGHT.pressure / 100.0, FLIGHT.push, stage, servo]
    return written(columns, names, digits=(0, 3, 2), **form)


@pytest.fixture
def board(tmp_path):
    path = tmp_path / "board.csv"
    path.write_text(log_text())
    return path


@pytest.fixture
def bare(tmp_path):
    path = tmp_path / "bare.csv"
    path.write_text(written([FLIGHT.time, FLIGHT.pressure], digits=(2, 1)))
    return path


def record(loftwright, folder, *words):
    return loftwright("record", folder, "a-1", *words, "--no-forecast")


def test_the_guard_of_outputs_knows_the_folder():
    assert outputs.EVIDENCE == FLIGHTS


def test_kinds_of_the_command_are_those_of_the_document():
    from loftwright.cli.record import KINDS as OFFERED

    assert OFFERED == KINDS


def test_a_flight_is_begun_before_it_is_flown(loftwright, demo):
    before = {path.name: path.read_bytes() for path in demo.glob("*.toml")}
    ended = loftwright("record", demo, "a-1", "--flights", 10, "--json")
    assert ended.code == 0, ended.out
    answer = ended.answer
    assert answer["begun"] is True
    assert answer["documents_sha256"] == read_campaign(demo).hashes
    kept = json.loads((demo / "flights/a-1/forecast.json").read_text())
    assert kept["flights"] == 10
    build = demo / "flights" / "a-1" / "build"
    assert read_campaign(build).hashes == read_campaign(demo).hashes
    assert {path.name: path.read_bytes() for path in build.iterdir()} == before
    assert flights_of(demo) == ("a-1",)
    assert read_recorded_flight(demo, "a-1").forecast == demo / "flights/a-1/forecast.json"


def test_a_log_is_kept_byte_for_byte_and_read_only(loftwright, demo, board):
    ended = record(loftwright, demo, board, "--source", "board", "--said", "From the card.")
    assert ended.code == 0, ended.err
    (kept,) = read_recorded_flight(demo, "a-1").logs
    assert kept.path.read_bytes() == board.read_bytes()
    assert stat.S_IMODE(kept.path.stat().st_mode) == 0o444
    assert kept.entry.sha256 == hashlib.sha256(board.read_bytes()).hexdigest()
    assert (kept.entry.kind, kept.entry.source, kept.entry.reading) == ("log", "board", "board")
    log = read_flight_log(kept.path, kept.options)
    assert log.pressure_pa == pytest.approx(FLIGHT.pressure, abs=0.06)
    assert [each.words for each in log.states[0].changes] == ["PAD", "UP", "DOWN"]
    assert [(each.words, each.time_s) for each in log.states[1].changes] == [
        ("0", 0.0),
        ("1", 13.02),
    ]


def test_the_same_bytes_are_not_kept_twice(loftwright, demo, board, tmp_path):
    record(loftwright, demo, board)
    twin = tmp_path / "copy of board.csv"
    twin.write_bytes(board.read_bytes())
    ended = record(loftwright, demo, twin)
    assert ended.code == 0
    assert "Kept already: board.csv" in ended.out
    assert [each.name for each in (demo / "flights/a-1/evidence").iterdir()] == ["board.csv"]
    assert len(read_recorded_flight(demo, "a-1").files) == 1


def test_another_file_of_the_same_name_is_told_and_changes_nothing(loftwright, demo, board):
    record(loftwright, demo, board)
    before = board.read_bytes()
    board.write_bytes(before + b"\n")
    ended = record(loftwright, demo, board)
    assert (ended.code, "record-name-taken" in ended.err) == (2, True)
    assert (demo / "flights/a-1/evidence/board.csv").read_bytes() == before
    assert record(loftwright, demo, board, "--name", "board-2.csv").code == 0
    assert len(read_recorded_flight(demo, "a-1").logs) == 2


def test_a_log_in_doubt_is_refused_without_anybody_to_ask(loftwright, demo, bare):
    ended = record(loftwright, demo, bare)
    assert ended.code == 2
    assert "record-doubt" in ended.err
    assert "--yes" in ended.err
    assert not (demo / "flights").exists()
    assert record(loftwright, demo, bare, "--yes").code == 0
    told = record(
        loftwright, demo, bare, "--time", 1, "--pressure", 2, "--unit", "1=s", "--unit", "2=Pa"
    )
    assert told.code == 0, told.err


def test_a_person_is_asked_in_a_terminal(loftwright, demo, bare, monkeypatch):
    asked = []
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("click.confirm", lambda text, **_: asked.append(text) or False)
    ended = record(loftwright, demo, bare)
    assert asked == ["Is this right?"]
    assert ended.code == 2
    assert "In doubt: what it is and its unit of column 2" in ended.err
    assert not (demo / "flights").exists()
    monkeypatch.setattr("click.confirm", lambda *_, **__: True)
    assert record(loftwright, demo, bare).code == 0


def test_the_next_file_of_the_same_shape_is_read_alike(loftwright, demo, bare, tmp_path):
    record(loftwright, demo, bare, "--yes", "--reading", "logger")
    other = flown(seconds=45.0, seed=2)
    path = tmp_path / "second.csv"
    path.write_text(written([other.time, other.pressure], digits=(2, 1)))
    ended = loftwright("record", demo, "a-2", path, "--no-forecast", "--json")
    assert ended.answer["files"][0]["reading"] == "logger"
    assert (demo / "readings.toml").read_text().count("[[reading]]") == 1


def test_of_several_flights_one_is_to_be_named(loftwright, demo, tmp_path):
    path = tmp_path / "day.csv"
    time = np.concatenate([FLIGHT.time, FLIGHT.time])
    pressure = np.concatenate([FLIGHT.pressure, FLIGHT.pressure])
    path.write_text(written([time, pressure], ("t (s)", "p (Pa)"), digits=(2, 1)))
    ended = record(loftwright, demo, path)
    assert ended.code == 2
    assert "--flight-number" in ended.err
    assert record(loftwright, demo, path, "--flight-number", 2).code == 0
    (kept,) = read_recorded_flight(demo, "a-1").logs
    assert kept.entry.flight_number == 2
    log = read_flight_log(kept.path, kept.options)
    assert (int(log.line[0]), log.flights) == (len(FLIGHT.time) + 2, 2)
    replayed = loftwright("program", "run", demo / "program-board.toml", kept.path, "--json")
    assert replayed.code == 0, replayed.err
    assert any("flight 2 of 2" in note for note in replayed.answer["log"]["notes"])


def test_documents_that_changed_since_are_told_and_the_flown_ones_stay(loftwright, demo, board):
    record(loftwright, demo)
    flown_as = (demo / "flights/a-1/build/vehicle.toml").read_bytes()
    text = (demo / "vehicle.toml").read_text()
    old = next(line for line in text.splitlines() if line.startswith("water_volume"))
    (demo / "vehicle.toml").write_text(text.replace(old, 'water_volume = "0.41 L"'))
    ended = record(loftwright, demo, board)
    assert ended.code == 0
    assert "record-documents-differ" in ended.err
    assert "vehicle.fill.water_volume" in ended.err
    assert "0.41 L" in ended.err
    assert (demo / "flights/a-1/build/vehicle.toml").read_bytes() == flown_as


def test_files_can_be_taken_in_while_the_documents_are_broken(loftwright, demo, board):
    record(loftwright, demo)
    (demo / "vehicle.toml").write_text("broken")
    ended = record(loftwright, demo, board)
    assert ended.code == 0
    assert "errors" in ended.err


def test_conditions_can_be_said_and_comments_stay(loftwright, demo):
    record(loftwright, demo)
    path = demo / "flights/a-1/flight.toml"
    path.write_text(path.read_text() + "# windy\n")
    ended = record(
        loftwright,
        demo,
        "--set",
        "conditions.water_volume=0.5 L ± 0.01 L",
        "--set",
        "outcome=partial",
    )
    assert ended.code == 0, ended.err
    assert "# windy" in path.read_text()
    flight = read_recorded_flight(demo, "a-1")
    assert flight.record.outcome == "partial"
    assert flown_campaign(flight).vehicle.fill.water_volume.value == pytest.approx(0.5e-3)
    bad = record(loftwright, demo, "--set", "conditions.water_volume=0.5 m")
    assert (bad.code, "quantity-wrong-dimension" in bad.err) == (2, True)
    assert record(loftwright, demo, "--set", "build=x").code == 2


@pytest.mark.parametrize("name", ["../a", "a/b", "con", "", " a", "a:b", "x" * 101, "-", ".a"])
def test_a_flight_has_a_safe_name(loftwright, demo, name):
    ended = loftwright("record", demo, "--no-forecast", "--", name)
    assert (ended.code, "record-name" in ended.err) == (2, True)
    assert not (demo / "flights").exists()


def test_names_that_differ_in_capitals_are_one(loftwright, demo):
    record(loftwright, demo)
    ended = loftwright("record", demo, "A-1", "--no-forecast")
    assert (ended.code, "record-name" in ended.err) == (2, True)


def test_a_controller_that_is_none_is_told(loftwright, demo, board):
    ended = record(loftwright, demo, board, "--source", "bord")
    assert (ended.code, 'did you mean "board"?' in ended.err) == (2, True)
    assert not (demo / "flights").exists()


def test_sounds_and_pictures_are_known_by_their_bytes(loftwright, demo, tmp_path):
    made = {
        "a.dat": b"RIFF\x24\x00\x00\x00WAVEfmt ",
        "b.dat": b"\x89PNG\r\n\x1a\n",
        "c.txt": b"windy",
    }
    paths = []
    for name, content in made.items():
        paths.append(tmp_path / name)
        paths[-1].write_bytes(content)
    ended = record(loftwright, demo, *paths, "--clock", "phone", "--json")
    assert [each["kind"] for each in ended.answer["files"]] == ["sound", "picture", "other"]
    assert {each.entry.clock for each in read_recorded_flight(demo, "a-1").files} == {"phone"}


def test_a_log_that_cannot_be_read_can_be_kept_all_the_same(loftwright, demo, tmp_path):
    path = tmp_path / "broken.csv"
    path.write_text("t (s),p (Pa)\n0,101325\n0.1,101325\n")
    assert record(loftwright, demo, path).code in (0, 2)
    ended = record(loftwright, demo, path, "--as", "other")
    assert ended.code == 0


def test_nothing_else_writes_among_the_evidence(loftwright, demo):
    record(loftwright, demo)
    ended = loftwright("forecast", demo, "--report", demo / "flights/a-1/evidence/page.html")
    assert (ended.code, "command-output" in ended.err) == (2, True)


def test_firings_kept_with_a_flight_fit_the_nozzle(loftwright, stand, tmp_path):
    firing = static_firing(read_campaign(stand))
    time = np.arange(0.0, 4.0, 1 / RATE)
    push = np.interp(time - 1.5, firing.time, firing.thrust, left=0.0, right=0.0)
    water = np.interp(time - 1.5, firing.time, firing.water_mass)
    noise = np.random.default_rng(1).normal(0.0, 0.1, time.size)
    force = push + 0.3 + 9.81 * (firing.water_mass[0] - water) + noise
    path = tmp_path / "cell.txt"
    path.write_text("load a;load b\n" + "".join(f"{each:.3f};0.0\n" for each in force))
    said = ("--as", "firing", "--force", "load a", "--unit", "load a=N", "--every", "0.5ms")
    ended = loftwright("record", stand, "stand-1", path, *said)
    assert ended.code == 0, ended.err
    assert not (stand / "flights/stand-1/forecast.json").exists()  # nothing flew
    answer = loftwright("firing", stand, "--flight", "stand-1", "--json").answer
    assert list(answer["records"]) == ["cell.txt"]
    assert answer["records"]["cell.txt"]["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert set(answer["fitted"]) >= {"flow_coefficient", "velocity_coefficient"}
    kept = stand / "flights" / "stand-1" / "evidence" / "cell.txt"
    by_name = loftwright("firing", stand, "--fit", kept, "--json").answer
    assert by_name["records"] == answer["records"]


def test_a_flight_without_a_firing_fits_nothing(loftwright, demo, board):
    record(loftwright, demo, board)
    ended = loftwright("firing", demo, "--flight", "a-1")
    assert (ended.code, "record-no-firing" in ended.err) == (2, True)


def test_what_its_columns_are_says_that_a_file_is_a_log(loftwright, demo, tmp_path):
    counts = tmp_path / "counts.csv"
    counts.write_text("ms,raw\n" + "".join(f"{20 * n},{33000 + n % 7}\n" for n in range(400)))
    ended = loftwright("record", demo, "raw", counts, "--no-forecast")
    assert ended.code == 2
    assert "record-doubt" in ended.err
    columns = ("--time", "ms", "--pressure", "raw", "--unit", "ms=ms", "--unit", "raw=Pa")
    scale = ("--scale", "raw=1.5,50000")
    ended = loftwright("record", demo, "raw", counts, *columns, *scale, "--no-forecast")
    assert ended.code == 0
    assert ", log, read as" in ended.out


def test_a_file_that_is_not_read_is_said_to_be_so(loftwright, demo, tmp_path):
    empty, cut = tmp_path / "empty.csv", tmp_path / "cut.csv"
    empty.write_bytes(b"")
    cut.write_text("time [s],pressure [Pa]\n0,101325\n0.1,101325\n0.2,101325\n")
    ended = loftwright("record", demo, "unread", empty, "--no-forecast")
    assert ended.code == 0
    assert "not read: it begins with no table" in ended.out
    ended = loftwright("record", demo, "unread", cut, "--no-forecast")
    assert ended.code == 2
    assert "or keep it unread: --as other" in ended.err
