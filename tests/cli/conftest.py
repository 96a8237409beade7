"""Running commands as a person or a script would."""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from loftwright.cli import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code and what it wrote."""

    code: int
    out: str
    err: str

    @property
    def answer(self) -> dict[str, Any]:
        """The one JSON object on standard output."""
        answer = json.loads(self.out, parse_constant=_refuse)
        assert isinstance(answer, dict)
        return answer


def _refuse(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON")


@pytest.fixture
def loftwright(capsys):
    """Run a command and return how it ended."""

    def run(*words: object) -> Ended:
        capsys.readouterr()
        code = main.run([str(word) for word in words])
        written = capsys.readouterr()
        return Ended(code, written.out, written.err)

    return run


@pytest.fixture
def demo(tmp_path):
    """A copy of the demo campaign, to be changed at will."""
    return Path(shutil.copytree(EXAMPLES / "sedge-lift", tmp_path / "sedge-lift"))


@pytest.fixture
def stand(tmp_path):
    """A copy of the bottle on the stand."""
    return Path(shutil.copytree(EXAMPLES / "stand-bottle", tmp_path / "stand-bottle"))
