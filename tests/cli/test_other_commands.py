"""``loftwright new``, ``doctor``, ``explain``, and the command as a process."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from loftwright import __version__
from loftwright.cli import doctor, progress
from loftwright.cli.main import COMMANDS, main
from loftwright.errors import catalogue

ROOT = Path(__file__).resolve().parents[2]


def test_without_words_the_help_is_shown(loftwright):
    ended = loftwright()
    assert ended.code == 0
    for name, line in COMMANDS.items():
        assert name in ended.out
        assert line.split(":")[0].split(";")[0] in " ".join(ended.out.split())
    assert "Pressurised bottles burst" in ended.out


def test_version(loftwright):
    assert loftwright("--version").out == f"loftwright {__version__}\n"
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == __version__


def test_new_begins_a_campaign_that_reads(loftwright, tmp_path):
    folder = tmp_path / "spring-lifts"
    ended = loftwright("new", folder, "--json")
    assert ended.answer["files"] == ["campaign.toml", "vehicle.toml", "payload.toml", "site.toml"]
    checked = loftwright("check", folder, "--json")
    assert checked.code == 0
    assert checked.answer["name"] == "spring-lifts"


def test_new_takes_a_name_and_says_what_to_do_next(loftwright, tmp_path):
    ended = loftwright("new", tmp_path / "a", "--name", 'The "long" shot')
    assert ended.code == 0
    assert "loftwright check" in ended.out
    head = tomllib.loads((tmp_path / "a" / "campaign.toml").read_text(encoding="utf-8"))
    assert head["name"] == 'The "long" shot'


def test_new_takes_the_campaign_file_for_its_folder(loftwright, tmp_path):
    for words in ((), ("--demo",)):
        folder = tmp_path / f"new{len(words)}"
        assert loftwright("new", folder / "campaign.toml", *words).code == 0
        assert (folder / "campaign.toml").is_file()
        assert loftwright("new", folder / "campaign.toml", *words).code == 2


def test_new_in_place_of_a_file_is_refused(loftwright, tmp_path):
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    for words in ((), ("--demo",)):
        ended = loftwright("new", tmp_path / "file", *words, "--json")
        assert ended.code == 2
        assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


def test_new_overwrites_nothing(loftwright, demo):
    before = {path.name: path.read_bytes() for path in demo.iterdir()}
    assert loftwright("new", demo).code == 2
    assert {path.name: path.read_bytes() for path in demo.iterdir()} == before


def test_new_copies_the_demo_campaign(loftwright, tmp_path, demo):
    ended = loftwright("new", tmp_path / "mine", "--demo", "--json")
    assert ended.code == 0
    copied = {path.name: path.read_bytes() for path in (tmp_path / "mine").iterdir()}
    assert copied == {path.name: path.read_bytes() for path in demo.iterdir()}
    assert set(ended.answer["files"]) == set(copied)


def test_the_demo_overwrites_nothing_and_has_a_name(loftwright, tmp_path):
    (tmp_path / "vehicle.toml").write_text("mine", encoding="utf-8")
    assert loftwright("new", tmp_path, "--demo").code == 2
    assert [path.name for path in tmp_path.iterdir()] == ["vehicle.toml"]
    assert loftwright("new", tmp_path / "a", "--demo", "--electronics").code == 2
    assert loftwright("new", tmp_path / "a", "--demo", "--name", "b").code == 2


def test_explain_shows_the_page_of_every_code(loftwright):
    for code, entry in catalogue.entries().items():
        ended = loftwright("explain", code)
        assert ended.code == 0
        assert entry.title in ended.out
        assert entry.mend in ended.out


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a full device is Linux's")
@pytest.mark.parametrize("words", [["--help"], ["explain", "--json"], ["check", "DIR"]])
def test_a_full_output_is_told_in_one_line(words, demo):
    words = [str(demo) if word == "DIR" else word for word in words]
    with Path("/dev/full").open("w") as full:
        ended = _process(words, stdout=full)
    assert ended.returncode == 1
    assert ended.stderr.splitlines() == [
        "command-no-output: standard output takes no more: No space left on device"
    ]


@pytest.mark.skipif(sys.platform == "win32", reason="pipes of POSIX")
@pytest.mark.parametrize("words", [["--help"], ["explain"], ["check", "DIR"], ["check", "no"]])
def test_a_reader_that_has_gone_is_told_in_one_line(words, demo):
    words = [str(demo) if word == "DIR" else word for word in words]
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as pipe:
        ended = _process([*words, "--json"] if words == ["check", "no"] else words, stdout=pipe)
    assert ended.returncode == 1
    (line,) = ended.stderr.splitlines()
    assert line.startswith("command-no-output: standard output takes no more")


@pytest.mark.skipif(sys.platform == "win32", reason="a shell of POSIX")
def test_a_closed_output_is_told_in_one_line(demo):
    command = f'"{sys.executable}" -m loftwright check "{demo}" >&-'
    ended = subprocess.run(command, shell=True, stderr=subprocess.PIPE, text=True, check=False)
    assert ended.returncode == 1
    assert ended.stderr == "command-no-output: standard output takes no more: it is closed\n"


def _process(words, stdout):
    command = [sys.executable, "-m", "loftwright", *words]
    return subprocess.run(command, stdout=stdout, stderr=subprocess.PIPE, text=True, check=False)


def test_explain_lists_all_codes(loftwright):
    assert list(loftwright("explain", "--json").answer["codes"]) == list(catalogue.entries())
    listed = loftwright("explain").out
    assert all(code in listed for code in catalogue.entries())


def test_explain_answers_programs(loftwright):
    answer = loftwright("explain", "CHECK-HOLD-WEAK", "--json").answer
    assert answer["code"] == "check-hold-weak"
    assert set(answer) == {"schema", "code", "title", "meaning", "why", "mend", "example"}


def test_explain_offers_the_nearest_code(loftwright):
    assert "did you mean check-hold-weak?" in loftwright("explain", "check-hold-week").err


def test_doctor_knows_every_dependency():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = {_name(each) for each in project["dependencies"]}
    extras = {_name(each) for extra in project["optional-dependencies"].values() for each in extra}
    assert set(doctor.REQUIRED) == named
    assert set(doctor.OPTIONAL) == extras


def _name(requirement: str) -> str:
    return requirement.partition(">")[0].partition("=")[0].strip()


def test_doctor_finds_this_machine_ready(loftwright):
    ended = loftwright("doctor", "--json")
    assert ended.code == 0
    assert ended.answer["is_ready"]
    for part in ended.answer["parts"]:
        assert part["purpose"]
        assert part["is_well"] or part["mend"]
    assert loftwright("doctor").out.endswith("Ready.\n")


def test_doctor_names_what_is_missing_and_the_line_that_mends_it(loftwright, monkeypatch):
    monkeypatch.setitem(doctor.REQUIRED, "no-such-package", "nothing at all")
    ended = loftwright("doctor", "--json")
    assert ended.code == 1
    assert not ended.answer["is_ready"]
    (part,) = (each for each in ended.answer["parts"] if each["name"] == "no-such-package")
    assert part["found"] == "missing"
    assert part["mend"].endswith("-m pip install no-such-package")
    assert "Not ready" in loftwright("doctor").out


def test_doctor_is_not_fooled_by_a_package_that_does_not_import(loftwright, monkeypatch):
    monkeypatch.setitem(sys.modules, "jinja2", None)
    ended = loftwright("doctor", "--json")
    assert ended.code == 1
    (part,) = (each for each in ended.answer["parts"] if each["name"] == "jinja2")
    assert part["found"].endswith("broken")


def test_doctor_sees_a_kernel_folder_that_cannot_be_written(loftwright, monkeypatch, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("a file where a folder is needed", encoding="utf-8")
    monkeypatch.setattr(doctor, "_cache_root", lambda: taken / "kernels")
    ended = loftwright("doctor", "--json")
    (part,) = (each for each in ended.answer["parts"] if each["name"] == "kernel folder")
    assert not part["is_well"]
    assert ended.code == 0  # it flies all the same, after compiling each time


class Screen(io.StringIO):
    """A standard error that is a terminal."""

    def isatty(self) -> bool:
        return True


def test_progress_draws_on_terminals_only(monkeypatch, capsys):
    quiet = progress.Progress("flights")
    quiet(1, 2)
    quiet.finish()
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(sys, "stderr", Screen())
    shown = progress.Progress("flights")
    shown(2, 2)
    shown.finish()
    assert "2 of 2 flights" in sys.stderr.getvalue()
    assert sys.stderr.getvalue().endswith("\r\033[K")


def test_progress_has_a_bar_the_rate_of_now_and_the_time_that_is_left(monkeypatch):
    clock = iter([0.0, *(10.0 + i for i in range(200))])
    monkeypatch.setattr(progress, "monotonic", lambda: next(clock))
    monkeypatch.setattr(sys, "stderr", Screen())
    shown = progress.Progress("flights")
    shown(400_000, 1_000_000)  # gone on with: these were read from a file in no time
    for i in range(1, 151):
        shown(400_000 + 1000 * i, 1_000_000)
    last = sys.stderr.getvalue().rpartition("\r\033[K")[2]
    assert last == (
        "[#############...........] 550,000 of 1,000,000 flights, 1,000 a second, 7 min 30 s left"
    )


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.4, "0 s"), (59.6, "1 min 0 s"), (3599, "59 min 59 s"), (7300, "2 h 1 min")],
)
def test_a_wait_is_told_as_a_person_says_it(seconds, words):
    assert progress.duration(seconds) == words


def test_first_flight_of_a_machine_says_that_it_compiles(monkeypatch, capsys):
    monkeypatch.setattr("loftwright.flight.engine.is_ready", lambda: False)
    progress.tell_compiling()
    assert "once, about fifteen seconds" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["--version"], ["check", "nowhere"]])
def test_main_leaves_with_the_exit_code(words):
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert ended.value.code == (0 if words == ["--version"] else 2)


def test_a_terminal_without_the_signs_gets_others(demo):
    """The whole way, as a process whose output knows ASCII only."""
    done = subprocess.run(
        [sys.executable, "-m", "loftwright", "forecast", str(demo)],
        check=False, capture_output=True, stdin=subprocess.DEVNULL,
        env={**__import__("os").environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr


def test_a_reader_that_leaves_early_is_no_fault(demo):
    """As in ``loftwright explain | head -1``."""
    with subprocess.Popen(
        [sys.executable, "-m", "loftwright", "explain"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL,
    ) as process:  # fmt: skip
        process.stdout.close()
        told = process.stderr.read()
        process.wait()
    assert b"Traceback" not in told


def test_doctor_says_whether_the_workbench_can_listen(loftwright, monkeypatch):
    import socket

    from loftwright.web import serve

    assert doctor.PORT == serve.PORT

    def part():
        parts = loftwright("doctor", "--json").answer["parts"]
        return next(each for each in parts if each["name"] == "port")

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        monkeypatch.setattr(doctor, "PORT", taken.getsockname()[1])
        assert part()["found"] == f"{doctor.PORT} taken"
        assert part()["is_well"]
    assert part()["found"] == f"{doctor.PORT} free"

    def refused(self, place):
        raise PermissionError(13, "not allowed")

    monkeypatch.setattr(socket.socket, "bind", refused)
    assert (part()["found"], part()["is_well"]) == ("not allowed", False)
    assert part()["mend"]


def test_doctor_says_whether_there_is_a_browser(loftwright, monkeypatch):
    import webbrowser

    def none(*_):
        raise webbrowser.Error("none")

    monkeypatch.setattr(webbrowser, "get", none)
    parts = loftwright("doctor", "--json").answer["parts"]
    (part,) = (each for each in parts if each["name"] == "browser")
    assert not part["is_well"]
    assert not part["is_needed"]
    assert "--lan" in part["mend"]
