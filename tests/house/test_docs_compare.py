"""The numbers of the how-to on comparing are those that the commands give."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from loftwright.cli.overrides import read_with
from loftwright.documents.differences import differences
from loftwright.flight.forecast import forecast
from loftwright.report.compare import Compared, Side
from loftwright.report.compare_words import Row, moved_rows

ROOT = Path(__file__).resolve().parents[2]
DEMO, MENDED = ROOT / "examples" / "sedge-lift", ROOT / "examples" / "sedge-lift-mended"
FLIGHTS = 400


@pytest.fixture(scope="module")
def rows() -> dict[str, dict[str, Row]]:
    """What the two comparisons of the how-to tabulate."""
    one = side(DEMO)
    return {
        "mended": table(one, side(MENDED)),
        "hook": table(one, side(DEMO, "payload.hold.strength=22 N ± 1.4 N")),
    }


def side(folder: Path, *settings: str) -> Side:
    campaign = read_with(folder, settings)
    ensemble = forecast(campaign, flights=FLIGHTS, seed=1)
    return Side("", campaign, ensemble.nominal, ensemble)


def table(one: Side, other: Side) -> dict[str, Row]:
    found = differences(one.campaign, other.campaign)
    return {row.words: row for row in moved_rows(Compared.of(one, other, found, "", ""))}


@pytest.mark.parametrize(
    ("sentence", "compared", "figure", "column"),
    [
        (r"in (\S+) of 100 it touches", "mended", "Reedling touches the lifter", "one"),
        (r"could grow by (\S+) %", "mended", "margin of Reedling's hold", "other"),
        (r"now passes (\S+) ft", "mended", "veer of the climb", "other"),
        (r"where it passed (\S+) ft", "mended", "veer of the climb", "one"),
        (r"The change of (\S+) ft", "mended", "veer of the climb", "difference"),
        (r"\*\*The price.\*\* (\S+) ft", "mended", "greatest height", "other"),
        (r"instead of (\S+) ft", "mended", "greatest height", "one"),
        (r"hook alone it is (\S+) ft", "hook", "greatest height", "other"),
        (r"leave the field: in (\S+) of 100", "mended", "Reedling outside Sedge Flat", "other"),
    ],
)
def test_each_number_of_the_example_is_what_comes_out(rows, sentence, compared, figure, column):
    page = (ROOT / "docs" / "how-to" / "compare-two-builds.md").read_text(encoding="utf-8")
    (said,) = re.findall(sentence, " ".join(page.split()))
    came = number(getattr(rows[compared][figure], column))
    # As written, give or take one in its last digit: machines differ in theirs.
    assert number(said) == pytest.approx(came, abs=1.01 * step(said))


def number(text: str) -> float:
    return float(text.replace("−", "-"))


def step(text: str) -> float:
    return 10.0 ** -len(text.partition(".")[2])


def test_all_and_none_are_all_and_none(rows):
    torn = rows["mended"]["Reedling tears off"]
    assert (torn.one, torn.other) == ("all", "none")
    assert rows["mended"]["Reedling outside Sedge Flat"].one == "none"
