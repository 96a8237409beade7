"""A window of a strip as a picture of pixels, as a browser makes it of the same drawing."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import Final

from loftwright.errors import Problem, ProblemError
from loftwright.report.strip_export import strip_svg
from loftwright.report.theme import DARK, LIGHT
from loftwright.report.window import LevelledStrip, Window

__all__ = ["strip_png"]

LARGER: Final = (
    2.0  # for print, and for screens with fine pixels; as in web/static/strip-picture.js
)
MOST: Final = 50_000_000  # pixels, 200 MB while it is made: ten times a strip of nine lanes
_SIZE: Final = re.compile(r' width="([0-9.e+]+)" height="([0-9.e+]+)"')
_PROBE: Final = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="20" height="20">'
    '<text x="2" y="18" font-size="18" font-family="sans-serif">{}</text></svg>'
)


def strip_png(
    source: LevelledStrip, window: Window, width: str = "wide", *, dark: bool = False
) -> bytes:
    """Return a window as a PNG file, two pixels for each px of the drawing.

    There are fewer where a strip of very many lanes would have more than `MOST` in all.
    Letters are those of this machine's fonts. Raises ``ProblemError``: ``strip-no-font`` where
    there are none, for without its words a strip says nothing; ``strip-no-picture`` for a strip
    with more in it than the library draws.
    """
    _see_that_letters_show()
    colours = DARK if dark else LIGHT
    drawing = strip_svg(source, window, width, colours)
    size = _SIZE.search(drawing)
    assert size is not None
    zoom = min(LARGER, math.sqrt(MOST / (float(size[1]) * float(size[2]))))
    try:
        # The last row of pixels may be covered by the drawing's own ground in part only.
        return _rendered(drawing, zoom, colours["paper"])
    except ValueError as error:
        message = f"the picture cannot be made: {error}"
        mend = "leave lanes out with --without, draw a part with --from and --to, or take --svg"
        raise ProblemError([Problem("strip-no-picture", message, mend=mend)]) from error


@cache
def _see_that_letters_show() -> None:
    # The library leaves out what it has no letters for, and says nothing.
    if _rendered(_PROBE.format("M")) == _rendered(_PROBE.format("")):
        message = "this machine has no font, so that a picture would have no words"
        mend = "install a font, or take --svg, whose letters are those of the program that shows it"
        raise ProblemError([Problem("strip-no-font", message, mend=mend)])


def _rendered(drawing: str, zoom: float = 1.0, ground: str | None = None) -> bytes:
    import resvg_py

    return bytes(resvg_py.svg_to_bytes(svg_string=drawing, zoom=zoom, background=ground))
