"""run.py: what it decides, without a network. A set-up itself is what every CI run does first."""

from __future__ import annotations

import importlib.util
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def run(tmp_path):
    """run.py as a module that believes an empty folder to be the checkout."""
    for name in ("run.py", "lock"):
        source = ROOT / name
        copy = shutil.copytree if source.is_dir() else shutil.copy
        copy(source, tmp_path / name)
    spec = importlib.util.spec_from_file_location("run_under_test", tmp_path / "run.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def whole(run):
    """The same with an environment that looks whole."""
    run.PYTHON.parent.mkdir(parents=True)
    run.PYTHON.write_text("", encoding="utf-8")
    run._write_stamp("run")
    return run


def test_nothing_is_ready_in_a_new_checkout(run):
    assert not run._is_ready("run")
    assert not run._is_ready("dev")


def test_a_whole_environment_is_ready_at_once_for_its_kind(whole):
    assert whole._is_ready("run")
    assert not whole._is_ready("dev")
    whole._write_stamp("dev")
    assert whole._is_ready("run")
    assert whole._is_ready("dev")


@pytest.mark.parametrize("lock", ["run", "dev"])
def test_a_changed_lock_sets_up_anew(whole, lock):
    whole._write_stamp("dev")
    path = whole.ROOT / "lock" / f"{lock}.txt"
    path.write_text(path.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    assert not whole._is_ready("dev")


def test_line_ends_of_a_checkout_do_not_matter(whole):
    path = whole.ROOT / "lock" / "run.txt"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert whole._is_ready("run")


def test_another_python_sets_up_anew(whole, monkeypatch):
    monkeypatch.setattr(whole.sys, "version_info", (3, 99, 0))
    assert not whole._is_ready("run")


def test_an_interrupted_set_up_is_not_ready_and_is_made_anew(whole, monkeypatch):
    whole.UNFINISHED.touch()
    assert not whole._is_ready("run")
    left = whole.VENV / "half-installed"
    left.write_text("", encoding="utf-8")
    made = []

    def venv(command, **_options):
        made.append(command)
        return subprocess.CompletedProcess(command, 0, "", "")

    monkeypatch.setattr(whole.subprocess, "run", venv)
    whole._make_venv()
    assert made
    assert not left.exists()


@pytest.mark.parametrize("stamp", ["", "{", "[]", '{"run": 3}'])
def test_a_damaged_stamp_is_not_believed(whole, stamp):
    whole.STAMP.write_text(stamp, encoding="utf-8")
    assert not whole._is_ready("run")


def test_a_python_without_venv_is_told_what_to_install(run, monkeypatch):
    monkeypatch.setattr(run.importlib.util, "find_spec", lambda _name: None)
    with pytest.raises(SystemExit) as ended:
        run._make_venv()
    assert "sudo apt install python3." in str(ended.value)
    assert not run.VENV.exists()


def test_the_package_is_linked_by_a_relative_path(run):
    site = run.VENV / "lib" / "python3.11" / "site-packages"
    site.mkdir(parents=True)
    run.BIN.mkdir()
    run._link_package()
    linked = (site / "loftwright.pth").read_text(encoding="utf-8").strip()
    assert not Path(linked).is_absolute()
    assert (site / linked).resolve() == run.ROOT / "src"
    assert list(run.BIN.glob("loftwright*"))


def test_without_a_command_the_help_is_shown(run, capsys):
    assert run.main([]) == 0
    shown = capsys.readouterr().out
    assert all(f"run.py {name}" in shown for name in run.COMMANDS)


def test_an_unknown_command_is_refused(run, capsys):
    assert run.main(["deom"]) == 2
    assert "demo" in capsys.readouterr().out


def test_demo_takes_only_no_open(run):
    with pytest.raises(SystemExit, match="only --no-open"):
        run.main(["demo", "--quick"])


@pytest.fixture
def ran(run, monkeypatch):
    """What run.py was made to do: set-ups by their kind, commands by their words."""
    did = []
    monkeypatch.setattr(run, "ensure", did.append)
    monkeypatch.setattr(run, "_python", lambda *words: did.append(words) or 0)
    for name in run.COPIED:
        (run.ROOT / "examples" / name).mkdir(parents=True)
        (run.ROOT / "examples" / name / "campaign.toml").write_text(name, encoding="utf-8")
    return did


def test_demo_ends_with_the_workbench_where_there_is_a_screen(run, ran, monkeypatch, capsys):
    served = []
    for screen, words in ((True, []), (True, ["--no-open"]), (False, [])):
        monkeypatch.setattr(run, "_has_screen", lambda screen=screen: screen)
        assert run.main(["demo", *words]) == 0
        served += [each for each in ran if each[2:3] == ("serve",)]
        ran.clear()
    assert served == [("-m", "loftwright", "serve", str(run.CAMPAIGNS))]
    shown = capsys.readouterr().out
    names = ("forecast", "compare", "rehearse", *run.FLIGHTS)
    assert all(str(run.OUT / f"{name}.html") in shown for name in names)


def test_demo_does_the_whole_job(run, ran, monkeypatch):
    monkeypatch.setattr(run, "_has_screen", lambda: False)
    assert run.main(["demo"]) == 0
    assert ran[0] == "run"
    steps = ["check", "firing", "forecast", "compare", "rehearse", "debrief", "debrief", "debrief"]
    assert [words[2] for words in ran[1:9]] == steps


def test_campaigns_that_were_worked_on_are_not_copied_over(run, ran):
    assert run.main(["serve"]) == 0
    mine = run.CAMPAIGNS / "sedge-lift" / "campaign.toml"
    mine.write_text("mine", encoding="utf-8")
    assert run.main(["serve", "--no-open"]) == 0
    assert mine.read_text(encoding="utf-8") == "mine"
    assert ran[-1] == ("-m", "loftwright", "serve", str(run.CAMPAIGNS), "--no-open")


def test_a_campaign_of_ones_own_is_served(run, ran, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run.main(["serve", "mine", "--port", "0"]) == 0
    assert ran[-1][2:] == ("serve", str(tmp_path / "mine"), "--port", "0")


def test_there_is_no_screen_in_ci(run, monkeypatch):
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setenv("CI", "true")
    assert not run._has_screen()


def test_what_fails_is_passed_on(run, monkeypatch):
    monkeypatch.setattr(run, "ensure", lambda _kind: None)
    monkeypatch.setattr(run, "_python", lambda *_words: 3)
    assert run.main(["test", "-k", "nothing"]) == 3
    assert run.main(["lint"]) == 1
    assert run.main(["demo", "--no-open"]) == 3


def test_an_interrupt_ends_quietly(run, monkeypatch, capsys):
    def interrupted(_kind):
        raise KeyboardInterrupt

    monkeypatch.setattr(run, "ensure", interrupted)
    assert run.main(["setup"]) == 130
    assert "Run the same command again" in capsys.readouterr().out


def test_one_set_up_at_a_time(run):
    """The second waits for the first: while the lock is held, another process cannot take it."""
    probe = (
        "import fcntl, sys\n"
        "handle = open(sys.argv[1], 'a+b')\n"
        "try:\n    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)\n"
        "except BlockingIOError:\n    sys.exit(7)\n"
    )
    pytest.importorskip("fcntl", reason="this system locks files in another way")
    command = [sys.executable, "-c", probe, str(run.ROOT / ".venv.lock")]
    with run._alone():
        assert subprocess.run(command, check=False).returncode == 7
    assert subprocess.run(command, check=False).returncode == 0


def test_an_old_python_is_refused_in_words(monkeypatch):
    code = (ROOT / "run.py").read_text(encoding="utf-8")
    monkeypatch.setattr(sys, "version_info", (3, 9, 1))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11, 3\.12 or 3\.13; this is 3\.9"):
        exec(compile(code, "run.py", "exec"), {"__name__": "refused", "__doc__": ""})


def test_the_stamp_says_what_it_was_made_of(whole):
    stamp = json.loads(whole.STAMP.read_text(encoding="utf-8"))
    assert set(stamp) == {"run"}
    assert len(stamp["run"]) == 64
