"""A strip as a file: NumPy's npz, not compressed, with what is no array as JSON beside the arrays.

Members: ``strip.json`` (names, units, events, which array is whose) and ``<array>.npy``. Arrays
are laid at whole multiples of 64 bytes, so that a long strip is mapped and not read. Every member
is held to its checksum when a file is opened. Nothing in a file is ever executed.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import IO, Any, Final

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem, ProblemError, Where
from loftwright.report.levels import LONG, SIZES, Levels
from loftwright.report.strip_arrays import Arrays
from loftwright.report.strip_meta import Damaged, lanes_of, meta_of, strip_of
from loftwright.report.strip_model import Lane, Strip
from loftwright.report.window import LevelledStrip, levelled, trimmed

__all__ = ["SCHEMA", "read_strip", "write_strip"]

SCHEMA: Final = "loftwright/strip-file/1"
META: Final = "strip.json"
ALIGN: Final = 64
MOST_META: Final = 16 << 20  # bytes: far more events and names than any strip can show


# ---------------------------------------------------------------- writing


def write_strip(path: Path, strip: Strip) -> None:
    """Write a strip to ``path``, with the levels of its long curves.

    Samples that its clock does not show are left out, but for one beyond either edge.
    """
    ready = levelled(trimmed(strip))
    arrays: dict[str, NDArray[Any]] = {}
    meta = {"schema": SCHEMA, **meta_of(ready.strip, lambda values: _named(arrays, values))}
    meta["levels"] = [
        {"place": list(place), "size": size, "array": _named(arrays, levels.places[size])}
        for place, levels in ready.levels.items()
        for size in SIZES
    ]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        archive.writestr(zipfile.ZipInfo(META), json.dumps(meta, allow_nan=False))
        for name, values in arrays.items():
            _write_array(archive, f"{name}.npy", values)


def _named(arrays: dict[str, NDArray[Any]], values: NDArray[Any]) -> str:
    """Return the name under which an array is kept: that of an equal one where there is one."""
    kept = values if values.dtype == np.uint8 else np.asarray(values, dtype="<f8")
    for name, other in arrays.items():
        if other is kept or (
            other.dtype == kept.dtype
            and other.shape == kept.shape
            and bool((other.view(np.uint8) == kept.view(np.uint8)).all())
        ):
            return name
    name = f"a{len(arrays)}"
    arrays[name] = np.ascontiguousarray(kept)
    return name


def _write_array(archive: zipfile.ZipFile, name: str, values: NDArray[Any]) -> None:
    info = zipfile.ZipInfo(name)
    info.file_size = values.nbytes + 128  # at least: tells whether sizes need eight bytes
    assert archive.fp is not None
    info.extra = _padding(archive.fp.tell() + 30 + len(name))
    with archive.open(info, "w") as stream:
        np.lib.format.write_array(stream, values, allow_pickle=False)


def _padding(offset: int) -> bytes:
    """Return an extra field that fills up to the next multiple of `ALIGN`; readers skip it."""
    short = -(offset + 4) % ALIGN
    return b"\xff\xff" + short.to_bytes(2, "little") + bytes(short)


# ---------------------------------------------------------------- reading


def read_strip(path: Path) -> LevelledStrip:
    """Return the strip that the file at ``path`` holds; long ones are mapped, not read.

    Raises ``ProblemError``: ``strip-file`` for what is no strip of ours, or is damaged;
    ``file-missing`` and its like for what cannot be read at all.
    """
    from loftwright.documents.files import open_regular

    try:
        with open_regular(path) as stream:
            return _read(stream)
    except Damaged as error:
        raise _refused(path, str(error)) from error
    except (zipfile.BadZipFile, NotImplementedError, EOFError, RuntimeError) as error:
        raise _refused(path, "it is no npz file, or only a part of one") from error


def _refused(path: Path, message: str) -> ProblemError:
    mend = "make it anew with --strips, or name a file that --strips wrote"
    where = Where(file=str(path))
    return ProblemError(
        [Problem("strip-file", f"this is no strip that can be drawn: {message}", where, mend)]
    )


def _read(stream: IO[bytes]) -> LevelledStrip:
    arrays = Arrays(stream)
    meta = _meta(arrays.content(META, MOST_META))
    strip = strip_of(meta, lambda name: arrays.array(name, "<f8"))
    return LevelledStrip(strip, dict(_levels(meta, strip, arrays)))


def _meta(content: bytes) -> Mapping[str, Any]:
    try:
        meta = json.loads(content, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise Damaged(f"{META} cannot be read") from error
    if not isinstance(meta, dict) or meta.get("schema") != SCHEMA:
        raise Damaged(f"its {META} does not say {SCHEMA}")
    return meta


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _levels(
    meta: Mapping[str, Any], strip: Strip, arrays: Arrays
) -> Iterator[tuple[tuple[int, int, int], Levels]]:
    found: dict[tuple[int, int, int], dict[int, NDArray[np.uint8]]] = {}
    for each in lanes_of(meta, "levels"):
        place, size = each.get("place"), each.get("size")
        if not (isinstance(place, list) and len(place) == 3 and size in SIZES):
            raise Damaged("its levels are not those of its curves")
        samples = _samples(strip.lanes, *place)
        places = arrays.array(str(each.get("array")), "|u1")
        if samples <= LONG or places.shape != (samples // size, 4) or places.max() >= size:
            raise Damaged("its levels are not those of its curves")
        found.setdefault((place[0], place[1], place[2]), {})[size] = places
    for key, sizes in found.items():
        if len(sizes) != len(SIZES):
            raise Damaged("some of its levels are missing")
        yield key, Levels(sizes)


def _samples(lanes: tuple[Lane, ...], lane: object, line: object, column: object) -> int:
    """Return how many samples the column at a place has; 0 where there is none."""
    if not all(type(each) is int and each >= 0 for each in (lane, line, column)):
        return 0
    assert isinstance(lane, int)
    assert isinstance(line, int)
    assert isinstance(column, int)
    if lane >= len(lanes):
        return 0
    curves, spreads = lanes[lane].curves, lanes[lane].spreads
    if line < len(curves):
        return curves[line].value.size if column == 0 else 0
    if line - len(curves) < len(spreads) and column < 5:
        return len(spreads[line - len(curves)].percentiles)
    return 0
