"""``loftwright forecast``."""

from __future__ import annotations

import csv
import json
import math
import os

import numpy as np
import pytest

PROMISED = {
    "apogee_m",
    "apogee_time_s",
    "max_speed_m_s",
    "max_acceleration_m_s2",
    "water_out_s",
    "burnout_s",
    "burnout_speed_m_s",
    "guide_exit_speed_m_s",
    "release_time_s",
    "release_height_m",
    "release_climb_m_s",
    "touchdown",
}
TOUCHDOWN = {"time_s", "east_m", "north_m", "speed_m_s", "energy_j"}
STATISTICS = {"p05", "p50", "p95", "mean", "sd"}


def test_one_flight_has_the_promised_keys(loftwright, demo):
    answer = loftwright("forecast", demo, "--json").answer
    assert answer["schema"] == "loftwright/forecast/2"
    assert set(answer) >= PROMISED
    assert set(answer["touchdown"]) == {"vehicle", "payload"}
    assert all(set(each) >= TOUCHDOWN for each in answer["touchdown"].values())
    assert answer["provenance"]["relative_tolerance"] == 1e-6
    assert len(answer["provenance"]["laws"]) > 10


def test_an_ensemble_has_statistics_in_their_place(loftwright, demo):
    answer = loftwright("forecast", demo, "--flights", 40, "--seed", 7, "--json").answer
    assert set(answer) >= PROMISED | {"drivers", "nominal"}
    for key in PROMISED - {"touchdown"}:
        assert set(answer[key]) >= STATISTICS
        assert answer[key]["p05"] <= answer[key]["p50"] <= answer[key]["p95"]
    for body in ("vehicle", "payload"):
        assert set(answer["touchdown"][body]["speed_m_s"]) >= STATISTICS
    assert answer["provenance"]["seed"] == 7
    assert answer["provenance"]["flights"] == 40


def test_ends_of_flights_are_counted_and_doubts_are_told(loftwright, demo):
    doubts = loftwright("check", demo, "--json").answer["warnings"]
    one = loftwright("forecast", demo, "--json").answer
    alone = {"outcome": one["outcome"], "flights": 1, "share": 1.0, "interval": None}
    assert one["outcomes"] == [alone]
    # A forecast is flown without programs, and says nothing of theirs.
    own = [each for each in doubts if not each["code"].startswith("program-")]
    assert one["warnings"] == own != []
    # So little push that whether it leaves the guide is left to the draws.
    weak = ("--set", "vehicle.fill.gauge_pressure=9 psi ± 6 psi")
    many = loftwright("forecast", demo, "--flights", 40, *weak, "--json").answer
    assert len(many["outcomes"]) > 1
    counts = [each["flights"] for each in many["outcomes"]]
    assert sum(counts) == 40
    assert counts == sorted(counts, reverse=True)
    assert [each["share"] for each in many["outcomes"]] == [count / 40 for count in counts]
    for each in many["outcomes"]:
        assert each["interval"][0] < each["share"] < each["interval"][1]
    assert "Did not leave the guide" in " ".join(each["outcome"] for each in many["outcomes"])
    assert isinstance(many["warnings"], list)


def test_the_same_seed_gives_the_same_answer_and_another_seed_another(loftwright, demo):
    words = ("forecast", demo, "--flights", 20, "--json", "--seed")
    once, again, other = (loftwright(*words, seed).out for seed in (3, 3, 4))
    assert once == again
    assert once != other


def test_what_happens_in_no_flight_is_null(loftwright, demo):
    payload = demo / "payload.toml"
    payload.write_text(payload.read_text().replace('when = "climb"', 'when = "never"'))
    held = ("--set", "payload.hold.strength=500 N", "--json")
    one = loftwright("forecast", demo, *held).answer
    many = loftwright("forecast", demo, "--flights", 4, *held).answer
    for key in ("release_time_s", "release_height_m", "release_climb_m_s"):
        assert one[key] is None
        assert many[key] is None


