"""One path out of many: each moment between phases where it may have been, as likely as it is.

A path smoothed with its phases held where they are likeliest is too sure of itself around them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import exp, hypot, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.found import FILL, Found, about_of, settled
from loftwright.debrief.reconstruction.search import BOOST, BOOST_COUNTS, shake_prior
from loftwright.debrief.reconstruction.shape import Moment, Shape
from loftwright.debrief.reconstruction.smoother import (
    Reading,
    Smoothed,
    filtered,
    likelihood,
    smoothed,
)

__all__ = ["Blend", "blended"]

Floats = NDArray[np.float64]
# Standard deviations of liftoff and of the end of the push, each while the other stays: together
# they may be further off.
BOOST_NODES = (-4.5, -2.8, -1.4, 0.0, 1.4, 2.8, 4.5)
# Of the push's shape, each as likely: shift of the logarithm of its white jerk, and by which factor
# its acceleration grows, over what is likeliest.
PUSH_NODES = ((-1.4, 1.0), (1.4, 1.0), (0.0, 0.4), (0.0, 2.0))
WORTH = 10.0  # in logarithms: what is less likely by as much is not tried any further
LATER_NODES = (-2.0, -1.3, -0.65, 0.0, 0.65, 1.3, 2.0)  # of opening and touchdown
BEFORE, AFTER = 1.5, 2.5  # s around an opening that its moment matters in
FIVE = 1.6448536
STARTS = 0.003  # s, over which a seal lets go or the water is out (judgement)
AT_LEAST = 1e-4  # of the weight: less is left out


class Blend(NamedTuple):
    """A path with what moments between phases leave uncertain in it.

    ``mean`` and ``variance`` are (n, 3): height, climb, acceleration. ``port`` and ``fastest`` are
    the pressure coefficient and the largest climb, each with its standard deviation.
    """

    time: Floats
    mean: Floats
    variance: Floats
    port: tuple[float, float]
    fastest: tuple[float, float]


class _Node(NamedTuple):
    weight: float
    path: Smoothed
    shape: Shape


def blended(found: Found) -> Blend:
    """Return the path of a flight, blended over when its phases may begin and end."""
    path = found.path
    assert path is not None
    mean, variance = _moments_at(path, path.time)
    boost = _boost_nodes(found)
    port, fastest = _port_of(boost), _fastest_of(boost)
    least = found.readings.every / sqrt(12.0)
    found.moments["push_lasts"] = _lasting(boost, found.moments["push_end"].sd)
    for name in ("liftoff", "push_end"):
        found.moments[name] = _moment_among(boost, name, found.moments[name], least)
    until = boost[0].path.time[-1] - 1e-9
    _mix(boost, path.time, path.time <= until, mean, variance)
    for name in ("opening", "touchdown"):
        nodes = _later_nodes(found, name)
        if nodes:
            begin, end = nodes[0].path.time[0], nodes[0].path.time[-1]
            _mix(nodes, path.time, (path.time > begin) & (path.time < end), mean, variance)
    return Blend(path.time, mean, variance, port, fastest)


def _moments_at(path: Smoothed, time: Floats) -> tuple[Floats, Floats]:
    """Height, climb and acceleration at some times, with their variances."""
    mean, variance = np.empty((len(time), 3)), np.empty((len(time), 3))
    for column in range(3):
        value = path.mean[:, column] + (path.base if column == 2 else 0.0)
        mean[:, column] = np.interp(time, path.time, value)
        variance[:, column] = np.interp(
            time, path.time, np.maximum(path.covariance[:, column, column], 0.0)
        )
    return mean, variance


def _mix(
    nodes: Sequence[_Node], time: Floats, where: NDArray[np.bool_], mean: Floats, variance: Floats
) -> None:
    """Put the mixture of the nodes' paths in the place of one path."""
    at = time[where]
    each = [_moments_at(node.path, at) for node in nodes]
    weight = np.array([node.weight for node in nodes])
    middle = sum(w * m for w, (m, _) in zip(weight, each, strict=True))
    spread = sum(w * (v + (m - middle) ** 2) for w, (m, v) in zip(weight, each, strict=True))
    mean[where], variance[where] = middle, spread


def _weighed(values: list[tuple[float, Smoothed, Shape]]) -> list[_Node]:
    likelihoods = np.array([value for value, _, _ in values])
    weight = np.exp(likelihoods - likelihoods.max())
    weight /= weight.sum()
    kept = weight > AT_LEAST
    weight = weight / weight[kept].sum()
    return [
        _Node(float(w), path, shape)
        for w, k, (_, path, shape) in zip(weight, kept, values, strict=True)
        if k
    ]


