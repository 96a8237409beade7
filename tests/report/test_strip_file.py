"""A kept strip comes back as it was, and what is damaged or foreign is refused."""

from __future__ import annotations

import io
import json
import zipfile
from contextlib import suppress
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from report.stripped import long_strip

from loftwright.errors import ProblemError
from loftwright.report.strip import WIDTHS
from loftwright.report.strip_file import read_strip, write_strip
from loftwright.report.strip_model import (
    Block,
    Curve,
    Event,
    Lane,
    Limit,
    Note,
    Role,
    Spread,
    Strip,
)
from loftwright.report.theme import LIGHT
from loftwright.report.window import draw_window, levelled, window_of

words = st.text(max_size=20)
numbers = st.floats()
finite = st.floats(-1e9, 1e9)
colours = st.sampled_from(sorted(LIGHT))
dashes = st.none() | st.sampled_from(["6 4", "", "2 2.5"])


@st.composite
def curves(draw: st.DrawFn) -> Curve:
    count = draw(st.integers(0, 30))
    # All within the strip's clock: nothing is left out of these.
    time = draw(arrays(np.float64, count, elements=st.floats(0, 10)))
    value = draw(arrays(np.float64, count, elements=numbers))
    role, dash = draw(st.sampled_from(Role)), draw(dashes)
    within = draw(st.none() | st.tuples(finite, finite))
    flags = draw(st.booleans()), draw(st.booleans())
    return Curve(draw(words), time, value, role, *flags, dash, draw(words), within)


@st.composite
def spreads(draw: st.DrawFn) -> Spread:
    count = draw(st.integers(0, 10))
    time = draw(arrays(np.float64, count, elements=st.floats(0, 10)))
    values = draw(arrays(np.float64, (count, 5), elements=numbers))
    role = draw(st.sampled_from(Role))
    return Spread(draw(words), time, values, role, draw(dashes), draw(words))


few = {"max_size": 3}
lanes = st.builds(
    Lane, words, words,
    curves=st.lists(curves(), **few).map(tuple),
    spreads=st.lists(spreads(), **few).map(tuple),
    notes=st.lists(st.builds(Note, numbers, numbers, words, colours), **few).map(tuple),
    limits=st.lists(st.builds(Limit, finite, words), **few).map(tuple),
    height=st.floats(4, 2000),
    from_zero=st.booleans(),
    reach=st.lists(numbers, **few).map(tuple),
    blocks=st.lists(st.builds(Block, words, finite, finite, colours), **few).map(tuple),
)  # fmt: skip
maybe = st.none() | numbers
strips = st.builds(
    Strip, words, words, st.just(0.0), st.just(10.0), st.lists(lanes, **few).map(tuple),
    st.lists(st.builds(Event, words, numbers, maybe, maybe, colours), **few).map(tuple),
    st.none() | st.tuples(finite, finite),
)  # fmt: skip


def plain(thing: object) -> object:
    """Return a strip so that two of them can be compared, numbers that are none included."""
    if isinstance(thing, Enum):
        return thing.value
    if is_dataclass(thing):
        return {each.name: plain(getattr(thing, each.name)) for each in fields(thing)}
    if isinstance(thing, np.ndarray):
        return thing.shape, thing.tobytes()
    if isinstance(thing, tuple):
        return [plain(each) for each in thing]
    return repr(float(thing)) if isinstance(thing, float | int) else thing


@settings(deadline=None, max_examples=60)
@given(strips)
def test_a_strip_comes_back_as_it_was(tmp_path_factory, strip: Strip) -> None:
    path = tmp_path_factory.mktemp("kept") / "0.npz"
    write_strip(path, strip)
    assert plain(read_strip(path).strip) == plain(strip)


@pytest.fixture(scope="module")
def kept(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("kept") / "long.npz"
    write_strip(path, long_strip())
    return path


def test_a_long_strip_is_drawn_from_its_file_as_from_memory(kept: Path) -> None:
    strip, read = long_strip(), read_strip(kept)
    assert set(read.levels) == set(levelled(strip).levels)
    for part in ((None, None), (3.0, 9.5)):
        window = window_of(strip, *part)
        drawn = draw_window(read, window, WIDTHS["wide"])
        assert drawn == draw_window(levelled(strip), window, WIDTHS["wide"])


def test_a_large_file_is_mapped_and_not_read(tmp_path: Path) -> None:
    path = tmp_path / "0.npz"
    write_strip(path, long_strip(600_000))
    curve = read_strip(path).strip.lanes[0].curves[0]
    assert not curve.value.flags.owndata
    assert curve.value.flags.aligned
    assert curve.value.size == 600_000


def test_numpy_reads_the_arrays_without_pickle(kept: Path) -> None:
    with np.load(kept, allow_pickle=False) as archive:
        names = [name for name in archive.files if name.startswith("a")]
        assert archive[names[0]].size == 30_000


def test_what_a_close_up_does_not_show_is_not_kept(tmp_path: Path) -> None:
    time = np.arange(0.0, 100.0)
    lane = Lane("height", "m", (Curve("", time, time, Role.RECORD),))
    write_strip(tmp_path / "0.npz", Strip("t", "d", 10.5, 12.5, (lane,)))
    kept = read_strip(tmp_path / "0.npz").strip.lanes[0].curves[0]
    assert kept.time.tolist() == [10.0, 11.0, 12.0, 13.0]


def refused(path: Path) -> str:
    with pytest.raises(ProblemError) as caught:
        read_strip(path)
    (problem,) = caught.value.problems
    assert problem.mend
    return problem.code


@settings(deadline=None, max_examples=150)
@given(place=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 7))
def test_a_flipped_bit_is_found_or_says_nothing(tmp_path_factory, kept, place, bit) -> None:
    content = bytearray(kept.read_bytes())
    content[int(place * len(content))] ^= 1 << bit
    path = tmp_path_factory.mktemp("flipped") / "0.npz"
    path.write_bytes(content)
    with suppress(ProblemError):
        # What no reader looks at may change: times of day, and the room between members.
        assert plain(read_strip(path).strip) == plain(read_strip(kept).strip)
        return
    assert refused(path) == "strip-file"