def test_a_setting_changes_the_flight_and_not_the_documents(loftwright, demo):
    before = {path.name: path.read_bytes() for path in demo.glob("*.toml")}
    plain = loftwright("forecast", demo, "--json").answer
    setting = "vehicle.fill.gauge_pressure=45 psi"
    less = loftwright("forecast", demo, "--set", setting, "--json").answer
    assert less["apogee_m"] < 0.8 * plain["apogee_m"]
    assert less["settings"] == [setting]
    hashes = (each["provenance"]["documents_sha256"]["vehicle.toml"] for each in (plain, less))
    assert len(set(hashes)) == 2
    assert {path.name: path.read_bytes() for path in demo.glob("*.toml")} == before


@pytest.mark.parametrize(
    ("setting", "code"),
    [
        ("fill.water_volume=0.8 L", "command-setting"),
        ("vehicle", "command-setting"),
        ("vehicle.fill.water_volume", "command-setting"),
        ("rocket.fill.water_volume=1 L", "command-setting"),
        ("vehicle.fill.water_volume=9 L", "vehicle-too-much-water"),
        ("vehicle.fill.watervolume=1 L", "doc-unknown-field"),
        ("vehicle.fill.water_volume=1 psi", "quantity-wrong-dimension"),
    ],
)
def test_a_setting_that_cannot_be_is_refused(loftwright, demo, setting, code):
    ended = loftwright("forecast", demo, "--set", setting, "--json")
    assert ended.code == 2
    assert code in [each["code"] for each in ended.answer["problems"]]


@pytest.mark.parametrize(
    "setting",
    [
        "vehicle.fill.water_volume=9 L",
        "vehicle.fill.watervolume=1 L",
        "vehicle.fill.water_volume=1 psi",
        "vehicle.fins.7.count=3",
        "vehicle.vessel.0.proof_gauge_pressure=1 psi",
        "site.wind.speed=very",
    ],
)
def test_what_a_setting_brought_is_told_of_the_setting(loftwright, demo, setting):
    other = "campaign.name=Another"
    ended = loftwright("forecast", demo, "--set", setting, "--set", other, "--json")
    for each in ended.answer["problems"]:
        assert each["where"]["field"] == "--set"
        assert setting in each["where"]["value"]
        assert each["where"]["file"] is None
        assert each["where"]["line"] is None
    text = loftwright("forecast", demo, "--set", setting).err
    assert f"--set = {setting}" in text
    assert "loftwright-" not in text


def test_what_was_wrong_without_the_setting_keeps_its_place(loftwright, demo):
    site = demo / "site.toml"
    site.write_text(site.read_text().replace('from = "', 'from = "north'), encoding="utf-8")
    ended = loftwright("forecast", demo, "--set", "vehicle.fill.water_volume=9 L", "--json")
    fields = {each["where"]["field"]: each["where"] for each in ended.answer["problems"]}
    assert set(fields) == {"--set", "wind.from"}
    assert fields["wind.from"]["file"] == "site.toml"
    assert fields["wind.from"]["line"] > 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes of POSIX")
@pytest.mark.parametrize("words", [(), ("--set", "vehicle.name=A")])
def test_a_pipe_among_the_documents_is_refused_and_not_waited_for(loftwright, demo, words):
    os.mkfifo(demo / "pipe.toml")
    head = demo / "campaign.toml"
    head.write_text(head.read_text().replace("site.toml", "pipe.toml"), encoding="utf-8")
    (problem,) = loftwright("forecast", demo, *words, "--json").answer["problems"]
    assert problem["code"] == "file-not-a-file"
    assert problem["where"]["field"] == "site"
    assert problem["where"]["line"] > 1


def test_a_setting_without_a_campaign_is_told_that_there_is_none(loftwright, tmp_path):
    ended = loftwright("forecast", tmp_path / "no", "--set", "vehicle.name=A", "--json")
    assert [each["code"] for each in ended.answer["problems"]] == ["file-no-folder"]


