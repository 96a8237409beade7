#!/usr/bin/env python3
"""Set up and run Loftwright from a clone, with nothing but Python installed.

    python3 run.py setup               make .venv, nothing more
    python3 run.py demo [--no-open]    fly, mend, rehearse and debrief the demo, open the workbench
    python3 run.py serve [DIR ARGS]    open the workbench again, or on a campaign of your own
    python3 run.py test [ARGS ...]     the whole test suite side by side; ARGS go to pytest alone
    python3 run.py lint                format, lint, types, rooms
    python3 run.py docs                build the docs into docs/_build/html
    python3 run.py bench [ARGS ...]    the speed table

Everything is kept inside this folder: the environment in .venv, results in out.
"""

# This file must be understood by old Pythons too, so that they can say what is wrong.
import sys

OLDEST, NEWEST = (3, 11), (3, 13)


def _refuse_version():
    have = "%d.%d" % sys.version_info[:2]
    tried = "python%d.%d" % NEWEST
    sys.exit(
        "Loftwright needs Python 3.11, 3.12 or 3.13; this is %s.\n"
        "Try another that is installed here, for instance: %s run.py demo\n"
        "(on Windows: py -%d.%d run.py demo), or install one from python.org."
        % (have, tried, NEWEST[0], NEWEST[1])
    )


if not OLDEST <= sys.version_info[:2] <= NEWEST:
    _refuse_version()

import contextlib
import hashlib
import importlib.util
import json
import os
import platform
import shutil
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
STAMP = VENV / "loftwright-stamp.json"  # what was installed, once it is whole
UNFINISHED = VENV / "loftwright-unfinished"  # stands while a set-up is under way
OUT = ROOT / "out"
CAMPAIGNS = OUT / "campaigns"  # copies to work on, never written over
COPIED = ("sedge-lift", "sedge-lift-flown", "stand-bottle", "terrace-stages")
DEMO = ROOT / "examples" / "sedge-lift"
MENDED = ROOT / "examples" / "sedge-lift-mended"
FLOWN = ROOT / "examples" / "sedge-lift-flown"
WHY = ["--causes", "--flights", "100"]  # of each of some fifty causes
FLIGHTS = {"2026-05-09-a": [], "2026-05-09-b": WHY, "2026-05-16-a": WHY}  # good, failed, unclear
DEMO_FLIGHTS = "400"
AT_ONCE = ["-n", "auto", "--maxprocesses", "4", "--dist", "loadfile"]  # each may open a browser
REHEARSED = ["--flights", "100", "--seed", "1"]  # of each of some forty faults


# ---------------------------------------------------------------- the environment


def ensure(kind):
    """Make .venv hold what lock/<kind>.txt names; return at once if it does already."""
    if _is_ready(kind):
        return
    with _alone():
        if _is_ready(kind):  # another run.py has just done it
            return
        how_long = "about a minute" if kind == "run" else "a few minutes"
        _say(f"Setting up (once, {how_long}; it downloads from the Python package index) ...")
        _make_venv()
        UNFINISHED.touch()
        _install(ROOT / "lock" / f"{kind}.txt")
        _link_package()
        _write_stamp(kind)
        UNFINISHED.unlink()
        _say("Set up.")


def _is_ready(kind):
    """Whether the stamp says that this lock, or the larger one, is installed for this Python."""
    if UNFINISHED.exists() or not PYTHON.exists():
        return False
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    if not isinstance(stamp, dict):
        return False
    kinds = ("run", "dev") if kind == "run" else ("dev",)
    return any(stamp.get(name) == _fingerprint(name) for name in kinds)


def _fingerprint(kind):
    """Hash of everything that decides what a set-up with this lock would make."""
    locks = ("run",) if kind == "run" else ("run", "dev")
    whole = hashlib.sha256(f"{sys.version_info[:2]} {platform.machine()} 1".encode())
    for name in locks:
        # Line ends may have been changed by a checkout on Windows.
        whole.update((ROOT / "lock" / f"{name}.txt").read_bytes().replace(b"\r\n", b"\n"))
    return whole.hexdigest()


def _write_stamp(kind):
    STAMP.write_text(json.dumps({kind: _fingerprint(kind)}), encoding="utf-8")


@contextlib.contextmanager
def _alone():
    """Let one run.py set up at a time; the system frees the lock when its holder dies."""
    with open(ROOT / ".venv.lock", "a+b") as handle:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def _make_venv():
    """Make .venv unless a sound one stands there; a half-made or foreign one is made anew."""
    if _venv_is_sound():
        return
    if VENV.exists():
        shutil.rmtree(VENV)
    has_pip = importlib.util.find_spec("ensurepip") is not None
    if not has_pip and importlib.util.find_spec("pip") is None:
        sys.exit(_no_pip_text())
    without = [] if has_pip else ["--without-pip"]
    done = subprocess.run(
        [sys.executable, "-m", "venv", *without, str(VENV)],
        check=False, capture_output=True, text=True,
    )  # fmt: skip
    if done.returncode:
        shutil.rmtree(VENV, ignore_errors=True)
        sys.exit(f"{done.stdout}{done.stderr}\n{_no_pip_text()}")


