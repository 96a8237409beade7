"""``loftwright strip``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.log_options import read_time
from loftwright.cli.options import json_option, out_file
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from loftwright.cli.outputs import Outputs
    from loftwright.report.strip_words import LineFacts
    from loftwright.report.window import LevelledStrip, Window

__all__ = ["command"]

WIDTHS = ("wide", "medium", "narrow", "half", "widest")  # as in report/drawn.py, tested
ABOVE = 8  # folders above an output in which its campaign is looked for


@dataclass(frozen=True, slots=True)
class _Home:
    """A folder whose documents no output may take the place of."""

    folder: Path
    hashes: Mapping[str, str] = field(default_factory=dict)


@click.command("strip")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--from", "start", metavar="T", help="Begin there, e.g. 1.2s; at its start without.")
@click.option("--to", "end", metavar="T", help="End there, e.g. 3.4s; at its end without.")
@click.option(
    "--without",
    metavar="LANE",
    multiple=True,
    help="Leave out this lane; may be given several times.",
)
@click.option("--png", metavar="FILE", type=out_file, help="Write the picture to a PNG file.")
@click.option("--svg", metavar="FILE", type=out_file, help="Write the drawing to an SVG file.")
@click.option(
    "--csv",
    metavar="FILE",
    type=out_file,
    help="Write every sample to a CSV file, a row a moment, in the units shown.",
)
@click.option(
    "--width",
    type=click.Choice(WIDTHS),
    default=WIDTHS[0],
    show_default=True,
    help="Draw it as a page of this width has it: narrow on a phone, half beside another strip.",
)
@click.option("--dark", is_flag=True, help="Draw the picture light on dark.")
@json_option
def command(
    file: Path,
    start: str | None,
    end: str | None,
    without: tuple[str, ...],
    png: Path | None,
    svg: Path | None,
    csv: Path | None,
    width: str,
    dark: bool,
    as_json: bool,
) -> int:
    """Draw the strip in FILE, or a part of it, and write its numbers.

    FILE is one that --strips has kept, <n>.npz. Says what the least and the greatest of each line
    are in the time that is asked for.
    """
    first = None if start is None else read_time("--from", start, "1.2s")
    last = None if end is None else read_time("--to", end, "3.4s")
    outputs = _outputs(file, {"--png": png, "--svg": svg, "--csv": csv})
    from loftwright.report.strip_file import read_strip
    from loftwright.report.strip_words import facts_of
    from loftwright.report.window import window_of

    source = read_strip(file)
    window = window_of(source.strip, first, last, without)
    if outputs.wants("--csv"):
        outputs.fill("--csv", lambda draft: _write_csv(draft, source, window))
    facts = facts_of(source.strip, window)
    return tell_result(
        "strip",
        {"file": file, "title": source.strip.title},
        outputs,
        as_json=as_json,
        files={
            "--png": lambda: _png(source, window, width, dark),
            "--svg": lambda: _svg(source, window, width),
        },
        answer=lambda: _answer(source, window, facts),
        show=lambda: _show(source, window, facts),
    )


def _outputs(file: Path, asked: Mapping[str, Path | None]) -> Outputs:
    """Return where to write, held to the documents of every campaign that is near."""
    from loftwright.cli.outputs import Outputs

    for path in asked.values():
        if path is not None:
            for home in _campaigns_above(path):
                Outputs(asked, _Home(home), [file])
    return Outputs(asked, _Home(file.parent), [file])


def _campaigns_above(path: Path) -> Iterator[Path]:
    """Yield the folder of an output, and the campaigns that it may lie in."""
    folder = path.absolute().parent
    yield folder
    for above in [folder, *folder.parents][:ABOVE]:
        if (above / "campaign.toml").is_file():
            yield above


def _png(source: LevelledStrip, window: Window, width: str, dark: bool) -> bytes:
    from loftwright.report.strip_picture import strip_png

    return strip_png(source, window, width, dark=dark)


def _svg(source: LevelledStrip, window: Window, width: str) -> str:
    from loftwright.report.strip_export import strip_svg

    return strip_svg(source, window, width)


def _write_csv(path: Path, source: LevelledStrip, window: Window) -> None:
    from loftwright.report.strip_export import strip_csv

    with path.open("w", encoding="utf-8", newline="") as stream:
        for piece in strip_csv(source, window):
            stream.write(piece)


def _show(source: LevelledStrip, window: Window, facts: list[LineFacts]) -> None:
    from loftwright.errors.render import printable
    from loftwright.report.strip_words import HEADS, line_rows, window_words

    lines = [window_words(source.strip, window), "", *_table(HEADS, line_rows(facts))]
    happened = _events(source, window)
    if happened:
        lines += ["", "Events:", *(f"  {each.time:.4g} s  {each.words}" for each in happened)]
    # Names come from files: nothing in them may drive the terminal.
    click.echo("\n".join(printable(line, 1000) for line in lines))


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    table = [heads, *rows]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    for row in table:
        yield "  " + "   ".join(map(str.ljust, row, widths)).rstrip()


def _events(source: LevelledStrip, window: Window) -> list[Any]:
    return [e for e in source.strip.events if window.start <= e.time <= window.end]


def _answer(source: LevelledStrip, window: Window, facts: list[LineFacts]) -> dict[str, Any]:
    from loftwright.report.window import lane_calls

    lanes, calls = source.strip.lanes, lane_calls(source.strip)
    return {
        "from_s": window.start,
        "to_s": window.end,
        "without": [calls[number] for number in sorted(window.without)],
        "lanes": [call for call, lane in zip(calls, lanes, strict=True) if not lane.empty],
        "lines": [
            {
                "lane": each.column.lane,
                "line": each.column.line,
                "share": each.column.share or None,
                "unit": each.column.unit,
                "samples": each.samples,
                "least": each.least and {"value": each.least[0], "at_s": each.least[1]},
                "greatest": each.greatest and {"value": each.greatest[0], "at_s": each.greatest[1]},
            }
            for each in facts
        ],
        "events": [{"words": e.words, "at_s": e.time} for e in _events(source, window)],
    }
