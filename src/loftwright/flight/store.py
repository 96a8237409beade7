"""Columns of an ensemble as its blocks come in: in memory, or, of very many flights, on disk."""

from __future__ import annotations

import shutil
import tempfile
import weakref
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem, ProblemError, Where

__all__ = ["STREAMED_ABOVE", "ColumnsOnDisk", "Store", "head"]

Floats = NDArray[np.float64]

STREAMED_ABOVE = 50_000  # flights; so many take some 20 MB in memory


class ColumnsOnDisk(Mapping[str, Floats]):
    """Columns that are appended to files, one a column, and read when they are asked for.

    The files lie in a scratch folder that goes when the last reference to this mapping does. What
    is read is a copy that cannot be written to.
    """

    def __init__(self) -> None:
        try:
            self._folder = Path(tempfile.mkdtemp(prefix="loftwright-"))
        except OSError as error:
            raise _no_scratch(Path(tempfile.gettempdir()), error) from error
        self._files: dict[str, Path] = {}
        weakref.finalize(self, shutil.rmtree, self._folder, ignore_errors=True)

    def append(self, columns: Mapping[str, Floats]) -> None:
        """Append rows to every column."""
        try:
            for name, column in columns.items():
                path = self._files.setdefault(name, self._folder / f"{len(self._files)}.f64")
                with path.open("ab") as stream:
                    stream.write(np.ascontiguousarray(column, dtype=np.float64).data)
        except OSError as error:
            raise _no_scratch(self._folder, error) from error

    def __getitem__(self, name: str) -> Floats:
        return self.read(name)

    def read(self, name: str, rows: int = -1) -> Floats:
        """Read the first ``rows`` of a column, or all."""
        column: Floats = np.fromfile(self._files[name], dtype=np.float64, count=rows)
        column.flags.writeable = False
        return column

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


def _no_scratch(folder: Path, error: OSError) -> ProblemError:
    message = f"flights cannot be kept in the scratch folder: {error.strerror or error}"
    mend = "make room there, or name a folder with more room in the variable TMPDIR"
    return ProblemError([Problem("file-not-written", message, Where(file=str(folder)), mend)])


class _InMemory:
    """Columns in memory, put together once they are complete."""

    def __init__(self) -> None:
        self._parts: dict[str, list[Floats]] = {}

    def append(self, columns: Mapping[str, Floats]) -> None:
        for name, column in columns.items():
            self._parts.setdefault(name, []).append(column)

    def columns(self) -> dict[str, Floats]:
        return {name: np.concatenate(parts) for name, parts in self._parts.items()}


class Store:
    """Takes the columns of blocks in order; ``columns()`` gives them back as one mapping."""

    def __init__(self, flights: int) -> None:
        self._kept = ColumnsOnDisk() if flights > STREAMED_ABOVE else _InMemory()

    def append(self, columns: Mapping[str, Floats]) -> None:
        """Take the next rows of every column."""
        self._kept.append(columns)

    def columns(self) -> Mapping[str, Floats]:
        """Return what was taken; read from disk column by column where flights are very many."""
        return self._kept if isinstance(self._kept, ColumnsOnDisk) else self._kept.columns()


def head(columns: Mapping[str, Floats], rows: int) -> dict[str, Floats]:
    """Return the first rows of every column, in memory."""
    if isinstance(columns, ColumnsOnDisk):
        return {name: columns.read(name, rows) for name in columns}
    return {name: column[:rows] for name, column in columns.items()}
