"""``loftwright check``."""

from __future__ import annotations

import hashlib

from loftwright.documents import read_campaign
from loftwright.flight.check import check
from loftwright.report.cautions import SHORT

PROMISED = {
    "liftoff_mass_kg",
    "dry_mass_kg",
    "balance_from_nose_m",
    "aerodynamic_centre_from_nose_m",
    "stability_calibres",
    "hoop_stress_pa",
    "proof_margin",
    "stored_energy_j",
    "warnings",
}


def test_answer_has_the_promised_keys(loftwright, demo):
    answer = loftwright("check", demo, "--json").answer
    assert answer["schema"] == "loftwright/check/1"
    assert set(answer) >= PROMISED
    assert set(answer["balance_from_nose_m"]) == {"full", "empty"}
    assert set(answer["stability_calibres"]) == {"full", "empty"}


def test_answer_is_what_the_check_says(loftwright, demo):
    result = check(read_campaign(demo))
    answer = loftwright("check", demo, "--json").answer
    assert answer["liftoff_mass_kg"] == result.liftoff_mass_kg
    assert answer["stability_calibres"] == result.stability_calibres
    own = [each for each in answer["warnings"] if not each["code"].startswith("program-")]
    assert [each["code"] for each in own] == [each.code for each in result.warnings]


def test_provenance_holds_the_hash_of_every_document(loftwright, demo):
    hashes = loftwright("check", demo, "--json").answer["provenance"]["documents_sha256"]
    files = {path.name for path in demo.glob("*.toml")}
    assert set(hashes) == files
    for name, digest in hashes.items():
        assert hashlib.sha256((demo / name).read_bytes()).hexdigest() == digest


def test_the_folder_and_its_campaign_file_are_the_same(loftwright, demo):
    one, other = loftwright("check", demo), loftwright("check", demo / "campaign.toml")
    assert one.code == other.code == 0
    assert one.out == other.out


def test_text_carries_warnings_and_cautions(loftwright, demo):
    ended = loftwright("check", demo)
    assert "loftwright explain check-hold-weak" in ended.out
    assert SHORT in ended.out


def test_all_problems_of_a_folder_come_in_one_run(loftwright, demo):
    vehicle, site = demo / "vehicle.toml", demo / "site.toml"
    vehicle.write_text(vehicle.read_text().replace("75 psi", "175 psi").replace("cant", "kant"))
    site.write_text(site.read_text().replace("7 mph", "7 psi"))
    ended = loftwright("check", demo, "--json")
    assert ended.code == 2
    found = {(each["where"]["file"], each["code"]) for each in ended.answer["problems"]}
    assert ("vehicle.toml", "vehicle-over-proof") in found
    assert ("vehicle.toml", "doc-unknown-field") in found
    assert ("site.toml", "quantity-wrong-dimension") in found
    assert all(each["where"]["line"] for each in ended.answer["problems"])


def test_text_tells_the_distances_to_keep(loftwright, demo):
    text = loftwright("check", demo, "--json").answer
    metric = demo / "campaign.toml"
    metric.write_text(metric.read_text().replace('"us"', '"metric"'), encoding="utf-8")
    lines = loftwright("check", demo).out.splitlines()
    for words, key in (("pressure test", "pressure_test_distance_m"), ("spectators", "spectator")):
        (line,) = (each for each in lines if f"keep away, {words}" in each)
        far = next(value for name, value in text.items() if name.startswith(key))
        assert abs(float(line.split()[-2]) - far) < 0.1


def test_a_lever_is_given_in_calibres(loftwright, demo):
    text = loftwright("check", demo).out
    assert "calibres" in text
    assert "diameters" not in text


def test_a_folder_without_a_campaign_is_told_how_to_begin_one(loftwright, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a" / "b").mkdir(parents=True)
    for folder, name in ((".", "NAME"), ("..", "NAME"), ("a/b", "a/b")):
        (problem,) = loftwright("check", folder, "--json").answer["problems"]
        assert problem["mend"].endswith(f"loftwright new {name}")


# ---------------------------------------------------------------- release programs


BOARD = "program-board.toml"


def rewritten(demo, old, new, file=BOARD):
    text = (demo / file).read_text(encoding="utf-8")
    assert old in text
    (demo / file).write_text(text.replace(old, new), encoding="utf-8")


def test_what_programs_may_not_do_is_warned_of_as_program_check_warns(loftwright, demo):
    (program,) = loftwright("program", "check", demo, "--no-flights", "--json").answer["programs"]
    answer = loftwright("check", demo, "--json").answer
    own = [each for each in answer["warnings"] if each["code"].startswith("program-")]
    assert own == program["warnings"] != []
    text = loftwright("check", demo)
    assert text.code == 0
    assert text.out.count("nothing makes sure that latch opens") == 1


def test_a_condition_that_does_not_read_fails_the_check(loftwright, demo):
    rewritten(demo, 'when = "', 'when = "perhaps ')
    ended, program = (
        loftwright(*words, "--json")
        for words in (("check", demo), ("program", "check", demo, "--no-flights"))
    )
    assert ended.code == program.code == 2
    errors = [each for each in ended.answer["problems"] if each["severity"] == "error"]
    assert errors == [e for e in program.answer["problems"] if e["severity"] == "error"] != []
    assert {each["where"]["file"] for each in errors} == {BOARD}
    assert ended.answer["problems"][: len(errors)] == errors
    assert errors[0]["code"] in loftwright("check", demo).err


def test_a_promise_that_can_be_broken_fails_the_check(loftwright, demo):
    rewritten(demo, 'does = "open"\nnot_before = "0.8 s"', 'does = "open"\nnot_before = "9 s"')
    ended = loftwright("check", demo, "--json")
    assert ended.code == 2
    assert "program-promise-broken" in {each["code"] for each in ended.answer["problems"]}


def test_documents_and_conditions_are_told_in_one_run_each_once(loftwright, demo):
    rewritten(demo, 'when = "', 'when = "perhaps ')
    rewritten(demo, 'name = "door"', 'nome = "door"')
    rewritten(demo, "7 mph", "7 psi", "site.toml")
    problems = loftwright("check", demo, "--json").answer["problems"]
    said = [(each["code"], each["where"]["file"], each["where"]["line"]) for each in problems]
    assert {file for _, file, _ in said} >= {BOARD, "site.toml"}
    assert len(said) == len(set(said))
