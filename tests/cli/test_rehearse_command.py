"""``loftwright rehearse``: its answer, its files, and what is told where it cannot be done."""

from __future__ import annotations

import csv
import io
import re

import pytest
from cli.conftest import EXAMPLES
from evidence.synthetic_logs import flown, written

from loftwright.rehearsal.results import FIELD, PAYLOAD, VEHICLE

MENDED, REHEARSED = EXAMPLES / "sedge-lift-mended", EXAMPLES / "sedge-lift-rehearsed"
PLUG, CELL = "connector opens at liftoff: bay plug", "battery flat: cell"
FEW = ("--flights", 6, "--seed", 2)

CHANCE = {"count", "flights", "share", "interval"}
CASE = {
    "faults", "part", "says", "happens", "payload", "vehicle", "field", "good", "lost",
    "endangers", "severity", "likelihood", "risk", "is_single_point", "energy_j", "worst_flights",
    "flights_behind", "first_flights",
}  # fmt: skip
# Names of numbers that are shares or counts; all others end in their unit.
BARE = {
    "single_point_level", "confidence", "happens", "count", "flights", "share", "interval",
    "chance", "difference", "seed", "exit_code", "tolerance",
}  # fmt: skip
UNITS = ("_j", "_m", "_m_s", "_rad", "_s", "_pa", "_k", "_deg")


def is_chance(value):
    assert set(value) == CHANCE
    low, high = value["interval"]
    assert 0.0 <= low <= value["share"] <= high <= 1.0
    assert value["share"] == pytest.approx(value["count"] / value["flights"])


def is_case(value):
    assert set(value) == CASE
    for name, words in (("payload", PAYLOAD), ("vehicle", VEHICLE), ("field", FIELD)):
        assert tuple(value[name]) == words
        for each in value[name].values():
            is_chance(each)
        counted = sum(each["count"] for each in value[name].values())
        assert counted == value["good"]["flights"]
    for name in ("good", "lost", "endangers"):
        is_chance(value[name])
    for body in value["energy_j"].values():
        assert 0.0 <= body["p50"] <= body["p95"]


def test_a_site_that_draws_nothing_tells_nothing_of_people(loftwright, tmp_path):
    begun = tmp_path / "begun"
    loftwright("new", begun, "--electronics")
    asked = ("rehearse", begun, *FEW, "--faults", "canopy tangles", "--no-mends")
    told = loftwright(
        *asked, "--json", "--csv", tmp_path / "t.csv", "--report", tmp_path / "t.html"
    )
    for each in (told.answer["nominal"], *told.answer["faults"]):
        assert each["endangers"] is None
        assert each["field"] == {}
    rows = list(csv.DictReader((tmp_path / "t.csv").read_text(encoding="utf-8").splitlines()))
    assert {row["endangers"] for row in rows} == {""}
    assert "not told" in (tmp_path / "t.html").read_text(encoding="utf-8")
    assert "not told" in loftwright(*asked).out


@pytest.fixture
def plain(loftwright):
    """The answer of one rehearsal of the mended example."""
    return loftwright("rehearse", MENDED, *FEW, "--faults", f"{PLUG}, {CELL}", "--json").answer


def test_the_answer_has_its_keys(plain):
    assert plain["schema"] == "loftwright/rehearse/1"
    assert plain["flights"] == 6
    assert (plain["single_point_level"], plain["confidence"]) == (0.1, 0.95)
    assert plain["truth_from"] is None
    is_case(plain["nominal"])
    assert plain["nominal"]["faults"] == []
    for each in plain["faults"]:
        is_case(each)
    assert {each["faults"][0] for each in plain["faults"]} == {PLUG, CELL}
    assert set(plain["single_points"]) == {PLUG, CELL}
    assert plain["pairs"] == []
    assert {each["faults"][0] for each in plain["cut_sets"]} == {PLUG, CELL}
    assert {each["kind"] for each in plain["common_causes"]} <= {
        "battery", "connector", "bay", "controller",
    }  # fmt: skip
    (mend,) = plain["mends"]
    assert set(mend) == {"words", "how", "lost", "good", "writes"}
    for shift in (mend["good"], *mend["lost"].values()):
        assert set(shift) == {"before", "after", "difference", "interval"}
        is_chance(shift["before"])
        is_chance(shift["after"])


def test_numbers_say_their_unit(plain):
    def look(value, path):
        if isinstance(value, dict):
            for key, each in value.items():
                look(each, (*path, str(key)))
        elif isinstance(value, list):
            for each in value:
                look(each, path)
        elif isinstance(value, float):
            # A percentile's unit is that of the table it stands in.
            named = [word for word in path if word not in ("p50", "p95", "payload", "vehicle")]
            assert any(word in BARE or word.endswith(UNITS) for word in named), path

    look({key: value for key, value in plain.items() if key != "provenance"}, ())


