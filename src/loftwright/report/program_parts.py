"""What a page says of each program: its text, what was proved, and how it reads in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from loftwright.errors import Problem
from loftwright.program.checks import Checked, Facts
from loftwright.program.estimates import climb_noise, estimate_lag, height_noise
from loftwright.program.promises import Bounds
from loftwright.program.reading import ReadProgram
from loftwright.program.words import program_words
from loftwright.program.words_path import seconds
from loftwright.report.program_pictures import program_picture
from loftwright.report.program_text import Said, TextLine, text_lines
from loftwright.report.quantities import amount
from loftwright.report.stage_words import StagePicture

__all__ = ["CheckRow", "ProgramPart", "part_of", "part_that_does_not_read", "when_words"]

SAMPLE_NOISE = 0.1  # m, of a barometer that nobody has described
HARD_CLIMB = 20.0  # m/s2 by which the speed changes where a lag is told: about two gravities


@dataclass(frozen=True, slots=True)
class CheckRow:
    """Something that was checked: what is promised, whether it holds, and what breaks it.

    ``path`` are the steps of a way through the stages that breaks it, in words.
    """

    says: str
    holds: bool
    path: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProgramPart:
    """One program on its page; ``picture`` is None where it does not read.

    ``reading`` is the program in words, sentences under headings; ``outputs`` say when each output
    opens, ``estimate`` how late and how noisy what it believes is. ``elsewhere`` is what was found
    that is about no line of its own.
    """

    name: str
    picture: StagePicture | None
    reading: tuple[tuple[str, tuple[str, ...]], ...] = ()
    checks: tuple[CheckRow, ...] = ()
    outputs: tuple[tuple[str, str], ...] = ()
    estimate: tuple[str, ...] = ()
    lines: tuple[TextLine, ...] = ()
    elsewhere: tuple[Said, ...] = ()
    reads: bool = True

    @property
    def errors(self) -> int:
        """How many things are wrong, not merely doubtful."""
        said = [*self.elsewhere, *(each for line in self.lines for each in line.said)]
        return sum(not each.warns for each in said)


def part_of(
    read: ReadProgram, checked: Checked, facts: Facts | None, text: str, system: str
) -> ProgramPart:
    """Return what is said of a program that reads; ``text`` is its file's."""
    lines, elsewhere = text_lines(text, checked.problems, read.source.file)
    names = read.table.outputs
    return ProgramPart(
        name=read.program.name,
        picture=program_picture(read.program, system),
        reading=tuple((heading, tuple(said)) for heading, said in program_words(read, system)),
        checks=tuple(CheckRow(each.says, each.kept, each.path) for each in checked.verdicts),
        outputs=tuple((names[each.output], when_words(each)) for each in checked.bounds),
        estimate=tuple(_estimate(read, facts, system)),
        lines=tuple(lines),
        elsewhere=tuple(elsewhere),
    )


def part_that_does_not_read(file: str, text: str, problems: Sequence[Problem]) -> ProgramPart:
    """Return what is said of a program that does not read: its text, and what is wrong where."""
    lines, elsewhere = text_lines(text, problems, file)
    return ProgramPart(file, None, lines=tuple(lines), elsewhere=tuple(elsewhere), reads=False)


def when_words(bounds: Bounds) -> str:
    """Return when an output opens, in words."""
    if bounds.earliest_ms is None:
        return "never opens"
    latest = bounds.latest_ms
    ends = "nothing makes sure that it does" if latest == float("inf") else ""
    if bounds.earliest_ms == float("-inf"):
        return f"can open before launch is sensed; {ends or f'by {seconds(latest)} after it'}"
    early = seconds(bounds.earliest_ms)
    if ends:
        return f"opens {early} after launch is sensed, or later; {ends}"
    return f"opens {early} to {seconds(latest)} after launch is sensed, whatever the sensors say"


def _estimate(read: ReadProgram, facts: Facts | None, system: str) -> Iterator[str]:
    """Yield how late and how noisy the believed height and climb are."""
    height, _ = estimate_lag(read.table, 0.0, HARD_CLIMB)
    _, late = estimate_lag(read.table, 0.0, 1.0)
    yield f"Climb is told {late:.2f} s late while the speed changes steadily."
    yield (
        f"Height is {amount(abs(height), 'height', system, 2)} "
        f"{'behind' if height >= 0.0 else 'ahead'} while the speed grows by "
        f"{amount(HARD_CLIMB, 'speed', system, 2)} in each second."
    )
    noise = None if facts is None else facts.height_noise
    if noise is None:
        left = amount(height_noise(read.table, SAMPLE_NOISE), "height", system, 2)
        yield (
            f"Noise of {amount(SAMPLE_NOISE, 'height', system, 2)} in each sample's height leaves "
            f"{left} in the height that it believes."
        )
        return
    yield (
        f"The barometer's noise, {amount(noise, 'height', system, 2)} a sample, leaves "
        f"{amount(height_noise(read.table, noise), 'height', system, 2)} in height and "
        f"{amount(climb_noise(read.table, noise), 'speed', system, 2)} in climb."
    )