def _venv_is_sound():
    if UNFINISHED.exists() or not PYTHON.exists():
        return False
    ask = "import sys; print(sys.version_info[:2])"
    try:
        said = subprocess.run([PYTHON, "-c", ask], check=True, capture_output=True, text=True)
    except (OSError, subprocess.CalledProcessError):
        return False
    return said.stdout.strip() == str(sys.version_info[:2])


def _no_pip_text():
    version = "%d.%d" % sys.version_info[:2]
    return (
        "This Python came without the parts that make an environment (venv and ensurepip).\n"
        f"On Debian or Ubuntu: sudo apt install python{version}-venv\n"
        "Elsewhere: install Python from python.org. Then run the same command again."
    )


def _install(lock):
    """Install the locked wheels; every file is checked against its hash."""
    command = [*_pip(), "install", "--disable-pip-version-check", "--no-input"]
    command += ["--require-hashes", "--only-binary", ":all:", "--progress-bar", "off"]
    command += ["-r", str(lock)]
    # Settings meant for the person's other Python work must not lead pip astray.
    astray = ("PYTHONPATH", "PYTHONHOME", "PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_NO_INDEX")
    env = {key: value for key, value in os.environ.items() if key not in astray}
    lines = []
    with subprocess.Popen(
        command, env=env, cwd=ROOT, text=True, encoding="utf-8", errors="replace",
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    ) as pip:  # fmt: skip
        for line in pip.stdout:
            lines.append(line.rstrip())
            _show_progress(lines[-1])
    _show_progress(None)
    if pip.returncode:
        sys.exit("\n".join([*lines[-15:], "", _install_failed_text()]))


def _pip():
    """Return the command of a pip that installs into .venv."""
    inside = subprocess.run([PYTHON, "-m", "pip", "--version"], check=False, capture_output=True)
    if inside.returncode == 0:
        return [str(PYTHON), "-m", "pip"]
    return [sys.executable, "-m", "pip", "--python", str(PYTHON)]


def _install_failed_text():
    text = "Setting up failed (see above). With the network back, run the same command again."
    if os.name == "nt" and platform.machine() == "ARM64" and sys.version_info[:2] == (3, 11):
        text += "\nOn Windows for ARM, Python 3.12 or 3.13 is needed: numba has no wheel for 3.11."
    return text


def _link_package():
    """Make `import loftwright` and the `loftwright` command work, with no build."""
    site = next(VENV.glob("[Ll]ib/site-packages"), None)
    site = site or next(VENV.glob("lib/python*/site-packages"))
    # Relative, so that no letter of the folder's name can be misread.
    (site / "loftwright.pth").write_text(os.path.relpath(ROOT / "src", site) + "\n", "utf-8")
    if os.name == "nt":
        launcher, text = BIN / "loftwright.cmd", '@"%~dp0python.exe" -m loftwright %*\r\n'
    else:
        launcher = BIN / "loftwright"
        text = '#!/bin/sh\nexec "$(dirname "$0")/python" -m loftwright "$@"\n'
    launcher.write_text(text, "utf-8", newline="")
    launcher.chmod(0o755)


# ---------------------------------------------------------------- what can be run


def setup(_arguments):
    """Only set up."""
    ensure("run")
    _say(f"Ready. The command is {_shown(BIN / 'loftwright')}")
    return 0


def demo(arguments):
    """Run the main job on the demo campaign."""
    if set(arguments) - {"--no-open"}:
        sys.exit("demo takes only --no-open")
    ensure("run")
    OUT.mkdir(exist_ok=True)
    firing, forecast, compared, rehearsed = (
        OUT / f"{name}.html" for name in ("firing", "forecast", "compare", "rehearse")
    )
    many = ["--flights", DEMO_FLIGHTS, "--seed", "1"]
    for step in (
        ["check", DEMO],
        ["firing", DEMO, "--report", firing],
        ["forecast", DEMO, *many, "--report", forecast],
        ["compare", DEMO, MENDED, *many, "--report", compared],
        ["rehearse", MENDED, *REHEARSED, "--report", rehearsed],
        *(
            ["debrief", FLOWN, name, *more, "--report", OUT / f"{name}.html"]
            for name, more in FLIGHTS.items()
        ),
    ):
        words = [str(word) if isinstance(word, str) else _shown(word) for word in step]
        _say("\n$ loftwright " + " ".join(words))
        code = _python("-m", "loftwright", *map(str, step))
        if code:
            return code
    _say(f"\nReport of the firing: {firing}\nReport of the flight: {forecast}")
    _say(f"Report of what is wrong with it, and its mend side by side: {compared}")
    _say(f"Report of what its electronics and program do when something fails: {rehearsed}")
    flights = [OUT / f"{name}.html" for name in FLIGHTS]
    _say("Reports of three flights that nobody flew: " + ", ".join(map(str, flights)))
    _copy_campaigns()
    if "--no-open" in arguments or not _has_screen():
        _say("\nThe same and more in the browser, on copies to work on: python3 run.py serve")
        return 0
    return serve([])


