"""A strip as a picture of pixels: as large as said, its lines and its words in the colours said."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from report.stripped import long_strip

from loftwright.cli.strip import WIDTHS as OFFERED
from loftwright.errors import ProblemError
from loftwright.report import strip_picture
from loftwright.report.drawn import LAYOUTS
from loftwright.report.strip_model import Curve, Lane, Role, Spread, Strip
from loftwright.report.strip_picture import LARGER, strip_png
from loftwright.report.theme import DARK, LIGHT
from loftwright.report.window import LevelledStrip, levelled, window_of

sys.path.append(str(Path(__file__).resolve().parents[2] / "docs"))

from small_png import read_png

STRIP = long_strip(4000)
READY = levelled(STRIP)
WHOLE = window_of(STRIP)


def rgb(colour: str) -> np.ndarray:
    return np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)], dtype=float)


def pixels(png: bytes) -> np.ndarray:
    """Return the colours of a picture, ``(height, width, 3)``; nothing of it shines through."""
    read = read_png(png)
    assert read.shape[2] == 3 or (read[..., 3] == 255).all()
    return read[..., :3].astype(float)


def share(picture: np.ndarray, colour: np.ndarray) -> float:
    """Return the share of pixels that have a colour, but for what rounding does to it."""
    return float((abs(picture - colour).max(axis=2) <= 2.0).mean())


def beside() -> LevelledStrip:
    """Return a strip whose record runs above its band, so that all of both is in sight."""
    time = np.linspace(0.0, 10.0, 50)
    band = np.tile([10.0, 20.0, 40.0, 50.0, 60.0], (50, 1))
    record = Curve("record", time, np.full(50, 80.0), Role.RECORD)
    lane = Lane("height", "m", (record,), (Spread("forecast", time, band),))
    return levelled(Strip("Beside", "d", 0.0, 10.0, (lane,)))


@pytest.mark.parametrize(("dark", "colours"), [(False, LIGHT), (True, DARK)])
def test_record_and_band_stand_on_their_ground(dark, colours) -> None:
    source = beside()
    picture = pixels(strip_png(source, window_of(source.strip), dark=dark))
    paper, ink, vehicle = (rgb(colours[role]) for role in ("paper", "ink", "vehicle"))
    outer = 0.84 * paper + 0.16 * vehicle  # the band is drawn at 16 %, and again in the middle
    inner = 0.84 * outer + 0.16 * vehicle
    assert share(picture, paper) > 0.4
    assert share(picture, ink) > 0.004
    assert share(picture, vehicle) > 0.002  # the median
    assert share(picture, outer) == pytest.approx(share(picture, inner) * 20.0 / 30.0, rel=0.1)
    assert share(picture, inner) > 0.05
    assert share(picture, rgb((LIGHT if dark else DARK)["paper"])) == 0.0


@pytest.mark.parametrize("width", LAYOUTS)
def test_every_width_has_its_picture(width: str) -> None:
    picture = pixels(strip_png(READY, WHOLE, width))
    assert picture.shape[1] == LARGER * (LAYOUTS[width].width + 32)
    # The words of the lanes stand at the left, clear of the lines.
    names = picture[:, : int(LARGER * (16 + 40))]
    assert share(names, rgb(LIGHT["ink"])) > 0.001


def test_the_command_offers_every_width() -> None:
    assert set(OFFERED) == set(LAYOUTS)


def test_a_part_of_it_is_another_picture() -> None:
    part = window_of(STRIP, 1.0, 3.0, ("climb",))
    one, other = pixels(strip_png(READY, WHOLE)), pixels(strip_png(READY, part))
    assert other.shape[0] < one.shape[0]
    assert strip_png(READY, part) == strip_png(READY, part)


def test_very_many_lanes_make_no_picture_without_end(monkeypatch) -> None:
    monkeypatch.setattr(strip_picture, "MOST", 400_000)
    tall = replace(STRIP, lanes=STRIP.lanes * 5)
    picture = pixels(strip_png(levelled(tall), window_of(tall)))
    count = math.prod(picture.shape[:2])
    assert 0.98 * 400_000 < count < 1.02 * 400_000


def test_a_machine_without_fonts_is_told(monkeypatch) -> None:
    import resvg_py

    whole = resvg_py.svg_to_bytes
    monkeypatch.setattr(
        resvg_py, "svg_to_bytes", lambda **asked: whole(**asked, skip_system_fonts=True)
    )
    strip_picture._see_that_letters_show.cache_clear()
    with pytest.raises(ProblemError) as told:
        strip_png(READY, WHOLE)
    assert [each.code for each in told.value.problems] == ["strip-no-font"]
    monkeypatch.undo()
    assert strip_png(READY, WHOLE)


def test_what_the_library_does_not_draw_is_told(monkeypatch) -> None:
    # A drawing of more elements than it takes, and what it says then, in small.
    monkeypatch.setattr(strip_picture, "strip_svg", lambda *_: '<svg width="9" height="9"')
    with pytest.raises(ProblemError) as told:
        strip_png(READY, WHOLE)
    (problem,) = told.value.problems
    assert problem.code == "strip-no-picture"
    assert "root node" in problem.message
