"""``loftwright compare``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import (
    campaign_folder,
    json_option,
    report_option,
    seed_option,
    strips_option,
)
from loftwright.cli.overrides import read_other, read_with, set_option
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from typing import Any

    from loftwright.documents import Campaign
    from loftwright.documents.differences import Difference
    from loftwright.report.compare import Compared, Side

__all__ = ["command"]

AS_IS, CHANGED = "as it is", "changed"
MOST_NAMED = 2  # changes that a sentence can hold


@click.command("compare")
@campaign_folder
@click.argument("other", metavar="[OTHER]", required=False, type=click.Path(path_type=Path))
@set_option
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=2),
    help="Fly each this many times, both with the same draws, wind and gusts; once when left out.",
)
@seed_option
@report_option
@strips_option
@json_option
def command(
    folder: Path,
    other: Path | None,
    settings: tuple[str, ...],
    flights: int | None,
    seed: int,
    report: Path | None,
    strips: Path | None,
    as_json: bool,
) -> int:
    """Compare the campaign in DIR with itself changed by --set, or with the one in OTHER.

    Says what differs in the documents, and which figures of the flight that moves, by how much and
    how surely: flight by flight, both meet the same wind and draw the same.
    """
    from loftwright.cli.outputs import Outputs
    from loftwright.documents.differences import differences

    _refuse(folder, other, settings)
    one = read_with(folder, ())
    two = read_with(folder, settings) if other is None else read_other(other)
    folders = {"--strips": strips}
    Outputs({"--report": report}, two, folders=folders)  # which must not lose a document either
    outputs = Outputs({"--report": report}, one, folders=folders)
    found = differences(one, two, *_texts(one, two, settings))
    sides = _sides(one, two, _labels(one, two, other), flights, seed, alike=not found)
    said, aside = _phrases(found, sides, two_folders=other is not None)
    compared = _compared(sides, found, said, aside)
    return tell_result(
        "compare",
        {"names": [one.head.name, two.head.name], "settings": settings},
        outputs,
        as_json=as_json,
        files={},
        page=lambda: _page(compared),
        answer=lambda: _answer(compared),
        show=lambda: _show(compared),
    )


def _page(compared: Compared) -> str:
    from loftwright.report.compare_page import compare_page

    return compare_page(compared)


def _show(compared: Compared) -> None:
    from loftwright.report.compare_terminal import print_compared

    print_compared(compared)


def _refuse(folder: Path, other: Path | None, settings: tuple[str, ...]) -> None:
    """Refuse what leaves nothing, or too much, to compare."""
    if other is not None and settings:
        raise click.UsageError("give either OTHER or --set, not both")
    if other is None and not settings:
        raise click.UsageError("nothing to compare with: give --set PATH=VALUE, or a second folder")
    if other is not None and _home(folder) == _home(other):
        from loftwright.errors import Problem, ProblemError, Where

        message = "this is the same campaign as the first"
        mend = "name another folder, or say with --set what is to be changed"
        where = Where(field="OTHER", value=str(other))
        raise ProblemError([Problem("command-same-campaign", message, where, mend)])


def _home(folder: Path) -> Path:
    home = folder.parent if folder.name == "campaign.toml" else folder
    return home.resolve()


def _texts(
    one: Campaign, two: Campaign, settings: tuple[str, ...]
) -> tuple[dict[str, str], dict[str, str]]:
    """Return what a person wrote on either side, by the path of its field."""
    from loftwright.documents.differences import texts

    written = texts(one)
    if not settings:
        return written, texts(two)
    changed = (setting.partition("=") for setting in settings)
    return written, written | {path.strip(): text.strip() for path, _, text in changed}


def _labels(one: Campaign, two: Campaign, other: Path | None) -> tuple[str, str]:
    """Return the heads of the two columns."""
    if other is None:
        return AS_IS, CHANGED
    names = one.head.name, two.head.name
    if names[0] == names[1]:
        names = one.folder.resolve().name, two.folder.resolve().name
    if names[0] == names[1]:
        names = str(one.folder), str(two.folder)
    return names


def _sides(
    one: Campaign,
    two: Campaign,
    labels: tuple[str, str],
    flights: int | None,
    seed: int,
    *,
    alike: bool,
) -> tuple[Side, Side]:
    """Fly both; where nothing differs, one flight says all."""
    from loftwright.cli.sides import flown_side

    if alike:
        mine = flown_side(labels[0], one, None, seed)
        return mine, replace(mine, label=labels[1], campaign=two)
    return flown_side(labels[0], one, flights, seed), flown_side(labels[1], two, flights, seed)


def _phrases(
    found: list[Difference], sides: tuple[Side, Side], *, two_folders: bool
) -> tuple[str, str]:
    """Return how a sentence about the second begins, and what it calls the first."""
    if two_folders:
        one, two = (side.label for side in sides)
        return f"{two}:", one
    if len(found) > MOST_NAMED:
        return f"With these {len(found)} changes,", AS_IS
    from loftwright.report.compare_words import path_words

    named = " and ".join(f"{each.other or 'no'} as {path_words(each.path)}" for each in found)
    return f"With {named},", AS_IS


def _compared(sides: tuple[Side, Side], found: list[Difference], said: str, aside: str) -> Compared:
    from loftwright.report.compare import Compared

    return Compared.of(*sides, found, said, aside)


def _answer(compared: Compared) -> dict[str, Any]:
    from loftwright.cli.answers import made_by
    from loftwright.report.compare_words import compare_answer

    sides = (compared.one, compared.other)
    return {
        "lead": compare_answer(compared).lead,
        "differs": [
            {"path": each.path, "one": each.one, "other": each.other} for each in compared.documents
        ],
        # SI; chances and margins as shares, the trim angle in rad.
        "figures": {
            each.key: {
                "words": each.figure.words,
                "is": "chance" if each.figure.kind == "chance" else "median",
                "one": each.pair.one,
                "other": each.pair.other,
                "difference": each.pair.difference,
                "interval": None if each.pair.low is None else [each.pair.low, each.pair.high],
                "pairs": each.pair.pairs,
                "told_apart": each.pair.told_apart,
            }
            for each in compared.moved
        },
        "figures_the_same": compared.same,
        "confidence": 0.95,
        "provenance": [made_by((side.ensemble or side.flight).provenance) for side in sides],
    }