def test_whole_numbers_and_list_entries_can_be_set(loftwright, demo):
    words = ("--set", "vehicle.fins.0.count=3", "--set", "vehicle.vessel.1.wall=0.4 mm", "--json")
    assert loftwright("forecast", demo, *words).code == 0


def test_a_setting_for_a_document_that_is_not_there_is_refused(loftwright, stand):
    ended = loftwright("forecast", stand, "--set", "payload.mass=50 g", "--json")
    assert [each["code"] for each in ended.answer["problems"]] == ["command-setting"]


def test_ballistic_comes_down_faster_and_without_a_canopy(loftwright, demo):
    hung = loftwright("forecast", demo, "--json").answer
    fell = loftwright("forecast", demo, "--ballistic", "--json").answer
    assert fell["canopy_open_s"] is None
    assert fell["touchdown"]["vehicle"]["speed_m_s"] > 2 * hung["touchdown"]["vehicle"]["speed_m_s"]


def test_ballistic_without_a_canopy_is_the_same_flight(loftwright, demo):
    vehicle = demo / "vehicle.toml"
    text = vehicle.read_text()
    vehicle.write_text(text[: text.index("[canopy]")])
    head = demo / "campaign.toml"
    head.write_text(head.read_text().replace('avionics = "avionics.toml"\n', ""))
    plain, fell = (
        loftwright("forecast", demo, *words, "--json").answer for words in ((), ("--ballistic",))
    )
    assert plain["touchdown"] == fell["touchdown"]


