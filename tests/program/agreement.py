"""The interpreter run over many readings, and what it means to decide alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from program.made_up import Readings

from loftwright.program.interpreter import Reading, State, power_up, step
from loftwright.program.runner import Decisions, Streams
from loftwright.program.table import Table

__all__ = ["assert_alike", "bits", "expected_lines", "interpret", "same_nan", "streams"]


def streams(readings: Readings) -> Streams:
    """Readings as the runner takes them."""
    return Streams(**{name: getattr(readings, name) for name in Readings.__dataclass_fields__})


def interpret(table: Table, readings: Readings) -> Decisions:
    """Run the interpreter over each stream of readings."""
    size = readings.pressure.shape
    seen = Decisions(
        opened=np.full((size[0], len(table.outputs)), -1, np.int32),
        launched=np.full(size[0], -1, np.int32),
        last_stage=np.zeros(size[0], np.int32),
        stage=np.zeros(size, np.int32),
        height=np.zeros(size, np.float32),
        climb=np.zeros(size, np.float32),
        levels=np.zeros(size, np.int32),
    )
    for stream in range(size[0]):
        _interpret_one(table, readings, seen, stream)
    return seen


def _interpret_one(table: Table, readings: Readings, seen: Decisions, stream: int) -> None:
    state = power_up(table)
    _note_first(state, seen, stream, 0)
    for k in range(readings.pressure.shape[1]):
        if readings.restart[stream, k]:
            state = power_up(table)
            _note_first(state, seen, stream, k)
        if readings.alive[stream, k]:
            step(table, state, _reading(readings, stream, k))
        _note_first(state, seen, stream, k)
        seen.stage[stream, k] = state.stage
        seen.height[stream, k] = state.height
        seen.climb[stream, k] = state.climb
        seen.levels[stream, k] = sum(level << output for output, level in enumerate(state.level))
    seen.last_stage[stream] = state.stage


def _reading(readings: Readings, stream: int, k: int) -> Reading:
    return Reading(
        pressure=float(readings.pressure[stream, k]),
        push=float(readings.push[stream, k]),
        switch=int(readings.line[stream, k]),
        now_ms=int(readings.now[stream, k]),
    )


def _note_first(state: State, seen: Decisions, stream: int, k: int) -> None:
    for output, level in enumerate(state.level):
        if level and seen.opened[stream, output] < 0:
            seen.opened[stream, output] = k
    if state.launched_ms >= 0 and seen.launched[stream] < 0:
        seen.launched[stream] = k


def bits(values: NDArray[np.float32]) -> NDArray[np.uint32]:
    """The bits of single-precision numbers; all that are not-a-number count as one.

    Which of them an operation gives is left open by IEEE 754, and no decision depends on it.
    """
    one = np.where(np.isnan(values), np.float32("nan"), values)
    return np.ascontiguousarray(one, np.float32).view(np.uint32)


def assert_alike(one: Decisions, other: Decisions) -> None:
    """Assert that two have decided alike, sample for sample and to the bit."""
    for name in ("stage", "levels", "opened", "launched", "last_stage"):
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), err_msg=name)
    for name in ("height", "climb"):
        got, want = bits(getattr(one, name)), bits(getattr(other, name))
        np.testing.assert_array_equal(got, want, err_msg=name)


def expected_lines(decisions: Decisions, readings: Readings, outputs: int) -> list[str]:
    """Return decisions as the harnesses print them: a line for each sample that is taken."""
    height, climb = bits(decisions.height), bits(decisions.climb)
    lines = []
    for at in zip(*np.nonzero(readings.alive), strict=True):
        levels = "".join(str(decisions.levels[at] >> output & 1) for output in range(outputs))
        lines.append(f"{decisions.stage[at]} {height[at]:08x} {climb[at]:08x} {levels}")
    return lines


def same_nan(line: str) -> str:
    """Return a printed line with every not-a-number written as one and the same."""
    stage, *numbers, levels = line.split(" ")
    if len(numbers) != 2:
        return line
    settled = bits(np.array([int(each, 16) for each in numbers], np.uint32).view(np.float32))
    return " ".join([stage, *(f"{each:08x}" for each in settled), levels])
