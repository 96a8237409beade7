"""A reliability diagram: what was said to be so probable, against how often it was so."""

from __future__ import annotations

import math

from loftwright.debrief.causes.calibration import Reliability
from loftwright.report import svg
from loftwright.report.scales import Scale
from loftwright.report.study_axis import Axis
from loftwright.report.svg import Box
from loftwright.report.theme import DARK, LIGHT, css_variables

__all__ = ["draw_reliability"]

WIDTH, LEFT, TALL = 720.0, 60.0, 380.0
HALF = 1.645  # standard deviations to either side of the middle 90 %


def draw_reliability(found: Reliability) -> str:
    """Return the diagram as an SVG that stands alone."""
    box = Box(LEFT, 30.0, WIDTH - 24.0, 30.0 + TALL)
    across = Axis("Probability given", "%", 0.01, 0.0, Scale(0.0, 100.0, box.left, box.right))
    up = Axis("Share that was so", "%", 0.01, 0.0, Scale(0.0, 100.0, box.bottom, box.top))
    parts = [
        up.upwards(box.left, box.right, 6, 12),
        across.along(box.bottom, 6, 12),
        svg.text(0, 14, up.title, size=12),
        svg.line(box.left, box.bottom, box.right, box.top, role="quiet", dash="5 4"),
        svg.text(across.at(0.1) + 8, up.at(0.1) + 14, "as said", size=12, role="quiet"),
    ]
    for said, true, count in zip(found.said, found.true, found.count, strict=True):
        if count:
            parts.append(_bin(across.at(said), up, float(true), int(count)))
    style = f"<style>svg{{{css_variables(LIGHT)}background:var(--paper);font-family:sans-serif}}"
    style += f"@media (prefers-color-scheme:dark){{svg{{{css_variables(DARK)}}}}}</style>"
    return svg.document(
        WIDTH,
        box.bottom + 46,
        style + "".join(parts),
        title="Reliability of the first cause's probability",
        description=f"{int(found.count.sum())} made-up failures; the probability given to the "
        f"first cause against the share in which it was the true one; mean distance "
        f"{found.error:.3f}.",
        kind="strip",
    )


def _bin(x: float, up: Axis, share: float, count: int) -> str:
    """Draw one bin: a square, the 90 % interval of its share, and how many there are."""
    # Wilson's interval: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209 (from memory).
    z = HALF * HALF
    middle = (share + z / (2 * count)) / (1 + z / count)
    half = HALF * math.sqrt(share * (1 - share) / count + z / (4 * count * count)) / (1 + z / count)
    y, top, bottom = (up.at(each) for each in (share, middle + half, middle - half))
    return (
        svg.line(x, top, x, bottom, role="vehicle", width=1.5)
        + svg.rect(Box(x - 4, y - 4, x + 4, y + 4), fill="var(--vehicle)")
        + _count(x, y, count)
    )


def _count(x: float, y: float, count: int) -> str:
    """Write how many a bin holds, to the side where there is room."""
    inside = x + 8 + svg.text_width(str(count), 11) < WIDTH - 24
    place, anchor = (x + 8, "start") if inside else (x - 8, "end")
    return svg.text(place, y + 16, str(count), size=11, role="quiet", anchor=anchor)