def test_csv_has_a_row_a_moment_for_each_body(loftwright, demo, tmp_path):
    path = tmp_path / "tracks.csv"
    answer = loftwright("forecast", demo, "--csv", path, "--json").answer
    assert answer["files"] == [str(path)]
    with path.open(newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    heights = {"vehicle": [], "payload": []}
    for row in rows:
        heights[row["body"]].append(float(row["up_m"]))
    # Samples lie 10 ms apart: near the top that is less than a millimetre.
    assert math.isclose(max(heights["vehicle"]), answer["apogee_m"], rel_tol=1e-4)
    assert heights["payload"][0] == pytest.approx(answer["release_height_m"], abs=1.0)
    assert "nan" not in path.read_text().lower()


def test_npz_holds_tracks_draws_figures_and_what_made_them(loftwright, demo, tmp_path):
    path = tmp_path / "tracks.npz"
    answer = loftwright("forecast", demo, "--flights", 12, "--npz", path, "--json").answer
    with np.load(path, allow_pickle=False) as arrays:
        assert arrays["vehicle_up_m"].shape == arrays["vehicle_time_s"].shape
        assert arrays["flights_apogee_m"].shape == (12,)
        assert arrays["flights_apogee_m"].mean() == pytest.approx(answer["apogee_m"]["mean"])
        assert arrays["drawn_vehicle.fill.water_volume"].shape == (12,)
        assert arrays["band_height_m"].shape == (len(arrays["band_time_s"]), 5)
        assert arrays["vehicle_event_apogee_s"] == answer["nominal"]["apogee_time_s"]
        assert json.loads(str(arrays["provenance_json"])) == answer["provenance"]


def test_parquet_agrees_with_csv(loftwright, demo, tmp_path):
    parquet = pytest.importorskip("pyarrow.parquet", reason="the optional pyarrow is not installed")
    files = [tmp_path / name for name in ("tracks.parquet", "tracks.csv")]
    ended = loftwright("forecast", demo, "--parquet", files[0], "--csv", files[1])
    assert ended.code == 0
    table = parquet.read_table(files[0])
    with files[1].open(newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert table.column_names == list(rows[0])
    assert table.column("up_m").to_pylist() == [float(row["up_m"]) for row in rows]


def test_parquet_of_many_has_a_row_a_flight(loftwright, demo, tmp_path):
    parquet = pytest.importorskip("pyarrow.parquet", reason="the optional pyarrow is not installed")
    files = [tmp_path / name for name in ("flights.parquet", "flights.npz")]
    words = ("--flights", 30, "--parquet", files[0], "--npz", files[1], "--json")
    answer = loftwright("forecast", demo, *words).answer
    assert answer["files"] == [str(path) for path in files]
    table = parquet.read_table(files[0])
    assert table["flight"].to_pylist() == list(range(30))
    with np.load(files[1], allow_pickle=False) as arrays:
        for name in arrays:
            if name.startswith(("flights_", "drawn_")):
                column = table[name.removeprefix("flights_")].to_numpy()
                np.testing.assert_array_equal(column, arrays[name])
    about = json.loads(table.schema.metadata[b"loftwright"])
    assert about["documents_sha256"] == answer["provenance"]["documents_sha256"]


def test_a_stopped_run_says_where_its_flights_stand_and_is_gone_on_with(
    loftwright, demo, tmp_path, monkeypatch
):
    parquet = pytest.importorskip("pyarrow.parquet", reason="the optional pyarrow is not installed")
    from loftwright.cli.progress import Progress

    path, straight = tmp_path / "many.parquet", tmp_path / "straight.parquet"
    words = ("forecast", demo, "--flights", 600, "--parquet", path)

    def stop(self, done, total):
        self.done, self.total = done, total
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(Progress, "__call__", stop)
        ended = loftwright(*words)
    assert ended.code == 130
    assert "many.partial.parquet" in ended.err
    assert "--resume" in ended.err
    assert parquet.read_metadata(tmp_path / "many.partial.parquet").num_rows == 256
    again = loftwright(*words, "--json")
    assert [each["code"] for each in again.answer["problems"]] == ["command-begun"]
    other = loftwright(*words, "--resume", "--set", "vehicle.fill.water_volume=0.7 L", "--json")
    assert [each["code"] for each in other.answer["problems"]] == ["command-resume"]
    assert loftwright(*words, "--resume").code == 0
    assert loftwright("forecast", demo, "--flights", 600, "--parquet", straight).code == 0
    assert parquet.read_table(path).equals(parquet.read_table(straight))


@pytest.mark.parametrize(
    "words",
    [
        ("--resume",),
        ("--resume", "--flights", 3),
        ("--resume", "--parquet", "t.parquet"),
        ("--cluster", "tcp://127.0.0.1:1"),
    ],
)
def test_options_that_would_do_nothing_alone_are_refused(loftwright, demo, words):
    ended = loftwright("forecast", demo, *words, "--json")
    assert ended.code == 2
    assert [each["code"] for each in ended.answer["problems"]] == ["command-usage"]


def test_parquet_without_its_package_is_told_how_to_get_it(loftwright, demo, tmp_path, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "pyarrow", None)
    kept = tmp_path / "tracks.csv"
    ended = loftwright(
        "forecast", demo, "--parquet", tmp_path / "t.parquet", "--csv", kept, "--json"
    )
    assert ended.code == 2
    assert [each["code"] for each in ended.answer["problems"]] == ["command-needs-extra"]
    assert "pip install pyarrow" in ended.answer["problems"][0]["mend"]
    assert not kept.exists()


def test_report_stands_alone(loftwright, demo, tmp_path):
    path = tmp_path / "report.html"
    assert loftwright("forecast", demo, "--flights", 12, "--report", path).code == 0
    page = path.read_text(encoding="utf-8")
    assert "Sedge lift" in page
    assert 'src="http' not in page


def test_a_file_that_cannot_be_written_is_told_and_leaves_nothing(loftwright, demo, tmp_path):
    ended = loftwright("forecast", demo, "--csv", tmp_path / "no" / "such" / "t.csv", "--json")
    assert ended.code == 2
    assert [each["code"] for each in ended.answer["problems"]] == ["file-not-written"]
    assert not (tmp_path / "no").exists()


def test_text_is_in_the_units_of_the_campaign(loftwright, demo):
    us = loftwright("forecast", demo).out
    metric = loftwright("forecast", demo, "--set", "campaign.units=metric").out
    assert "ft/s" in us
    assert "m/s" in metric
    assert "ft/s" not in metric
