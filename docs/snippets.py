"""What the commands of the tutorial really print, taken from a run at build time."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[1]
DEMO = "examples/sedge-lift"

# snippet -> the words after `loftwright`; each runs in the root of the checkout.
COMMANDS: dict[str, tuple[str, ...]] = {
    "check": ("check", DEMO),
    "firing": ("firing", DEMO),
    "forecast": ("forecast", DEMO),
    "flights": ("forecast", DEMO, "--flights", "400"),
    "lighter-fill": ("forecast", DEMO, "--set", "vehicle.fill.water_volume=0.7 L"),
    "explain": ("explain", "check-hold-weak"),
    "doctor": ("doctor",),
}


def write_snippets(folder: Path) -> None:
    """Run every command and write what it printed, below what was typed, into ``folder``."""
    folder.mkdir(parents=True)
    for name, words in COMMANDS.items():
        typed = " ".join(f"'{word}'" if " " in word else word for word in words)
        printed = _run(words)
        (folder / f"{name}.txt").write_text(f"$ loftwright {typed}\n{printed}", encoding="utf-8")
    with TemporaryDirectory() as scratch:
        printed = _run(("check", scratch), expected=2)
    text = printed.replace(scratch, "spring-lifts")
    (folder / "no-campaign.txt").write_text(f"$ loftwright check spring-lifts\n{text}", "utf-8")


def _run(words: tuple[str, ...], expected: int = 0) -> str:
    env = os.environ | {"NO_COLOR": "1", "COLUMNS": "88", "PYTHONIOENCODING": "utf-8"}
    env["PYTHONPATH"] = str(ROOT / "src")
    done = subprocess.run(
        [sys.executable, "-m", "loftwright", *words],
        cwd=ROOT,
        env=env,
        check=False,
        capture_output=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
    )
    if done.returncode != expected:
        raise RuntimeError(
            f"loftwright {' '.join(words)} ended with {done.returncode}\n{done.stderr}"
        )
    return done.stdout or done.stderr
