"""The wiring from left to right, in columns: supplies and sensors, what decides, what moves.

Lines run straight along columns and turn only between them, each on a track of its own. A line
that passes a column has its own room between the parts there.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from loftwright.report.svg import Box
from loftwright.report.tracks import assign_tracks
from loftwright.report.wiring_boxes import Item, PartBox, draw_boxes, draw_net, items_of
from loftwright.report.wiring_picture import Net, WiringPicture

__all__ = ["columns_of", "draw_layers"]

GAP = 16.0
STEP = 9.0
MARGIN = 12.0  # between a box and the first track
PASS = 8.0  # the room of a line that passes
NEAR = 7.0  # px: two lines of one channel keep so far apart
SWEEPS = 4


@dataclass(slots=True)
class _Slot:
    """One thing in a column: an item, or a line that passes (``net`` is its number)."""

    item: Item | None
    net: int = -1
    top: float = 0.0

    @property
    def height(self) -> float:
        return self.item.height if self.item else PASS

    @property
    def middle(self) -> float:
        return self.top + 0.5 * self.height


@dataclass(slots=True)
class _Plan:
    """Columns of slots, and the heights of all ports by (net, column, part or pass)."""

    nets: list[Net]
    columns: list[list[_Slot]]
    column_of: dict[str, int]
    goes_in: dict[tuple[int, int, str], float] = field(default_factory=dict)
    goes_out: dict[tuple[int, int, str], float] = field(default_factory=dict)


def columns_of(picture: WiringPicture) -> dict[str, int]:
    """Return the column of each part, by what lines call it."""
    depth: dict[str, int] = {node.id: 0 for node in picture.nodes}
    plugs = {node.id for node in picture.nodes if node.kind == "connector"}
    for _ in plugs:
        for net in picture.nets:
            for sink in net.sinks:
                if net.kind == "power" and sink in plugs:
                    depth[sink] = max(depth[sink], depth[net.source] + 1)
    last = max((depth[name] for name in plugs), default=0)
    after = {"controller": 1, "actuator": 2, "indicator": 2, "work": 3}
    for node in picture.nodes:
        if node.kind in after:
            depth[node.id] = last + after[node.kind]
    return depth


def draw_layers(picture: WiringPicture, width: float, box_width: float) -> tuple[str, float]:
    """Return the drawing without its document, and its height, px."""
    plan = _plan(picture, box_width)
    _order(plan)
    channel = (width - 4.0 - box_width * len(plan.columns)) / max(len(plan.columns) - 1, 1)
    _heights(plan)
    lefts = [2.0 + k * (box_width + channel) for k in range(len(plan.columns))]
    boxes, frames = _boxes(plan, lefts, box_width)
    _ports(plan, boxes)
    lines = "".join(
        _channel(plan, k, lefts[k] + box_width, lefts[k + 1], boxes) for k in range(len(lefts) - 1)
    )
    passing = _passing(plan, lefts, box_width)
    bottom = max((slot.top + slot.height for column in plan.columns for slot in column), default=0)
    return lines + passing + draw_boxes(boxes, frames), bottom + 2.0


# ---------------------------------------------------------------- which column, which order


def _plan(picture: WiringPicture, box_width: float) -> _Plan:
    depth = columns_of(picture)
    count = max(depth.values(), default=0) + 1
    columns: list[list[_Slot]] = [[] for _ in range(count)]
    kinds = (("battery", "connector"), ("sensor",), ("controller",), ("actuator", "indicator"),
             ("work",))  # fmt: skip
    for group in kinds:
        for item in items_of(picture, group, box_width):
            columns[depth[item.nodes[0].id]].append(_Slot(item))
    nets = list(picture.nets)
    for number, net in enumerate(nets):
        far = max(depth[sink] for sink in net.sinks)
        for column in range(depth[net.source] + 1, far):
            columns[column].append(_Slot(None, number))
    return _Plan(nets, columns, depth)


def _names(slot: _Slot) -> set[str]:
    return {node.id for node in slot.item.nodes} if slot.item else set()


def _neighbours(plan: _Plan, slot: _Slot, column: int, other: int) -> list[float]:
    """Return the middles of what a slot is joined to in a neighbouring column."""
    found = []
    for number, net in enumerate(plan.nets):
        mine = slot.net == number or bool(_names(slot) & {net.source, *net.sinks})
        if not mine:
            continue
        ends = {net.source, *net.sinks}
        if slot.item and not _names(slot) & {net.source}:
            # Sinks are joined to where the line comes from, not to each other.
            ends = {net.source} if other < column else set()
        for each in plan.columns[other]:
            if each.net == number or _names(each) & ends:
                found.append(each.middle)
    return found


def _order(plan: _Plan) -> None:
    """Put what is joined side by side: each column by the middles of its neighbours."""
    _stack(plan)
    count = len(plan.columns)
    for sweep in range(SWEEPS):
        forward = sweep % 2 == 0
        order = range(1, count) if forward else range(count - 2, -1, -1)
        for column in order:
            other = column - 1 if forward else column + 1
            wanted = [
                _mean(_neighbours(plan, slot, column, other), slot.middle)
                for slot in plan.columns[column]
            ]
            ranked = sorted(range(len(wanted)), key=lambda k: wanted[k])
            plan.columns[column] = [plan.columns[column][k] for k in ranked]
            _stack(plan)


def _mean(values: list[float], otherwise: float) -> float:
    return sum(values) / len(values) if values else otherwise


def _stack(plan: _Plan) -> None:
    tall = max(sum(slot.height + GAP for slot in column) for column in plan.columns)
    for column in plan.columns:
        y = 2.0 + 0.5 * (tall - sum(slot.height + GAP for slot in column))
        for slot in column:
            slot.top = y
            y += slot.height + GAP


def _heights(plan: _Plan) -> None:
    """Place each column's slots near what they are joined to, without overlap, in order."""
    for column, slots in enumerate(plan.columns):
        if column == 0:
            continue
        wanted = [_mean(_neighbours(plan, slot, column, column - 1), slot.middle) for slot in slots]
        _settle(slots, wanted)
    least = min((slot.top for column in plan.columns for slot in column), default=2.0)
    for column_slots in plan.columns:
        for slot in column_slots:
            slot.top += 2.0 - least


