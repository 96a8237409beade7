"""What holds the project together: locks, dependencies, rooms, the size of things."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "loftwright"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def pins(kind: str) -> dict[str, set[str]]:
    """Return the versions of each package in a lock."""
    found: dict[str, set[str]] = {}
    for line in (ROOT / "lock" / f"{kind}.txt").read_text(encoding="utf-8").splitlines():
        match = re.match(r"([a-z0-9._-]+)==([^ ;]+)", line)
        if match:
            found.setdefault(match.group(1), set()).add(match.group(2))
    return found


def name_of(requirement: str) -> str:
    return re.match(r"[a-z0-9-]+", requirement).group()


def requirements() -> set[str]:
    return {name_of(each) for each in PROJECT["project"]["dependencies"]}


@pytest.mark.parametrize("kind", ["run", "dev"])
def test_every_pin_of_a_lock_has_hashes(kind):
    text = (ROOT / "lock" / f"{kind}.txt").read_text(encoding="utf-8")
    entries = re.split(r"\n(?=[a-z])", text.strip())
    assert len(entries) >= len(pins(kind))
    assert all("--hash=sha256:" in entry for entry in entries)


def test_the_locks_hold_what_the_project_asks_for():
    # What benchmarks are held against builds on few machines: it is locked nowhere.
    groups = {
        name: group for name, group in PROJECT["dependency-groups"].items() if name != "bench"
    }
    asked = {name_of(each) for group in groups.values() for each in group if isinstance(each, str)}
    assert requirements() <= set(pins("run"))
    assert requirements() | asked <= set(pins("dev"))


def test_development_runs_on_the_very_versions_that_users_run():
    dev = pins("dev")
    assert all(dev[name] == versions for name, versions in pins("run").items())


def test_intel_macs_are_given_a_numba_that_has_wheels_there():
    line = next(
        line
        for line in (ROOT / "lock" / "run.txt").read_text(encoding="utf-8").splitlines()
        if line.startswith("numba==0.62")
    )
    assert "platform_machine == 'x86_64' and sys_platform == 'darwin'" in line


def test_every_dependency_is_justified_in_the_architecture():
    text = (ROOT / "ARCHITECTURE.md").read_text(encoding="utf-8")
    table = text.partition("## Dependencies")[2]
    extras = PROJECT["project"]["optional-dependencies"].values()
    groups = PROJECT["dependency-groups"].values()
    named = requirements()
    named |= {name_of(each) for extra in extras for each in extra}
    named |= {name_of(each) for group in groups for each in group if isinstance(each, str)}
    assert [name for name in sorted(named) if f"| {name} |" not in table] == []


def test_every_dependency_is_used():
    text = "\n".join(path.read_text(encoding="utf-8") for path in SOURCE.rglob("*.py"))
    unused = [
        name
        for name in requirements()
        if not re.search(rf"^\s*(?:import|from) {name.replace('-', '_')}\b", text, re.MULTILINE)
    ]
    assert unused == []


def test_files_have_one_subject():
    sizes = {
        path.relative_to(ROOT).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for path in SOURCE.rglob("*.py")
    }
    assert {name: size for name, size in sizes.items() if size > 400} == {}


def test_the_package_ships_its_data():
    """Whatever is no Python file must lie inside the package, where the wheel takes it from."""
    assert (SOURCE / "py.typed").exists()
    wheel = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["packages"] == ["src/loftwright"]


def test_the_licence_is_the_one_that_is_named():
    assert PROJECT["project"]["license"] == "Apache-2.0"
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert "Apache License" in licence
    assert "Version 2.0, January 2004" in licence