def serve(arguments):
    """Open the workbench: on the copies of the demo campaigns, or on what is named."""
    ensure("run")
    if not arguments or arguments[0].startswith("-"):
        _copy_campaigns()
        arguments = [str(CAMPAIGNS), *arguments]
    folder, *options = arguments
    return _python("-m", "loftwright", "serve", str(Path(folder).resolve()), *options)


def _copy_campaigns():
    """Copy the demo campaigns to where they may be changed; what is there already stays."""
    CAMPAIGNS.mkdir(parents=True, exist_ok=True)
    for name in COPIED:
        if not (CAMPAIGNS / name).exists():
            shutil.copytree(ROOT / "examples" / name, CAMPAIGNS / name)


def test(arguments):
    """Run the whole test suite on all cores, or what ARGS name, one test after the other."""
    ensure("dev")
    return _python("-m", "pytest", *(arguments or AT_ONCE))


def lint(_arguments):
    """Check format, lint, types and rooms; all of them run, whatever the first ones say."""
    ensure("dev")
    checks = {
        "format": ("-m", "ruff", "format", "--check", "."),
        "lint": ("-m", "ruff", "check", "."),
        "types": ("-m", "mypy"),
        "rooms": ("-c", "from importlinter.cli import lint_imports_command as c; c()"),
    }
    failed = [name for name, command in checks.items() if _lint_step(name, command)]
    _say("lint: " + (f"failed: {', '.join(failed)}" if failed else "all clean"))
    return 1 if failed else 0


def _lint_step(name, command):
    _say(f"lint: {name}")
    return _python(*command)


def docs(_arguments):
    """Build the docs, warnings as errors."""
    ensure("dev")
    target = ROOT / "docs" / "_build"
    options = ("-W", "--keep-going", "-q", "-b", "html", "-d", str(target / "doctrees"))
    code = _python("-m", "sphinx", *options, str(ROOT / "docs"), str(target / "html"))
    if code == 0:
        _say(f"Docs: {target / 'html' / 'index.html'}")
    return code


def bench(arguments):
    """Measure the speed table."""
    ensure("dev")
    return _python(str(ROOT / "benchmarks" / "flight_speed.py"), *arguments)


def _python(*arguments):
    """Run the environment's Python in this folder and return its exit code."""
    sys.stdout.flush()
    with subprocess.Popen([str(PYTHON), *arguments], cwd=ROOT) as child:
        while True:
            try:
                return child.wait()
            except KeyboardInterrupt:
                continue  # the child has had it too, and ends in its own way


def _has_screen():
    if os.environ.get("CI"):
        return False
    if os.name == "nt" or sys.platform == "darwin":
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _say(text):
    print(text, flush=True)


def _show_progress(line):
    """Show on one line of a terminal what pip is busy with; None ends it."""
    if not sys.stdout.isatty():
        return
    words = (line or "").strip()
    if line is None or words.startswith(("Downloading", "Collecting", "Installing")):
        print("\r\033[K" + words[: shutil.get_terminal_size().columns - 1], end="", flush=True)


def _shown(path):
    """Return the path as short as it can be given from the current folder."""
    try:
        return str(Path(path).relative_to(Path.cwd()))
    except ValueError:
        return str(path)


COMMANDS = {
    "setup": setup,
    "demo": demo,
    "serve": serve,
    "test": test,
    "lint": lint,
    "docs": docs,
    "bench": bench,
}


def main(arguments):
    """Run one command and return its exit code."""
    if not arguments or arguments[0] in {"-h", "--help", "help"}:
        _say(__doc__.strip())
        return 0
    command = COMMANDS.get(arguments[0])
    if command is None:
        _say(f"No such command: {arguments[0]}. There are: {', '.join(COMMANDS)}.")
        return 2
    try:
        return command(arguments[1:])
    except KeyboardInterrupt:
        _say("\nStopped. Run the same command again to go on.")
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
