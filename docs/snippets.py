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
    "second-hook": (
        "compare",
        DEMO,
        "--set",
        "payload.hold.strength=22 N ± 1.4 N",
        "--flights",
        "400",
    ),
    "mended": ("compare", DEMO, f"{DEMO}-mended", "--flights", "400"),
    "rehearse": ("rehearse", f"{DEMO}-mended", "--flights", "100"),
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
        _run(("new", "spring-lifts"), where=Path(scratch))
        _spoil(Path(scratch) / "spring-lifts")
        words = ("check", "spring-lifts")
        printed = _run(words, where=Path(scratch), expected=2)
    (folder / "mistakes.txt").write_text(f"$ loftwright check spring-lifts\n{printed}", "utf-8")


def _spoil(campaign: Path) -> None:
    """Make two mistakes in a campaign, as everybody makes them."""
    for name, right, wrong in (
        ("vehicle.toml", 'gauge_pressure = "60 psi', 'gauge_pressure = "160 psi'),
        ("site.toml", "guide_length", "guide_lenght"),
    ):
        text = (campaign / name).read_text(encoding="utf-8")
        if right not in text:
            raise RuntimeError(f"the template's {name} has no {right!r} any more")
        (campaign / name).write_text(text.replace(right, wrong), encoding="utf-8")


def _run(words: tuple[str, ...], where: Path = ROOT, expected: int = 0) -> str:
    env = os.environ | {"NO_COLOR": "1", "COLUMNS": "88", "PYTHONIOENCODING": "utf-8"}
    env["PYTHONPATH"] = str(ROOT / "src")
    done = subprocess.run(
        [sys.executable, "-m", "loftwright", *words],
        cwd=where,
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
