"""Campaigns with flights, made up for the tests."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def campaign(folder: Path, example: str = "sedge-lift") -> Path:
    """Make a copy of an example campaign."""
    shutil.copytree(EXAMPLES / example, folder)
    return folder


def add_flight(
    folder: Path,
    name: str,
    *,
    title: str = "",
    outcome: str = "not judged",
    flown: str | None = None,
    saw: str = "",
    files: dict[str, bytes] | None = None,
    build: bool = True,
    head: str = "",
) -> Path:
    """Make a flight's folder below flights/, of the campaign's documents as they stand."""
    place = folder / "flights" / name
    (place / "evidence").mkdir(parents=True)
    lines = [f'name = "{title or name}"', f'outcome = "{outcome}"', head]
    if flown is not None:
        lines.append(f'flown = "{flown}"')
    for file, content in (files or {}).items():
        (place / "evidence" / file).write_bytes(content)
        lines += [
            "[[evidence]]",
            f'file = "{file}"',
            'kind = "log"',
            f'sha256 = "{hashlib.sha256(content).hexdigest()}"',
            f"size = {len(content)}",
        ]
    (place / "flight.toml").write_text("\n".join([*lines, saw, ""]), encoding="utf-8")
    if build:
        snapshot(folder, name)
    return place


def snapshot(folder: Path, name: str) -> None:
    """Keep the campaign's documents as they stand in a flight's folder build/."""
    to = folder / "flights" / name / "build"
    to.mkdir()
    for path in folder.glob("*.toml"):
        shutil.copy(path, to)


def saw(what: str, happened: str = "yes", **more: object) -> str:
    """Return an entry of what somebody saw."""
    lines = ["[[saw]]", f'what = "{what}"', f'happened = "{happened}"']
    return "\n".join([*lines, *(f'{key} = "{value}"' for key, value in more.items()), ""])


def change(path: Path, old: str, new: str) -> None:
    """Change a document in place."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def folder(path: Path) -> None:
    """Put a folder in the place of a file."""
    path.unlink()
    path.mkdir()
