"""What each command imports: what is not imported cannot be slow.

Times themselves are measured by the benchmark; a test of times would fail on a busy machine.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift"
PROGRAM = Path(__file__).resolve().parents[1] / "program" / "whole" / "program-main.toml"
OURS_FOR_HELP = {"loftwright", "loftwright.cli", "loftwright.cli.main", "loftwright.cli.lazy"}
HEAVY = {"numpy", "scipy", "numba", "llvmlite", "rich", "jinja2", "tomlkit", "platformdirs"}
NEVER = {"scipy.stats", "scipy.signal", "pandas", "pyarrow", "pint", "fluids"}

PROBE = """
import sys
before = set(sys.modules)
from loftwright.cli.main import run
code = run(sys.argv[1:])
sys.stdout = sys.stderr
print("\\n--imported--", *sorted(set(sys.modules) - before), sep="\\n")
sys.exit(code)
"""


def imported(*words: str, code: int = 0) -> set[str]:
    """Return the modules that a command imports in a fresh process."""
    done = subprocess.run(
        [sys.executable, "-c", PROBE, *words],
        check=False, capture_output=True, encoding="utf-8", stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert done.returncode == code, done.stderr
    return set(done.stderr.partition("--imported--\n")[2].split())


def tops(modules: set[str]) -> set[str]:
    """Return the top-level packages that do not belong to Python itself."""
    return {name.partition(".")[0] for name in modules} - set(sys.stdlib_module_names)


@pytest.mark.parametrize("words", [("--help",), ("--version",), ()])
def test_help_and_version_import_click_only(words):
    modules = imported(*words)
    assert tops(modules) <= {"click", "loftwright", "__mp_main__"}
    assert {name for name in modules if name.startswith("loftwright")} <= OURS_FOR_HELP


@pytest.mark.parametrize(
    "command",
    [
        "new",
        "glance",
        "check",
        "firing",
        "forecast",
        "whatif",
        "rehearse",
        "causes",
        "tune",
        "compare",
        "explore",
        "best",
        "sensitivity",
        "fit",
        "doctor",
        "explain",
        "program",
        "ledger",
    ],
)
def test_help_of_a_command_imports_no_room_but_the_command_line(command):
    modules = imported(command, "--help")
    assert tops(modules) <= {"click", "loftwright", "__mp_main__"}
    ours = {name for name in modules if name.startswith("loftwright.")}
    assert all(name.startswith("loftwright.cli") for name in ours)


@pytest.mark.parametrize("form", [(), ("--json",)])
def test_check_imports_nothing_heavy(form):
    assert not tops(imported("check", str(DEMO), *form)) & HEAVY


@pytest.mark.parametrize("verb", ["check", "glance"])
def test_the_grammar_of_conditions_is_loaded_only_for_programs(verb):
    assert "lark" not in tops(imported(verb, str(DEMO.parent / "stand-bottle")))
    assert "lark" in tops(imported(verb, str(DEMO)))


@pytest.mark.parametrize("form", [(), ("--json",)])
@pytest.mark.parametrize("example", ["sedge-lift", "sedge-lift-flown"])
def test_a_glance_imports_nothing_heavy(example, form):
    assert not tops(imported("glance", str(DEMO.parent / example), *form)) & HEAVY


@pytest.mark.parametrize("word", ["check", "explain"])
def test_checking_a_program_imports_nothing_heavy(word):
    modules = imported("program", word, str(PROGRAM))
    assert not tops(modules) & HEAVY
    assert "lark" in tops(modules)


@pytest.mark.parametrize("word", ["check", "explain", "run", "emit-c"])
def test_help_below_program_imports_the_command_line_only(word):
    assert tops(imported("program", word, "--help")) <= {"click", "loftwright", "__mp_main__"}


@pytest.mark.parametrize("word", ["list", "show", "finding", "ready", "export"])
def test_help_below_ledger_imports_the_command_line_only(word):
    assert tops(imported("ledger", word, "--help")) <= {"click", "loftwright", "__mp_main__"}


def test_listing_a_ledger_imports_tables_but_no_numbers(tmp_path):
    (tmp_path / "campaign.toml").touch()
    assert tops(imported("ledger", "list", str(tmp_path))) & HEAVY <= {"rich"}


@pytest.mark.parametrize("words", [("list", "--json"), ("action", "Fit a hook")])
def test_looking_and_writing_in_the_ledger_import_nothing_heavy(tmp_path, words):
    (tmp_path / "campaign.toml").touch()
    assert not tops(imported("ledger", words[0], str(tmp_path), *words[1:])) & HEAVY


def test_bad_input_imports_nothing_heavy(tmp_path):
    assert not tops(imported("check", str(tmp_path), code=2)) & HEAVY


def test_explain_imports_nothing_heavy():
    assert not tops(imported("explain", "check-hold-weak")) & HEAVY


def test_forecast_imports_no_statistics_and_no_tables():
    modules = imported("forecast", str(DEMO), "--json")
    assert not modules & NEVER
    assert not tops(modules) & {"rich", "jinja2", "tomlkit"}


def test_static_firing_imports_no_scipy():
    modules = imported("firing", str(DEMO.parent / "stand-bottle"), "--json")
    assert not modules & NEVER
    assert "scipy.optimize" not in modules
