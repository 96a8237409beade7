"""Shapes are read as they are written, and come back from edits as they were."""

from __future__ import annotations

import re
import shutil
import tomllib
from math import radians
from pathlib import Path

import pytest
from documents.bad_documents import SITE, WHOLE
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents import read_campaign
from loftwright.documents.corners import Geographic, Local
from loftwright.documents.edit import with_values
from loftwright.documents.flatten import flatten
from loftwright.documents.reading import read_document
from loftwright.documents.site import Site
from loftwright.documents.template import starter

WOOD = """
[[shape]]
name = "Long wood"
kind = "trees"
height = "30 ft ± 5 ft"
corners = [
    "40 m, -20 m",        # by the gate
    "150 ft,60 m",
    "-1.5e1 m, 60 m",
]
"""


def a_site(tmp_path: Path, shapes: str) -> Site:
    path = tmp_path / "site.toml"
    path.write_text((WHOLE / SITE).read_text(encoding="utf-8") + shapes, encoding="utf-8")
    return read_document(path, Site)


def test_corners_are_read_in_any_unit(tmp_path: Path) -> None:
    (wood,) = a_site(tmp_path, WOOD).shape
    assert wood.corners == (Local(40.0, -20.0), Local(150 * 0.3048, 60.0), Local(-15.0, 60.0))
    assert wood.height is not None
    assert wood.height.value == pytest.approx(9.144)


def test_degrees_are_latitude_and_longitude(tmp_path: Path) -> None:
    text = re.sub(r"(?s)corners = .*", 'corners = ["52.1 deg, 4.9 deg", "52.11 deg, 4.9 deg", '
                  '"52.1 deg, 4.91 deg"]', WOOD)  # fmt: skip
    (wood,) = a_site(tmp_path, text.replace("trees", "water").replace("height", "# height")).shape
    assert wood.corners[1] == Geographic(radians(52.11), radians(4.9))


def test_heights_are_drawn_and_corners_are_not(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(WHOLE, tmp_path / "campaign"))
    with (folder / SITE).open("a", encoding="utf-8") as file:
        file.write(WOOD)
    values, sds, words = flatten(read_campaign(folder))
    assert values["site.shape.0.height"] == pytest.approx(9.144)
    assert sds["site.shape.0.height"] == pytest.approx(1.524)
    assert words["site.shape.0.kind"] == "trees"
    assert not any("corners" in path for path in (*values, *words))


def test_an_edit_leaves_corners_as_they_stand() -> None:
    text = (WHOLE / SITE).read_text(encoding="utf-8") + WOOD
    changed = with_values(text, {"shape.0.height": "31 ft ± 5 ft", "wind.speed": "3 m/s"})
    assert changed == text.replace("30 ft ± 5 ft", "31 ft ± 5 ft").replace(
        'speed = "6 mph ± 2 mph"', 'speed = "3 m/s"'
    )


def test_corners_are_set_as_a_whole() -> None:
    text = (WHOLE / SITE).read_text(encoding="utf-8") + WOOD
    moved = ["41 m, -20 m", "45 m, 60 m", "-15 m, 60 m"]
    changed = with_values(text, {"shape.0.corners": moved})
    assert tomllib.loads(changed)["shape"][0]["corners"] == moved
    assert changed.startswith(text[: text.index("corners")])
    fresh = {"shape.0.name": "Pond", "shape.0.kind": "water", "shape.0.corners": moved}
    made = with_values((WHOLE / SITE).read_text(encoding="utf-8"), fresh)
    assert tomllib.loads(made)["shape"] == [{"name": "Pond", "kind": "water", "corners": moved}]


number = st.floats(-900.0, 900.0).map(lambda value: round(value, 3))


@given(st.lists(st.tuples(number, number), min_size=3, max_size=3, unique=True))
def test_what_is_written_is_what_is_read(corners) -> None:
    from loftwright.documents.corners import read_corners
    from loftwright.documents.source import Source

    written = [f"{east} m, {north} m" for east, north in corners]
    read = read_corners(written, Source("site.toml"), ("corners",))
    assert [(corner.east, corner.north) for corner in read] == corners


def test_a_starter_shows_shapes_as_a_comment() -> None:
    text = starter("site", "x")
    assert "# [[shape]]" in text
    assert '# corners = ["40 m, -20 m"' in text
    assert re.search(r"(?m)^at_height", text), "the height of the wind is asked for"


def test_still_air_needs_no_height(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(WHOLE, tmp_path / "campaign"))
    text = (folder / SITE).read_text(encoding="utf-8")
    still = text.replace('at_height = "2 m"\n', "").replace("6 mph ± 2 mph", "0 m/s")
    (folder / SITE).write_text(still, encoding="utf-8")
    assert read_campaign(folder).warnings == ()
    # What is written is not assumed, even where it is the same.
    (folder / SITE).write_text(text, encoding="utf-8")
    assert read_campaign(folder).warnings == ()
