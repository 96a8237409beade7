"""The members of an npz file that is not compressed: checked once, then read in place."""

from __future__ import annotations

import io
import mmap
import zipfile
import zlib
from typing import IO, Any, Final

import numpy as np
from numpy.typing import NDArray

from loftwright.report.strip_meta import Damaged

__all__ = ["Arrays"]

SMALL: Final = 8 << 20  # bytes up to which a file is read, so that nothing holds it open
HEADER: Final = 30  # bytes of a member's own header, before its name
ALLOWED: Final = 4096  # bytes of an array's header, at most


class Arrays:
    """The members of an open file.

    Raises `Damaged` for members that are missing, compressed, cut off, not what their checksum
    says, or no arrays of the type that is asked for.
    """

    def __init__(self, stream: IO[bytes]) -> None:
        with zipfile.ZipFile(stream) as archive:
            self._known = {info.filename: info for info in archive.infolist()}
        size = stream.seek(0, io.SEEK_END)
        stream.seek(0)
        self._whole: bytes | mmap.mmap = (
            stream.read()
            if size <= SMALL
            else mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ)
        )
        self._arrays: dict[str, NDArray[Any]] = {}

    def content(self, name: str, most: int) -> bytes:
        """Return a member as bytes, of which there may be no more than ``most``."""
        start, size = self._place(name)
        if size > most:
            raise Damaged(f"its {name} is too large")
        return bytes(self._whole[start : start + size])

    def array(self, name: str, kind: str) -> NDArray[Any]:
        """Return an array of the type ``kind``, read in place: it cannot be written to."""
        if name not in self._arrays:
            self._arrays[name] = self._read_array(f"{name}.npy")
        found = self._arrays[name]
        if found.dtype != np.dtype(kind):
            raise Damaged(f"its {name} is of another type")
        return found

    def _place(self, name: str) -> tuple[int, int]:
        """Return where a member begins and how many bytes it has, once its checksum agrees."""
        info = self._known.get(name)
        if info is None:
            raise Damaged(f"its {name[:40]} is missing")
        if info.compress_type != zipfile.ZIP_STORED or info.flag_bits & 1:
            raise Damaged(f"its {name} is compressed")
        head = bytes(self._whole[info.header_offset : info.header_offset + HEADER])
        if len(head) < HEADER or head[:4] != b"PK\x03\x04":
            raise Damaged(f"its {name} is cut off")
        start = info.header_offset + HEADER
        start += int.from_bytes(head[26:28], "little") + int.from_bytes(head[28:30], "little")
        with memoryview(self._whole) as whole:
            inside = whole[start : start + info.file_size]
            if len(inside) != info.file_size or zlib.crc32(inside) != info.CRC:
                raise Damaged(f"its {name} is not what was written")
        return start, info.file_size

    def _read_array(self, name: str) -> NDArray[Any]:
        start, size = self._place(name)
        head = io.BytesIO(bytes(self._whole[start : start + min(size, ALLOWED)]))
        try:
            version = np.lib.format.read_magic(head)
            if version != (1, 0):
                raise Damaged(f"its {name} is of a later layout")
            shape, fortran, kind = np.lib.format.read_array_header_1_0(head)
        except ValueError as error:
            raise Damaged(f"its {name} is no array") from error
        count = int(np.prod(shape, dtype=object)) if shape else 1
        if fortran or kind.hasobject or head.tell() + count * kind.itemsize != size:
            raise Damaged(f"its {name} is not laid out as it should be")
        if kind not in (np.dtype("<f8"), np.dtype("|u1")):
            raise Damaged(f"its {name} is of another type")
        return np.frombuffer(self._whole, kind, count, start + head.tell()).reshape(shape)
