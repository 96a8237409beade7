"""The flights of an ensemble as a Parquet file: one row a flight, written while they are flown.

Rows are the flights in order. Figures stand under their names, draws as ``drawn_<path>``, SI; what
did not happen is null. The schema's metadata say, under ``loftwright``, what made the flights.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, suppress
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from loftwright.documents.files import replacing
from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.blocks import Block
from loftwright.flight.fingerprint import fingerprint
from loftwright.flight.outcomes import sentences
from loftwright.flight.results import Provenance

__all__ = ["FlightsFile", "needs_pyarrow", "partial_path", "through"]

ROWS = 32_768  # of a row group: long enough to read fast, short enough to hold
KEY = b"loftwright"
SCHEMA = "loftwright/flights/1"
DRAWN = "drawn_"
OPTION = "--parquet"


def partial_path(path: Path) -> Path:
    """Name the file that holds what an interrupted run had flown."""
    return path.with_name(f"{path.stem}.partial{path.suffix}")


def needs_pyarrow() -> ProblemError:
    """Say that Parquet needs a package which is not here."""
    import sys

    message = "writing Parquet needs pyarrow, which is not installed here"
    mend = f"{sys.executable} -m pip install pyarrow, or use --npz"
    return ProblemError([Problem("command-needs-extra", message, Where(field=OPTION), mend)])


def _refused(code: str, path: Path, message: str, mend: str) -> ProblemError:
    return ProblemError([Problem(code, message, Where(file=str(path), field=OPTION), mend)])


def _made_with(made_by: Provenance) -> dict[str, Any]:
    """Return what flights must share to stand in one file."""
    return {
        "schema": SCHEMA,
        "documents_sha256": dict(sorted(made_by.documents.items())),
        "model": made_by.model,
        "seed": made_by.seed,
        "relative_tolerance": made_by.relative_tolerance,
        **fingerprint(),
    }


class FlightsFile:
    """A Parquet file under way; blocks are appended in the order of their flights.

    Rows are written by a thread of its own: flying goes on meanwhile, and Ctrl-C, which reaches the
    main thread, never tears a group of rows.
    """

    def __init__(self, draft: Path, made_by: Provenance) -> None:
        self._draft = draft
        self._about = {**_made_with(made_by), "flights_asked": made_by.flights}
        self._writer: Any = None
        self._waiting: list[Block] = []
        self._thread = ThreadPoolExecutor(1)
        self._written: Future[None] | None = None
        self.flights = 0

    def append(self, block: Block) -> None:
        """Take the next block; rows are written as soon as they fill a group."""
        self._waiting.append(block)
        self.flights += block.flights
        if sum(each.flights for each in self._waiting) >= ROWS:
            self._hand_over()

    def close(self) -> None:
        """Write what is left, and the index without which the file cannot be read."""
        try:
            self._hand_over()
            self._hand_over()  # and wait for them
            self._thread.submit(self._close).result()
        finally:
            self._thread.shutdown()

    def _hand_over(self) -> None:
        """Have the rows that wait written, once those before them are."""
        before, waiting = self._written, self._waiting
        self._waiting, self._written = [], None
        if before is not None:
            before.result()
        if waiting:
            self._written = self._thread.submit(self._write, waiting)

    def _write(self, blocks: list[Block]) -> None:
        import pyarrow as pa

        rows = [_row_columns(block) for block in blocks]
        joined = {name: np.concatenate([each[name] for each in rows]) for name in rows[0]}
        arrays = {name: pa.array(values, from_pandas=True) for name, values in joined.items()}
        table = pa.table(arrays)
        if self._writer is None:
            self._writer = self._begin(table.schema)
        try:
            self._writer.write_table(table.cast(self._writer.schema))
        except OSError:
            with suppress(OSError, pa.ArrowException):  # said already by what failed first
                self._writer.close()
            raise

    def _begin(self, schema: Any) -> Any:
        import pyarrow.parquet as pq

        about = json.dumps({**self._about, "outcomes": sentences()})
        return pq.ParquetWriter(
            self._draft,
            schema.with_metadata({KEY: about.encode()}),
            compression="zstd",
            use_dictionary=False,
            use_byte_stream_split=[n for n in schema.names if n not in ("flight", "outcome")],
        )

    def _close(self) -> None:
        if self._writer is not None:
            self._writer.close()


def _row_columns(block: Block) -> dict[str, Any]:
    numbers = np.arange(block.first, block.first + block.flights, dtype=np.int64)
    outcome = block.columns["outcome"].astype(np.int8)
    drawn = {DRAWN + path: values for path, values in block.drawn.items()}
    return {"flight": numbers, **block.columns, "outcome": outcome, **drawn}


def through(
    path: Path,
    made_by: Provenance,
    fly: Callable[[int], Generator[Block]],
    *,
    resume: bool = False,
) -> Generator[Block]:
    """Yield the blocks that ``fly`` gives, and write each to ``path`` on its way.

    ``fly`` is asked for the flights from a number on: 0, or with ``resume`` the first that an
    earlier run has not left; its flights come first then. ``path`` takes its place once all flights
    are there. When the work ends before that, those that came in are kept under `partial_path`,
    unless more of them stand there already.
    """
    if _is_missing():
        raise needs_pyarrow()
    source = _begun(path, resume)
    with replacing(path) as draft:
        file, done = FlightsFile(draft, made_by), 0
        try:
            for block in _earlier(source, made_by) if source else ():
                file.append(block)
                done = file.flights
                yield block
            with closing(fly(done)) as flown:
                for block in flown:
                    file.append(block)
                    yield block
            file.close()
        except BaseException:
            _keep_partial(file, draft, partial_path(path))
            raise
    partial_path(path).unlink(missing_ok=True)


def _is_missing() -> bool:
    """Say whether Parquet cannot be written; asked before hours of work, not after."""
    try:
        import_module("pyarrow.parquet")
    except ImportError:
        return True
    return False


def _keep_partial(file: FlightsFile, draft: Path, partial: Path) -> None:
    import pyarrow as pa

    try:
        file.close()
    except (OSError, pa.ArrowException):
        return  # the disk is full: what led here is told, and there is nothing to keep
    # Counted in the file itself: it may have been interrupted once more while it was closed.
    if _rows_of(draft) > _rows_of(partial):
        os.replace(draft, partial)


def _rows_of(path: Path) -> int:
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        return int(pq.read_metadata(path).num_rows)
    except (OSError, pa.ArrowException):
        return 0


def _begun(path: Path, resume: bool) -> Path | None:
    """Return the file whose flights are to be gone on with, None to begin at the first.

    An interrupted run's flights are never thrown away unasked.
    """
    partial = partial_path(path)
    if resume:
        return next((each for each in (partial, path) if each.is_file()), None)
    if partial.is_file():
        message = f"{_rows_of(partial)} flights of an interrupted run stand in {partial.name}"
        mend = "go on from them with --resume, or remove that file"
        raise _refused("command-begun", partial, message, mend)
    return None


def _earlier(source: Path, made_by: Provenance) -> Iterator[Block]:
    """Yield the flights that stand in ``source``.

    Raises ``ProblemError`` when the file cannot be read or was made by anything else.
    """
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        with pq.ParquetFile(source) as file:
            _compare(source, file.schema_arrow.metadata or {}, made_by)
            _refuse_more(source, file.metadata.num_rows, made_by.flights or 0)
            first = 0
            for batch in file.iter_batches(batch_size=ROWS):
                yield _block(batch, first)
                first += batch.num_rows
    except (OSError, pa.ArrowException) as error:
        message = f"the flights in this file cannot be read: {error}"
        mend = "leave --resume out, or restore the file"
        raise _refused("command-resume", source, message.splitlines()[0], mend) from error


def _compare(source: Path, metadata: dict[bytes, bytes], made_by: Provenance) -> None:
    there = json.loads(metadata.get(KEY, b"{}"))
    wanted = json.loads(json.dumps(_made_with(made_by)))
    if other := [name for name, value in wanted.items() if there.get(name) != value]:
        words = ", ".join(name.replace("_", " ") for name in other)
        message = f"the flights in this file were made otherwise: {words} differ"
        mend = "give the same documents, settings, seed and tolerance, or another file"
        raise _refused("command-resume", source, message, mend)


def _refuse_more(source: Path, there: int, asked: int) -> None:
    if there > asked:
        message = f"{there} flights stand in this file already, more than the {asked} asked for"
        mend = f"ask for {there} or more, or name another file"
        raise _refused("command-resume", source, message, mend)


def _block(batch: Any, first: int) -> Block:
    columns, drawn = {}, {}
    for name, column in zip(batch.schema.names, batch.columns, strict=True):
        values = column.to_numpy(zero_copy_only=False).astype(np.float64)
        if name.startswith(DRAWN):
            drawn[name.removeprefix(DRAWN)] = values
        elif name != "flight":
            columns[name] = values
    return Block(first, columns, drawn)
