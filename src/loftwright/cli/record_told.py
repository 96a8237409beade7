"""What is said of each file that ``loftwright record`` takes in: by options, or in a proposal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from loftwright.cli.log_options import LogWords

if TYPE_CHECKING:
    from loftwright.documents.edit import Value
    from loftwright.evidence.taking import Told

__all__ = ["FROM_LISTS", "KINDS", "FileWords", "read_proposal"]

KINDS = ("log", "firing", "sound", "picture", "film", "other")
# Key in a proposal -> field, and how many of it there may be.
ONE = {
    "as": "kind",
    **{word: word for word in ("name", "source", "clock", "said", "reading", "force")},
}
OF_LOG = {
    **{word: word for word in ("time", "pressure", "height", "push", "battery", "temperature")},
    "every": "every",
    "delimiter": "delimiter",
    "decimal": "decimal",
    "flight_number": "flight_number",
}
MANY = {"state": "states", "ignore": "ignored", "unit": "units", "scale": "scales"}
FROM_LISTS = {
    "as": KINDS,
    "delimiter": ("tab", "comma", "semicolon", "blanks"),
    "decimal": (".", ","),
}
MOST_FLIGHTS = 1000
LARGEST = 4 << 20  # bytes of a proposal


@dataclass(frozen=True, slots=True)
class FileWords:
    """A file with what is said of it, in the words of the options."""

    path: Path
    log: LogWords
    kind: str | None = None
    name: str | None = None
    source: str | None = None
    clock: str | None = None
    said: str | None = None
    reading: str | None = None
    force: str | None = None

    def told(self) -> Told:
        """Return it as readers take it. Raises ``ProblemError`` for what cannot be read."""
        from loftwright.evidence.taking import Told

        return Told(
            self.kind,
            self.log.options(),
            self.log.tells_layout,
            self.force,
            self.reading,
            self.source,
        )

    def fields(self) -> dict[str, Value]:
        """Return what goes into the file's entry in ``flight.toml`` as it stands."""
        words = {"source": self.source, "clock": self.clock, "said": self.said}
        return {word: each for word, each in words.items() if each}

    def as_told(self) -> dict[str, Any]:
        """Return what is said as plain data, by the options' names; `of_told` reads it again."""
        found = {key: getattr(self, field) for key, field in ONE.items()}
        found |= {key: getattr(self.log, field) for key, field in OF_LOG.items()}
        found |= {key: list(getattr(self.log, field)) for key, field in MANY.items()}
        return {key: each for key, each in found.items() if each not in (None, [])}

    def options(self) -> list[str]:
        """Return what is said as words of the command line."""
        words = []
        for key, value in self.as_told().items():
            for each in value if isinstance(value, list) else [value]:
                words += [f"--{key.replace('_', '-')}", str(each)]
        return words

    @classmethod
    def of_told(cls, path: Path, told: Mapping[str, Any], proposal: str = "") -> FileWords:
        """Return what plain data says of a file. Raises ``ProblemError`` where it says nonsense.

        ``proposal`` is the file that it stands in.
        """
        for key, value in told.items():
            _check(proposal, key, value)
        log: dict[str, Any] = {field: told.get(key) for key, field in OF_LOG.items()}
        log |= {field: tuple(told.get(key, ())) for key, field in MANY.items()}
        said = {field: told.get(key) for key, field in ONE.items()}
        return cls(path, LogWords(**log), **said)


def _check(proposal: str, key: str, value: Any) -> None:
    if key in MANY:
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            _refuse(proposal, key, value, "write a list of texts")
    elif key == "flight_number":
        if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= MOST_FLIGHTS:
            _refuse(proposal, key, value, "write a whole number from 1")
    elif key in ONE or key in OF_LOG:
        if not isinstance(value, str) or not value.strip():
            _refuse(proposal, key, value, "write a text, or leave it out")
        if key in FROM_LISTS and value not in FROM_LISTS[key]:
            _refuse(proposal, key, value, f"write one of {', '.join(FROM_LISTS[key])}")
    else:
        allowed = ", ".join((*ONE, *OF_LOG, *MANY))
        _refuse(proposal, key, value, f"what may be said is: {allowed}")


def read_proposal(path: Path) -> list[FileWords]:
    """Return the files of a proposal, as ``--dry-run --json`` writes it, corrected or not.

    Names of files without a folder count from where the proposal lies. Raises ``ProblemError``
    where it cannot be read.
    """
    import json

    from loftwright.documents.files import open_regular

    with open_regular(path, name=str(path)) as stream:
        content = stream.read(LARGEST + 1)
    if len(content) > LARGEST:
        _refuse(str(path), None, None, "a proposal is a few kilobytes long")
    try:
        answer = json.loads(content)
    except (ValueError, RecursionError):
        _refuse(str(path), None, None, "give what loftwright record --dry-run --json wrote")
    files = answer.get("files") if isinstance(answer, dict) else None
    if not isinstance(files, list):
        _refuse(str(path), "files", None, "give what loftwright record --dry-run --json wrote")
    found = []
    for each in files:
        file = each.get("file") if isinstance(each, dict) else None
        told = each.get("told", {}) if isinstance(each, dict) else None
        if not isinstance(file, str) or not file or not isinstance(told, dict):
            _refuse(str(path), "files", file, "each has a file, and what is told of it")
        found.append(FileWords.of_told(path.parent / file, told, str(path)))
    return found


def _refuse(proposal: str, key: str | None, value: Any, mend: str) -> NoReturn:
    from loftwright.errors import Problem, ProblemError, Where

    message = "this is no proposal of what files are"
    if key is not None:
        message = f"this cannot be said of a file: {key}"
    shown = None if value is None else str(value)[:80]
    where = Where(file=proposal or None, field=key, value=shown)
    raise ProblemError([Problem("record-correction", message, where, mend)])