@settings(deadline=None, max_examples=40)
@given(st.floats(0, 1, exclude_max=True))
def test_a_file_that_is_cut_off_is_refused(tmp_path_factory, kept, share) -> None:
    content = kept.read_bytes()
    path = tmp_path_factory.mktemp("cut") / "0.npz"
    path.write_bytes(content[: int(share * len(content))])
    assert refused(path) == "strip-file"


def test_foreign_files_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "0.npz"
    for content in (b"", b"height,climb\n1,2\n", b"PK\x05\x06" + bytes(18)):
        path.write_bytes(content)
        assert refused(path) == "strip-file"
    np.savez(path, height=np.arange(3.0))
    assert refused(path) == "strip-file"
    np.savez_compressed(path, height=np.arange(3.0))
    assert refused(path) == "strip-file"
    assert refused(tmp_path / "none.npz") == "file-missing"
    assert refused(tmp_path) == "file-not-a-file"


def changed(path: Path, kept: Path, change) -> Path:
    """Write a file with checksums that agree and other content in its JSON."""
    with zipfile.ZipFile(kept) as old, zipfile.ZipFile(path, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "strip.json":
                meta = json.loads(content)
                change(meta)
                content = json.dumps(meta).encode()
            new.writestr(name, content)
    return path


@pytest.mark.parametrize(
    "change",
    [
        lambda meta: meta.pop("lanes"),
        lambda meta: meta.update(schema="loftwright/strip-file/999"),
        lambda meta: meta.update(start=float("nan")),
        lambda meta: meta.update(title=["a"]),
        lambda meta: meta["lanes"][0]["curves"][0].update(time="a99"),
        lambda meta: meta["lanes"][0]["curves"][0].update(role='ink)" onload="alert(1)'),
        lambda meta: meta["lanes"][0]["curves"][0].update(dash='1"/><script>'),
        lambda meta: meta["lanes"][0]["notes"][0].update(role='ink)"/><script>'),
        lambda meta: meta["lanes"][2]["blocks"][0].update(role="x"),
        lambda meta: meta["lanes"][2]["blocks"][0].update(start="nan"),
        lambda meta: meta["events"][0].update(role="x"),
        lambda meta: meta["lanes"][0]["spreads"][0].update(percentiles="a0"),
        lambda meta: meta["levels"][0].update(place=[0, 0, 9]),
        lambda meta: meta["levels"][0].update(place=[True, 0, 0]),
        lambda meta: meta["levels"][0].update(size=17),
        lambda meta: meta["levels"][0].update(array="a0"),
        lambda meta: meta["levels"].pop(),
    ],
)
def test_content_that_no_strip_of_ours_has_is_refused(tmp_path, kept, change) -> None:
    assert refused(changed(tmp_path / "0.npz", kept, change)) == "strip-file"


def test_objects_are_never_unpickled(tmp_path: Path) -> None:
    made = io.BytesIO()
    np.lib.format.write_array(made, np.array([{}], dtype=object), allow_pickle=True)
    with zipfile.ZipFile(tmp_path / "0.npz", "w") as archive:
        meta = {"schema": "loftwright/strip-file/1", "title": "", "description": "", "start": 0,
                "end": 1, "close_up": None, "events": [], "levels": [], "lanes": [{
                    "name": "", "unit": "", "height": 9, "from_zero": True, "reach": [],
                    "notes": [], "limits": [], "blocks": [], "spreads": [], "curves": [
                        {"name": "", "time": "a0", "value": "a0", "role": "ink", "faint": False,
                         "sheer": False, "dash": None, "told": "", "within": None}]}]}  # fmt: skip
        archive.writestr("strip.json", json.dumps(meta))
        archive.writestr("a0.npy", made.getvalue())
    assert refused(tmp_path / "0.npz") == "strip-file"
