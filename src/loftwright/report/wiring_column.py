"""The wiring in one column, for a phone: current runs at the left, everything else at the right."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.report.svg import Box
from loftwright.report.tracks import assign_tracks
from loftwright.report.wiring_boxes import Item, PartBox, draw_boxes, draw_net, items_of
from loftwright.report.wiring_picture import Net, WiringPicture

__all__ = ["draw_column"]

GAP = 16.0
STEP = 8.0
MARGIN = 10.0  # between a box and the first track
ORDER = (
    ("battery",), ("connector",), ("sensor",), ("controller",), ("actuator", "indicator"),
    ("work",),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Side:
    """The lines of one side: each with the heights of its ports, and its track."""

    nets: tuple[Net, ...]
    ports: tuple[dict[str, float], ...]
    tracks: tuple[int, ...]

    @property
    def room(self) -> float:
        """What the tracks need beside the boxes, px."""
        return MARGIN + STEP * (max(self.tracks, default=-1) + 1)


def draw_column(picture: WiringPicture, width: float) -> tuple[str, float]:
    """Return the drawing without its document, and its height, px."""
    # How many tracks there are depends on heights, those on widths: the second pass knows.
    room_left, room_right = 40.0, 60.0
    for _ in range(3):
        boxes, frames, bottom = _stack(picture, room_left, width - room_right)
        left, right = (_side(picture, boxes, power=power) for power in (True, False))
        fits = left.room <= room_left and right.room <= room_right
        if fits and (room_left, room_right) == (left.room, right.room):
            break
        room_left, room_right = left.room, right.room
    lines = _lines(left, boxes, room_left, -1.0) + _lines(right, boxes, width - room_right, 1.0)
    return lines + draw_boxes(boxes, frames), bottom


def _stack(
    picture: WiringPicture, left: float, right: float
) -> tuple[list[PartBox], list[tuple[Item, Box]], float]:
    y, boxes, frames = 2.0, [], []
    for kinds in ORDER:
        for item in items_of(picture, kinds, right - left):
            high = item.height
            boxes += item.placed(left, y)
            if item.frame is not None:
                frames.append((item, Box(left, y, right, y + high)))
            y += high + GAP
    return boxes, frames, y - GAP + 2.0


def _side(picture: WiringPicture, boxes: list[PartBox], *, power: bool) -> _Side:
    nets = [net for net in picture.nets if (net.kind == "power") is power]
    ports: list[dict[str, float]] = [{} for _ in nets]
    for placed in boxes:
        own = [k for k, net in enumerate(nets) if placed.node.id in (net.source, *net.sinks)]
        # What comes in above what goes out.
        own.sort(key=lambda k: nets[k].source == placed.node.id)
        step = (placed.box.bottom - placed.box.top) / (len(own) + 1)
        for number, k in enumerate(own):
            ports[k][placed.node.id] = placed.box.top + step * (number + 1)
    spans = [(min(each.values()), max(each.values())) for each in ports]
    return _Side(tuple(nets), tuple(ports), tuple(assign_tracks(spans, apart=6.0)))


def _lines(side: _Side, boxes: list[PartBox], edge: float, way: float) -> str:
    """Draw the lines of one side; ``way`` is -1 at the left and 1 at the right."""
    edges = {placed.node.id: placed.box.left if way < 0 else placed.box.right for placed in boxes}
    drawn = []
    for net, ports, track in zip(side.nets, side.ports, side.tracks, strict=True):
        x = edge + way * (MARGIN + STEP * track)
        pieces = [[(edges[name], y), (x, y)] for name, y in ports.items()]
        pieces.append([(x, min(ports.values())), (x, max(ports.values()))])
        tips = [(edges[name], ports[name], -way) for name in net.sinks]
        inside = sorted(ports.values())[1:-1]
        drawn.append(draw_net(net.kind, pieces, tips, [(x, y) for y in inside]))
    return "".join(drawn)
