"""The pictures of the docs: small, of pages that there are, and read back as they were."""

from __future__ import annotations

import re
import struct
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from web.every_page import page_paths

ROOT = Path(__file__).resolve().parents[2]
SCREENS = ROOT / "docs" / "static" / "screens"
sys.path.append(str(ROOT / "docs"))

from screens import LARGEST, name_of, pictures
from small_png import SIGNATURE, read_png, small_png


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def paeth(a: int, b: int, c: int) -> int:
    """As ISO/IEC 15948, 9.4, writes it."""
    p = a + b - c
    pa, pb, pc = abs(p - a), abs(p - b), abs(p - c)
    return a if pa <= pb and pa <= pc else b if pb <= pc else c


def filtered(pixels: np.ndarray, filters: list[int]) -> bytes:
    """Write a PNG whose rows are filtered as told, by the definitions of the standard."""
    height, width, channels = pixels.shape
    flat = pixels.reshape(height, width * channels).astype(int)
    out = bytearray()
    for k in range(height):
        kind = filters[k % len(filters)]
        out.append(kind)
        for i, x in enumerate(flat[k]):
            a = flat[k][i - channels] if i >= channels else 0
            b = flat[k - 1][i] if k else 0
            c = flat[k - 1][i - channels] if k and i >= channels else 0
            by = (0, a, b, (a + b) // 2, paeth(a, b, c))[kind]
            out.append((x - by) % 256)
    head = struct.pack(">IIBBBBB", width, height, 8, {3: 2, 4: 6}[channels], 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(bytes(out))), (b"IEND", b""))
    return SIGNATURE + b"".join(chunk(*each) for each in parts)


@given(
    st.integers(1, 6), st.integers(1, 6), st.sampled_from((3, 4)), st.integers(0, 2**32 - 1),
    st.lists(st.integers(0, 4), min_size=1, max_size=5),
)  # fmt: skip
def test_every_filter_is_undone(height, width, channels, seed, filters) -> None:
    pixels = np.random.default_rng(seed).integers(0, 256, (height, width, channels), np.uint8)
    assert (read_png(filtered(pixels, filters)) == pixels).all()


def test_few_colours_stay_as_they_are_and_many_become_few() -> None:
    few = np.zeros((4, 4, 3), np.uint8)
    few[1:, 2:] = (180, 95, 6)
    assert shown(small_png(filtered(few, [0]))).tolist() == few.tolist()
    many = np.random.default_rng(1).integers(0, 256, (40, 40, 3), np.uint8)
    assert len(np.unique(shown(small_png(filtered(many, [1]))).reshape(-1, 3), axis=0)) <= 256


def shown(png: bytes) -> np.ndarray:
    """Return the pixels of an indexed PNG."""
    found, at = {}, 8
    while at < len(png):
        (size,) = struct.unpack(">I", png[at : at + 4])
        found[png[at + 4 : at + 8]] = png[at + 8 : at + 8 + size]
        at += size + 12
    width, height = struct.unpack(">II", found[b"IHDR"][:8])
    rows = np.frombuffer(zlib.decompress(found[b"IDAT"]), np.uint8).reshape(height, width + 1)
    palette = np.frombuffer(found[b"PLTE"], np.uint8).reshape(-1, 3)
    return palette[rows[:, 1:]]


@pytest.mark.parametrize("content", [b"", b"GIF89a"])
def test_what_is_no_picture_is_refused(content) -> None:
    with pytest.raises(ValueError, match="no PNG"):
        read_png(content)


def test_every_page_has_its_picture_and_none_is_large() -> None:
    there = {path.stem for path in SCREENS.glob("*.png")}
    assert {each.name for each in pictures()} == there
    assert [path.name for path in SCREENS.glob("*.png") if path.stat().st_size > LARGEST] == []


def test_the_page_of_the_workbench_names_every_page() -> None:
    text = (ROOT / "docs" / "workbench.md").read_text(encoding="utf-8")
    named = set(re.findall(r"screens/([\w-]+)\.png", text))
    missing = [path for path in page_paths() if name_of(path) not in named]
    assert missing == []
    assert named == {path.stem for path in SCREENS.glob("*.png")}
