"""Make the locks for all systems at once, or verify them; needs uv on the path."""

from __future__ import annotations

import subprocess
import sys
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory

LOCK = Path(__file__).resolve().parent
KINDS = ("run", "dev")
PYTHONS = ("3.11", "3.12", "3.13")
PLATFORMS = (
    "x86_64-manylinux_2_28",
    "aarch64-manylinux_2_28",
    "x86_64-apple-darwin",
    "aarch64-apple-darwin",
    "x86_64-pc-windows-msvc",
    "aarch64-pc-windows-msvc",
)
# numba has no wheel there; run.py tells the person to take a newer Python.
KNOWN_GAPS = {("3.11", "aarch64-pc-windows-msvc")}


def compile_locks() -> None:
    """Write both locks from scratch; what is in the run-time lock is the same in the other."""
    common = ("--universal", "--generate-hashes", "--python-version", "3.11", "--no-header")
    with TemporaryDirectory() as scratch:
        run, dev = Path(scratch) / "run.txt", Path(scratch) / "dev.txt"
        _uv(*common, "pyproject.toml", "-o", str(run))
        _uv(*common, "pyproject.toml", "--group", "dev", "-c", str(run), "-o", str(dev))
        for made in (run, dev):
            text = made.read_text(encoding="utf-8").replace(scratch, "lock")
            (LOCK / made.name).write_text(text, encoding="utf-8", newline="\n")


def verify() -> int:
    """Ask for wheels of everything on every system; return how many answers were not foreseen."""
    surprises = 0
    for kind, python, platform in product(KINDS, PYTHONS, PLATFORMS):
        resolves = _resolves(kind, python, platform)
        expected = (python, platform) not in KNOWN_GAPS
        surprises += resolves != expected
        print(f"{kind} {python} {platform}: {'yes' if resolves else 'no'}")
    return surprises


def _resolves(kind: str, python: str, platform: str) -> bool:
    where = ("--python-version", python, "--python-platform", platform)
    try:
        _uv(str(LOCK / f"{kind}.txt"), "--no-deps", "--only-binary", ":all:", *where)
    except subprocess.CalledProcessError:
        return False
    return True


def _uv(*arguments: str) -> None:
    command = ["uv", "pip", "compile", "--quiet", *arguments]
    subprocess.run(command, cwd=LOCK.parent, check=True, capture_output=True)


if __name__ == "__main__":
    if sys.argv[1:] == ["--verify"]:
        sys.exit(verify())
    compile_locks()
