"""What a comparison says, and how its numbers are written."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from flight.campaigns import example

from loftwright.documents.differences import Difference
from loftwright.flight.forecast import forecast
from loftwright.report.compare import Compared, Compares, Moved, Side
from loftwright.report.compare_terminal import print_compared
from loftwright.report.compare_words import compare_answer, moved_rows, path_words
from loftwright.study.pairs import Pair

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def side() -> Side:
    campaign = example("sedge-lift")
    return Side("as it is", campaign, forecast(campaign))


def compared(side: Side, *moved: Moved) -> Compared:
    changes = (Difference("payload.mass", "28 g", "30 g"),)
    return Compared(side, side, changes, moved, 3, "With 30 g as payload mass,", "as it is")


def amount(key: str, one: float, other: float, low: float, high: float, kind: str) -> Moved:
    pair = Pair(one, other, other - one, low, high, 400, False)
    return Moved(key, Compares("veer of the climb", kind), pair)


@pytest.mark.parametrize(
    ("low", "high", "difference", "interval"),
    [
        (-3.4, -2.7, "−3.0", "−3.4 to −2.7"),
        (-0.2, 0.4, "−3.0", "−0.2 to +0.4"),
        # An end that is told from zero does not read as zero.
        (-3.4, -0.004, "−3.000", "−3.400 to −0.004"),
        # Ends that would read the same get a digit more.
        (-3.01, -2.99, "−3.0", "−3.01 to −2.99"),
        (-3.0, -3.0, "−3.0", ""),
    ],
)
def test_a_difference_is_written_as_finely_as_it_is_known(side, low, high, difference, interval):
    (row,) = moved_rows(compared(side, amount("x", 5.0, 2.0, low, high, "number")))
    assert (row.difference, row.interval) == (difference, interval)


def test_chances_are_counted_in_a_hundred(side):
    pair = Pair(1.0, 0.0175, -0.9825, -1.0, -0.96, 400, False)
    (row,) = moved_rows(compared(side, Moved("x", Compares("it tears off", "chance"), pair)))
    assert (row.one, row.other, row.unit) == ("all", "1.8", "in 100")


def test_what_is_not_told_apart_does_not_lead(side):
    unsure = amount("apogee_m", 90.0, 91.0, -1.0, 3.0, "height")
    assert "all intervals hold zero" in compare_answer(compared(side, unsure)).lead
    sure = amount("veer_m", 2.0, 1.0, -1.5, -0.5, "distance")
    lead = compare_answer(compared(side, unsure, sure)).lead
    plain = lead.replace("\u00a0", " ")
    assert plain == "With 30 g as payload mass, veer of the climb: 3.28 ft (as it is: 6.56 ft)."


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("payload2", "second payload"),
        ("payload2.mass", "second payload: mass"),
        ("vehicle.part.3", "part 4"),
        ("vehicle.vessel.0.wall", "vessel 1: wall"),
        ("site.shape.6.corners", "shape 7: corners"),
        ("payload.hold.strength", "strength of the hold"),
    ],
)
def test_fields_are_called_by_words(path, words):
    assert path_words(path) == words


class Terminal(io.StringIO):
    """A terminal that takes what is printed."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


def test_on_80_columns_no_line_is_longer(side, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")
    mended = example("sedge-lift-mended")
    other = Side("Sedge lift, mended", mended, forecast(mended))
    found = [Difference("payload2", None, "Clay")]
    out = Terminal()
    print_compared(Compared.of(side, other, found, "Mended:", "as it is"), out)
    table = (
        re.sub("\x1b\\[[0-9;]*m", "", out.getvalue())
        .partition("what differs")[2]
        .partition("Pressurised")[0]
    )
    assert max(map(len, table.splitlines())) <= 80
    assert "veer of the climb, ft" in table
    assert table.count("second payload") == 1