def _settle(slots: list[_Slot], wanted: list[float]) -> None:
    """Move slots to the middles wanted, as near as the order and the gaps allow.

    Least squares under an order is a pooling of neighbours that violate it.
    """
    offset, offsets = 0.0, []
    for slot in slots:
        offsets.append(offset + 0.5 * slot.height)
        offset += slot.height + GAP
    pools: list[list[float]] = []
    for value, own in zip(wanted, offsets, strict=True):
        pools.append([value - own, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            mean, count = pools.pop()
            before, many = pools[-1]
            pools[-1] = [(before * many + mean * count) / (many + count), many + count]
    shifts = [mean for mean, count in pools for _ in range(int(count))]
    for slot, own, shift in zip(slots, offsets, shifts, strict=True):
        slot.top = shift + own - 0.5 * slot.height


# ---------------------------------------------------------------- places


def _boxes(
    plan: _Plan, lefts: list[float], width: float
) -> tuple[list[PartBox], list[tuple[Item, Box]]]:
    boxes: list[PartBox] = []
    frames: list[tuple[Item, Box]] = []
    for left, column in zip(lefts, plan.columns, strict=True):
        for slot in column:
            if slot.item is None:
                continue
            boxes += slot.item.placed(left, slot.top)
            if slot.item.frame is not None:
                around = Box(left, slot.top, left + width, slot.top + slot.height)
                frames.append((slot.item, around))
    return boxes, frames


def _ports(plan: _Plan, boxes: list[PartBox]) -> None:
    """Give each line its height at each part: in order of where it comes from or goes to."""
    middles = {each.node.id: 0.5 * (each.box.top + each.box.bottom) for each in boxes}
    for each in boxes:
        name, column = each.node.id, plan.column_of[each.node.id]
        out = [k for k, net in enumerate(plan.nets) if net.source == name]
        into = [k for k, net in enumerate(plan.nets) if name in net.sinks]
        out.sort(key=lambda k: _mean([middles[s] for s in plan.nets[k].sinks], 0.0))
        into.sort(key=lambda k: _comes_from(plan, k, column, middles))
        for which, ports in ((out, plan.goes_out), (into, plan.goes_in)):
            step = (each.box.bottom - each.box.top) / (len(which) + 1)
            for number, k in enumerate(which):
                ports[k, column, name] = each.box.top + step * (number + 1)
    for column, slots in enumerate(plan.columns):
        for slot in slots:
            if slot.item is None:
                plan.goes_in[slot.net, column, ""] = slot.middle
                plan.goes_out[slot.net, column, ""] = slot.middle


def _comes_from(plan: _Plan, net: int, column: int, middles: dict[str, float]) -> float:
    for slot in plan.columns[column - 1]:
        if slot.net == net:
            return slot.middle
    return middles[plan.nets[net].source]


# ---------------------------------------------------------------- lines


def _channel(plan: _Plan, column: int, left: float, right: float, boxes: list[PartBox]) -> str:
    """Draw what runs between one column and the next."""
    starts = {k: y for (k, at, _), y in plan.goes_out.items() if at == column}
    ends: dict[int, dict[str, float]] = {}
    for (k, at, name), y in plan.goes_in.items():
        if at == column + 1 and k in starts:
            ends.setdefault(k, {})[name] = y
    _keep_apart(starts, ends)
    for k, each in ends.items():
        for name, y in each.items():
            plan.goes_in[k, column + 1, name] = y
            if not name:
                plan.goes_out[k, column + 1, ""] = y
    turning = [
        k for k, each in ends.items() if any(abs(y - starts[k]) > 0.5 for y in each.values())
    ]
    spans = [
        (min(starts[k], *ends[k].values()), max(starts[k], *ends[k].values())) for k in turning
    ]
    tracks = dict(zip(turning, assign_tracks(spans, apart=5.0), strict=True))
    # Lines of frames start at the part inside, not at the frame.
    edges = {each.node.id: each.box for each in boxes}
    count = max(tracks.values(), default=0) + 1
    step = min(STEP, (right - left - 2 * MARGIN) / max(count - 1, 1))
    drawn = []
    for k, each in ends.items():
        net = plan.nets[k]
        here = plan.column_of[net.source] == column
        first = edges[net.source].right if here else left
        x = left + MARGIN + step * tracks.get(k, 0)
        tips = [(edges[name].left, y, 1.0) for name, y in each.items() if name]
        stops = [(edges[name].left if name else right, y) for name, y in each.items()]
        drawn.append(_line(net.kind, (first, starts[k]), x, stops, tips))
    return "".join(drawn)


def _line(
    kind: str,
    start: tuple[float, float],
    x: float,
    stops: list[tuple[float, float]],
    tips: list[tuple[float, float, float]],
) -> str:
    # A step that nobody sees is none.
    stops = [(end, start[1] if abs(y - start[1]) < 0.5 else y) for end, y in stops]
    heights = sorted({start[1], *(y for _, y in stops)})
    pieces = [[start, (x, start[1])], *([(x, y), (end, y)] for end, y in stops)]
    if len(heights) > 1:
        pieces.append([(x, heights[0]), (x, heights[-1])])
    joints = [(x, y) for y in heights[1:-1]]
    if len(heights) > 1 and start[1] in [y for _, y in stops]:
        joints.append((x, start[1]))
    return draw_net(kind, pieces, tips, joints)


def _keep_apart(starts: dict[int, float], ends: dict[int, dict[str, float]]) -> None:
    """Move ends of lines, as little as can be, off the heights of other lines."""
    steps = sorted((k * 0.5 * NEAR for k in range(-7, 8)), key=abs)
    for k, each in ends.items():
        for name, wanted in each.items():
            others = [y for n, y in starts.items() if n != k]
            others += [y for n, far in ends.items() for m, y in far.items()
                       if (n, m) != (k, name)]  # fmt: skip
            room = {move: min((abs(wanted + move - y) for y in others), default=NEAR)
                    for move in steps}  # fmt: skip
            free = [move for move in steps if room[move] >= NEAR - 1.5]
            # Where nothing is free, the freest.
            each[name] = wanted + (free[0] if free else max(steps, key=lambda m: room[m]))


def _passing(plan: _Plan, lefts: list[float], width: float) -> str:
    drawn = []
    for column, slots in enumerate(plan.columns):
        for slot in slots:
            if slot.item is None:
                y = plan.goes_out[slot.net, column, ""]
                piece = [(lefts[column], y), (lefts[column] + width, y)]
                drawn.append(draw_net(plan.nets[slot.net].kind, [piece], [], []))
    return "".join(drawn)
