"""An output never costs the user a file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from cli.commands import every_command

from loftwright.cli.options import out_file
from loftwright.cli.outputs import Outputs
from loftwright.documents import read_campaign
from loftwright.errors import ProblemError

posix_only = pytest.mark.skipif(os.name != "posix", reason="pipes and links of POSIX")
OPTIONS = {
    "forecast": ("--csv", "--npz", "--parquet", "--report"),
    "firing": ("--csv", "--report"),
    "explore": ("--csv", "--report"),
    "best": ("--report",),
    "sensitivity": ("--report",),
    "debrief": ("--csv", "--report"),
    "causes": ("--report",),
    "fit": ("--report",),
    "compare": ("--report",),
    "whatif": ("--report",),
    "rehearse": ("--csv", "--report"),
    "tune": ("--csv", "--report"),
    "program check": ("--report",),
    "program run": ("--csv", "--report"),
    "strip": ("--csv", "--png", "--svg"),
}
WATER = "vehicle.fill.water_volume=0.8 L..1.0 L"
NEEDED = {
    "debrief": ("first-lift",),
    "causes": ("first-lift",),
    "explore": (WATER,),
    "best": ("--vary", WATER, "--aim", "apogee"),
    "compare": ("--set", "payload.mass=30 g"),
    "tune": ("--vary", "board.climbing.climb=40 ft/s..60 ft/s"),
}
# What a command reads, where that is not the campaign's folder.
READ = {"program run": ("program-board.toml", "log.csv")}


def asking(command: str, folder: Path) -> list[str | Path]:
    """Return the words with which a command asks about a campaign, without its outputs."""
    read = [folder / name for name in READ.get(command, (".",))]
    return [*command.split(), *read, *NEEDED.get(command, ())]


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def refused(campaign, asked, records=()) -> list[str]:
    with pytest.raises(ProblemError) as caught:
        Outputs(asked, campaign, records)
    assert {problem.code for problem in caught.value.problems} == {"command-output"}
    return [str(problem.where.field) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("command", "option"), [(verb, each) for verb, options in OPTIONS.items() for each in options]
)
def test_no_option_of_any_command_replaces_a_document(loftwright, demo, command, option):
    before = contents(demo)
    for name in ("campaign.toml", "vehicle.toml", "../sedge-lift/site.toml"):
        ended = loftwright(*asking(command, demo), option, demo / name, "--json")
        assert ended.code == 2
        (problem,) = ended.answer["problems"]
        assert problem["code"] == "command-output"
        assert problem["where"]["field"] == option
        assert problem["mend"]
    assert contents(demo) == before


def test_no_option_replaces_a_record(loftwright, stand, tmp_path):
    record = tmp_path / "record.csv"
    record.write_text("never read", encoding="utf-8")
    ended = loftwright("firing", stand, "--fit", record, "--csv", record, "--json")
    assert [each["code"] for each in ended.answer["problems"]] == ["command-output"]
    assert record.read_text(encoding="utf-8") == "never read"


@pytest.mark.parametrize("option", OPTIONS["program run"])
def test_no_option_replaces_the_log_of_a_replay(loftwright, demo, option):
    log = demo / "log.csv"
    log.write_text("never read", encoding="utf-8")
    ended = loftwright(*asking("program run", demo), option, log, "--json")
    assert [each["code"] for each in ended.answer["problems"]] == ["command-output"]
    assert log.read_text(encoding="utf-8") == "never read"


@pytest.mark.parametrize("option", OPTIONS["rehearse"])
def test_no_option_replaces_the_log_that_is_sensed(loftwright, demo, option):
    log = demo / "log.csv"
    log.write_text("never read", encoding="utf-8")
    ended = loftwright(*asking("rehearse", demo), "--truth", log, option, log, "--json")
    assert [each["code"] for each in ended.answer["problems"]] == ["command-output"]
    assert log.read_text(encoding="utf-8") == "never read"


def test_a_program_emitted_among_the_documents_replaces_none(loftwright, demo):
    before = contents(demo)
    program = demo / "program-board.toml"
    for name in ("board", "program-board", "../sedge-lift/campaign.toml"):
        ended = loftwright("program", "emit-c", program, demo, "--name", name, "--json")
        assert ended.code == 0
        assert all((demo / each).is_file() for each in ended.answer["files"])
    after = contents(demo)
    assert {name: after[name] for name in before} == before
    assert {Path(name).suffix for name in after.keys() - before.keys()} == {".c", ".h", ".md"}


def test_documents_that_are_not_in_use_are_kept_too(demo):
    spare = demo / "vehicle-2.toml"
    spare.write_text("mine", encoding="utf-8")
    assert refused(read_campaign(demo), {"--csv": spare}) == ["--csv"]


def test_evidence_is_kept(demo):
    campaign = read_campaign(demo)
    (demo / "flights" / "one").mkdir(parents=True)
    for path in (demo / "flights" / "one" / "track.csv", demo / "flights", demo / "flights" / "x"):
        assert refused(campaign, {"--csv": path}) == ["--csv"]


def test_one_file_is_not_written_twice(demo, tmp_path):
    path = tmp_path / "out"
    asked = {"--csv": path, "--npz": None, "--report": tmp_path / "." / "in" / ".." / "out"}
    assert refused(read_campaign(demo), asked) == ["--report"]


@posix_only
def test_links_lead_to_what_they_name(demo, tmp_path):
    campaign = read_campaign(demo)
    soft, hard, around = (tmp_path / name for name in ("soft", "hard", "around"))
    soft.symlink_to(demo / "vehicle.toml")
    os.link(demo / "site.toml", hard)
    around.symlink_to(demo, target_is_directory=True)
    asked = {"--csv": soft, "--npz": hard, "--report": around / "payload.toml"}
    assert refused(campaign, asked) == list(asked)


@posix_only
def test_what_is_no_regular_file_is_left_alone(demo, tmp_path):
    campaign = read_campaign(demo)
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", tmp_path, Path("/dev/null")):
        assert refused(campaign, {"--csv": path}) == ["--csv"]
    assert (tmp_path / "pipe").is_fifo()


def test_everything_wrong_is_told_in_one_run(demo):
    asked = {"--csv": demo / "vehicle.toml", "--report": demo / "site.toml"}
    assert refused(read_campaign(demo), asked) == ["--csv", "--report"]


@pytest.mark.parametrize("name", ["ledger.sqlite", "ledger.sqlite-wal", "ledger-version-1.sqlite"])
def test_the_ledger_is_not_written_over(demo, name):
    (demo / name).write_bytes(b"kept")
    assert refused(read_campaign(demo), {"--csv": demo / name, "--report": None}) == ["--csv"]


def test_an_older_output_is_replaced_and_noted(demo, tmp_path):
    path = tmp_path / "old.csv"
    path.write_text("old", encoding="utf-8")
    outputs = Outputs({"--csv": path, "--npz": None}, read_campaign(demo))
    assert outputs.wants("--csv")
    assert not outputs.wants("--npz")
    outputs.write("--csv", "new")
    assert path.read_text(encoding="utf-8") == "new"
    assert outputs.written == [path]


def test_every_output_option_is_in_these_tests():
    found = {
        name: {each.opts[0] for each in command.params if each.type is out_file}
        for name, command in every_command()
    }
    assert {name: each for name, each in found.items() if each} == {
        name: set(options) for name, options in OPTIONS.items()
    }
