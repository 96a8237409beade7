"""Pictures of pages made small: a palette in place of full colours.

A page has few colours and their blends with the paper. The commonest keep their own place in the
palette; every other one takes the nearest of these. PNG is ISO/IEC 15948.
"""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

__all__ = ["read_png", "small_png"]

Pixels = NDArray[np.uint8]
SIGNATURE = b"\x89PNG\r\n\x1a\n"
MOST = 256  # colours of a palette
CHANNELS = {2: 3, 6: 4}  # colour type -> bytes of a pixel


def small_png(png: bytes, colours: int = MOST) -> bytes:
    """Return the picture with at most so many colours, without what else the file held."""
    pixels = read_png(png)
    palette, places = _palette(pixels[:, :, :3], min(colours, MOST))
    return _indexed(palette, places)


def read_png(png: bytes) -> Pixels:
    """Return the pixels of an eight-bit PNG without interlacing, ``(rows, columns, 3 or 4)``.

    Raises ``ValueError`` for any other.
    """
    if not png.startswith(SIGNATURE):
        raise ValueError("this is no PNG")
    head, data, at = b"", b"", len(SIGNATURE)
    while at < len(png):
        (size,) = struct.unpack(">I", png[at : at + 4])
        kind, body = png[at + 4 : at + 8], png[at + 8 : at + 8 + size]
        head = body if kind == b"IHDR" else head
        data += body if kind == b"IDAT" else b""
        at += size + 12
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", head)
    if depth != 8 or colour not in CHANNELS or interlaced:
        raise ValueError("only eight-bit colours without interlacing are read")
    return _unfiltered(zlib.decompress(data), height, width, CHANNELS[colour])


def _unfiltered(raw: bytes, height: int, width: int, channels: int) -> Pixels:
    """Undo the filters of the rows (ISO/IEC 15948, 9.2)."""
    rows = np.frombuffer(raw, np.uint8).reshape(height, 1 + width * channels)
    out = np.zeros((height, width * channels), np.uint8)
    above = np.zeros(width * channels, np.uint8)
    for k in range(height):
        row = _FILTERS[int(rows[k, 0])](rows[k, 1:], above, channels)
        out[k] = above = row
    return out.reshape(height, width, channels)


def _none(row: Pixels, above: Pixels, step: int) -> Pixels:
    return row


def _sub(row: Pixels, above: Pixels, step: int) -> Pixels:
    summed = np.cumsum(row.reshape(-1, step), axis=0, dtype=np.uint8)
    return summed.reshape(-1)


def _up(row: Pixels, above: Pixels, step: int) -> Pixels:
    return row + above


def _average(row: Pixels, above: Pixels, step: int) -> Pixels:
    out = bytearray(row.tobytes())
    up = above.tobytes()
    for k, each in enumerate(out):
        left = out[k - step] if k >= step else 0
        out[k] = (each + (left + up[k]) // 2) & 0xFF
    return np.frombuffer(bytes(out), np.uint8)


def _paeth(row: Pixels, above: Pixels, step: int) -> Pixels:
    out = bytearray(row.tobytes())
    up = above.tobytes()
    for k, each in enumerate(out):
        a = out[k - step] if k >= step else 0
        b = up[k]
        c = up[k - step] if k >= step else 0
        near_a, near_b, near_c = abs(b - c), abs(a - c), abs(a + b - 2 * c)
        nearest = a if near_a <= near_b and near_a <= near_c else b if near_b <= near_c else c
        out[k] = (each + nearest) & 0xFF
    return np.frombuffer(bytes(out), np.uint8)


_FILTERS = {0: _none, 1: _sub, 2: _up, 3: _average, 4: _paeth}


def _palette(pixels: Pixels, most: int) -> tuple[Pixels, Pixels]:
    """Return the palette ``(colours, 3)`` and for each pixel its place in it."""
    height, width, _ = pixels.shape
    flat = pixels.reshape(-1, 3).astype(np.uint32)
    keys = flat[:, 0] << 16 | flat[:, 1] << 8 | flat[:, 2]
    known, inverse, counts = np.unique(keys, return_inverse=True, return_counts=True)
    colours = np.stack([known >> 16, known >> 8 & 255, known & 255], axis=1).astype(np.int32)
    kept = _chosen(colours, counts, most)
    nearest = np.empty(len(known), np.uint8)
    for start in range(0, len(known), 4096):
        part = colours[start : start + 4096, None, :] - colours[kept][None, :, :]
        nearest[start : start + 4096] = (part * part).sum(axis=2).argmin(axis=1)
    return colours[kept].astype(np.uint8), nearest[inverse].reshape(height, width)


def _chosen(colours: NDArray[np.int32], counts: NDArray[np.int64], most: int) -> list[int]:
    """Return which colours stay: the commonest of each small box of colours, largest boxes first.

    Boxes of an eighth of a channel's range keep a rare colour from being crowded out by the many
    near blends of a common one.
    """
    order = np.argsort(-counts, kind="stable")
    first = [int(k) for k in order[: most // 2]]
    taken = set(first)
    boxes: dict[tuple[int, ...], int] = {}
    for k in order:
        boxes.setdefault(tuple(colours[k] // 16), int(k))
    spread = [k for k in boxes.values() if k not in taken]
    rest = [int(k) for k in order if int(k) not in taken and int(k) not in set(spread)]
    return (first + spread + rest)[:most]


def _indexed(palette: Pixels, places: Pixels) -> bytes:
    height, width = places.shape
    rows = np.zeros((height, width + 1), np.uint8)  # each begins with filter 0
    rows[:, 1:] = places
    head = struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)
    parts = ((b"IHDR", head), (b"PLTE", palette.tobytes()),
             (b"IDAT", zlib.compress(rows.tobytes(), 9)), (b"IEND", b""))  # fmt: skip
    return SIGNATURE + b"".join(_chunk(kind, body) for kind, body in parts)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
