"""The wiring drawn: what is fed by what, what senses, what decides, what moves, and what shares."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.report import svg
from loftwright.report.wiring_column import draw_column
from loftwright.report.wiring_layers import columns_of, draw_layers
from loftwright.report.wiring_picture import BayFrame, Net, Node, WiringPicture, picture_of

__all__ = [
    "KEY",
    "WIDTHS",
    "BayFrame",
    "Frame",
    "Net",
    "Node",
    "WiringPicture",
    "draw_wiring",
    "picture_of",
]

KEY = (
    "Heavy: current. Thin: what is sensed. Dashed: commands. Heavy and coloured: what is worked. "
    "A dotted frame is a bay; a small square, where a line branches."
)
LEAST_BOX, MOST_BOX = 104.0, 172.0
CHANNEL = 44.0  # px between columns, at least
WIDEST = 560.0  # px that one column of parts may take


@dataclass(frozen=True, slots=True)
class Frame:
    """The size in px for one page width."""

    width: float


WIDTHS: dict[str, Frame] = {
    "wide": Frame(1120),
    "medium": Frame(720),
    "narrow": Frame(340),
}


def draw_wiring(picture: WiringPicture, frame: Frame, kind: str = "") -> str:
    """Return the wiring as inline SVG for one page width.

    From left to right where all columns have room, in one column where they do not.
    """
    columns = columns_of(picture)
    count = max(columns.values(), default=0) + 1
    box = min(MOST_BOX, (frame.width - CHANNEL * (count - 1) - 4.0) / count)
    # Connectors that stand in one order here and in the other there have no columns.
    forward = all(columns[net.source] < columns[sink] for net in picture.nets for sink in net.sinks)
    if box >= LEAST_BOX and forward:
        body, height = draw_layers(picture, frame.width, box)
    else:
        body, height = draw_column(picture, min(frame.width, WIDEST))
    return svg.document(
        frame.width, height, body,
        title=f"How {picture.title} is wired",
        description=_described(picture),
        kind=f"strip wiring {kind}".strip(),
    )  # fmt: skip


def _described(picture: WiringPicture) -> str:
    names = {node.id: node.name for node in picture.nodes}
    verbs = {"power": "feeds", "sensed": "is read by", "told": "commands", "works": "works"}
    said = [
        f"{names[net.source]} {verbs[net.kind]} {', '.join(names[sink] for sink in net.sinks)}."
        for net in picture.nets
    ]
    return " ".join([*said, *picture.sentences])