def test_the_table_has_a_row_a_case(loftwright, tmp_path):
    path = tmp_path / "cases.csv"
    ended = loftwright(
        "rehearse", MENDED, *FEW, "--faults", f"{PLUG}, {CELL}", "--no-mends", "--csv", path,
        "--json",
    )  # fmt: skip
    rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
    answer = ended.answer
    assert [row["faults"] for row in rows] == [
        "", *(" and ".join(case["faults"]) for case in answer["faults"]),
    ]  # fmt: skip
    assert answer["mends"] == []
    for row, case in zip(rows, (answer["nominal"], *answer["faults"]), strict=True):
        assert float(row["lost"]) == pytest.approx(case["lost"]["share"], abs=1e-6)
        shares = [float(row[f"vehicle {word}"]) for word in VEHICLE]
        assert sum(shares) == pytest.approx(1.0, abs=1e-5)
        assert row["single point"] == ("yes" if case["is_single_point"] else "no")
        assert row["risk"] == case["risk"]


def test_the_page_stands_alone(loftwright, tmp_path):
    path = tmp_path / "page.html"
    ended = loftwright(
        "rehearse", REHEARSED, *FEW, "--faults", f"{PLUG}, battery flat", "--report", path
    )
    assert ended.code == 0, ended.err
    text = path.read_text(encoding="utf-8")
    assert PLUG in text
    assert "timer cell" in text
    assert not re.search(r'(src|href)="https?:', text)
    assert "Written:" in ended.out


def test_pairs_are_tried_of_the_faults_that_are_named(loftwright):
    names = f"{PLUG}, battery flat"
    answer = loftwright("rehearse", REHEARSED, *FEW, "--faults", names, "--pairs", "--json").answer
    singles = {each["faults"][0] for each in answer["faults"]}
    assert singles == {PLUG, "battery flat: cell", "battery flat: timer cell"}
    assert {frozenset(each["faults"]) for each in answer["pairs"]} == {
        frozenset((one, other)) for one in singles for other in singles if one != other
    }
    for each in answer["pairs"]:
        is_case(each)
        assert not each["is_single_point"]
    worst = answer["pairs"][0]
    assert "battery flat: timer cell" in worst["faults"]
    assert all(len(each["faults"]) == 2 for each in answer["cut_sets"])


def test_without_faults_only_the_nominal_case_is_flown(loftwright):
    answer = loftwright("rehearse", MENDED, *FEW, "--faults", "none", "--json").answer
    assert answer["faults"] == answer["pairs"] == answer["cut_sets"] == answer["mends"] == []
    is_case(answer["nominal"])


def test_a_fault_that_there_is_not_is_told_with_the_nearest(loftwright):
    ended = loftwright("rehearse", MENDED, "--faults", "batery flat")
    assert ended.code != 0
    assert "rehearse-unknown-fault" in ended.err
    assert "battery flat" in ended.err
    ended = loftwright("rehearse", MENDED, "--faults", "qqqq", "--json")
    (problem,) = ended.answer["problems"]
    assert problem["code"] == "rehearse-unknown-fault"
    assert "sensor dead" in problem["mend"]
    assert loftwright("rehearse", MENDED, "--faults", " , ").code != 0


def test_a_campaign_without_electronics_is_told(loftwright, stand):
    ended = loftwright("rehearse", stand, "--json")
    assert ended.code != 0
    assert ended.answer["problems"][0]["code"] == "avionics-none"


def test_a_recorded_flight_can_be_the_truth(loftwright, tmp_path):
    flight = flown()
    log = tmp_path / "flight.csv"
    columns = [flight.time, flight.pressure, flight.push]
    log.write_text(written(columns, ["time (s)", "pressure (Pa)", "push (m/s^2)"]))
    ended = loftwright(
        "rehearse", MENDED, *FEW, "--faults", "none", "--truth", log, "--json"
    )  # fmt: skip
    assert ended.answer["truth_from"] == "flight.csv"
    log.write_text("time (s),pressure (Pa)\n0,100000\n1,100000\n2,100000\n")
    ended = loftwright("rehearse", MENDED, *FEW, "--truth", log, "--json")
    assert ended.answer["problems"][0]["code"].startswith("log-")


def test_other_values_can_be_set(loftwright):
    setting = "avionics.bay.0.vent_count=1"
    ended = loftwright("rehearse", MENDED, *FEW, "--faults", "none", "--set", setting, "--json")
    assert ended.code == 0, ended.out
    assert ended.answer["settings"] == [setting]


def test_it_is_held_against_an_earlier_one(loftwright, tmp_path):
    kept = tmp_path / "before.json"
    asked = ("--flights", 6, "--faults", PLUG, "--no-mends")
    kept.write_text(loftwright("rehearse", MENDED, *asked, "--json").out, encoding="utf-8")
    answer = loftwright("rehearse", REHEARSED, *asked, "--beside", kept, "--json").answer
    assert answer["beside"]["same_draws"] is True
    assert answer["beside"]["cases"][PLUG]["lost"]["difference"] == -1.0
    told = loftwright("rehearse", REHEARSED, *asked, "--beside", kept).out
    assert "Beside the earlier rehearsal" in told
    kept.write_text("{}", encoding="utf-8")
    ended = loftwright("rehearse", REHEARSED, *asked, "--beside", kept, "--json")
    assert ended.answer["problems"][0]["code"] == "rehearse-kept"