def _boost_nodes(found: Found) -> list[_Node]:
    """Paths from the pad to the opening, for liftoffs and ends of push around the likeliest."""
    shape = found.shape
    until = shape.until if shape.opening is None else shape.opening
    part = found.reading().between(found.start.time, until)
    tried = [_boost_node(found, each, part) for each in _around(found, BOOST, BOOST_NODES)]
    least = max(value for value, _, _ in tried) - WORTH
    likely = [each for value, _, each in tried if value > least]
    for shape, (shift, factor) in product(likely, PUSH_NODES):
        other = shape.shaken("push", shape.shakes["push"] * exp(shift))
        other = replace(other, grows=max(shape.grows * factor, 1.0))
        tried.append(_boost_node(found, other, part))
    nodes = _weighed([(BOOST_COUNTS * value, path, each) for value, path, each in tried])
    return [node._replace(path=_filled(found, node, part)) for node in nodes]


def _boost_node(found: Found, shape: Shape, part: Reading) -> tuple[float, Smoothed, Shape]:
    phases = shape.phases()
    path = settled(found, phases, found.start, part, 2)
    value = likelihood(phases, found.start, part, about_of(path))
    return value + shake_prior("push", shape.shakes["push"]), path, shape


def _moment_among(nodes: Sequence[_Node], name: str, alone: Moment, least: float) -> Moment:
    """A moment by all nodes, whatever the other moment is."""
    each = [(node.weight, getattr(node.shape, name), 0.0) for node in nodes]
    middle, among = _spread_of(each)
    # Between two nodes it is as uncertain as it is while the other stays, and never better known
    # than that it lies between two readings.
    sd = hypot(max(among, alone.sd, least), STARTS)
    stretch = sd / alone.sd
    low, high = (middle + stretch * (bound - alone.time) for bound in (alone.low, alone.high))
    return Moment(middle, sd, low, high)


def _lasting(nodes: Sequence[_Node], alone: float) -> Moment:
    """How long the push lasts: better known than when it ends, for liftoff moves with it."""
    each = [(node.weight, node.shape.push_end - node.shape.liftoff, 0.0) for node in nodes]
    lasts, among = _spread_of(each)
    sd = max(among, alone)
    return Moment(lasts, sd, lasts - FIVE * sd, lasts + FIVE * sd)


def _filled(found: Found, node: _Node, part: Reading) -> Smoothed:
    phases, about = node.shape.phases(), about_of(node.path)
    return smoothed(filtered(phases, found.start, part, about, FILL), part)


def _around(found: Found, names: tuple[str, ...], nodes: tuple[float, ...]) -> Iterator[Shape]:
    """Shapes with some moments moved by so many of their standard deviations, in order."""
    shape = found.shape
    for shifts in product(nodes, repeat=len(names)):
        tried = shape
        for name, shift in zip(names, shifts, strict=True):
            moment = found.moments[name]
            tried = tried.moved(name, moment.time + shift * moment.sd)
        if tried.liftoff + 0.01 < tried.push_end < (tried.opening or tried.until):
            yield tried


def _later_nodes(found: Found, name: str) -> list[_Node]:
    """Paths around an opening or a touchdown, for its moment around the likeliest."""
    moment = found.moments.get(name)
    if moment is None or getattr(found.shape, name) is None:
        return []
    shape, reading = found.shape, found.reading()
    done = filtered(shape.phases(), found.start, reading, found.reference, FILL)
    begin = max(shape.push_end + 0.1, moment.time - BEFORE - 2.0 * moment.sd)
    start = done.at(begin)
    end = min(moment.time + AFTER + 2.0 * moment.sd, shape.until)
    part = reading.between(start.time, end)
    values = []
    for tried in _around(found, (name,), LATER_NODES):
        if tried.opening is not None and not (
            shape.push_end < tried.opening < (tried.touchdown or shape.until)
        ):
            continue
        phases = tried.phases()
        forward = filtered(phases, start, part, found.reference, FILL)
        values.append((forward.likelihood, smoothed(forward, part), tried))
    return _joined(found, _weighed(values), end) if len(values) > 2 else []


def _joined(found: Found, nodes: list[_Node], end: float) -> list[_Node]:
    """Leave out the last second of each path, which what comes after it would change."""
    cut = end - (0.0 if end >= found.shape.until else 1.0)
    kept = []
    for node in nodes:
        path, keep = node.path, node.path.time <= cut
        path = path._replace(
            time=path.time[keep], mean=path.mean[keep], covariance=path.covariance[keep],
            base=path.base[keep],
        )  # fmt: skip
        kept.append(node._replace(path=path))
    return kept


def _port_of(nodes: Sequence[_Node]) -> tuple[float, float]:
    each = [(n.weight, n.path.mean[0, 3], n.path.covariance[0, 3, 3]) for n in nodes]
    return _spread_of(each)


def _fastest_of(nodes: Sequence[_Node]) -> tuple[float, float]:
    each = []
    for node in nodes:
        place = int(np.argmax(node.path.mean[:, 1]))
        path = node.path
        each.append((node.weight, path.mean[place, 1], path.covariance[place, 1, 1]))
    return _spread_of(each)


def _spread_of(each: Sequence[tuple[float, float, float]]) -> tuple[float, float]:
    middle = sum(w * m for w, m, _ in each)
    spread = sum(w * (max(v, 0.0) + (m - middle) ** 2) for w, m, v in each)
    return float(middle), sqrt(float(spread))
