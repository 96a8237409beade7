"""The pages of rehearsals, tuned programs and programs: whole, and true to what was found."""

from __future__ import annotations

import html
import io
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import rehearsed, synthetic
from report.test_page import read
from report.test_strip import boxes
from report.test_terminal import Ascii, Screen

from loftwright.report.cautions import CAUTIONS, SHORT
from loftwright.report.chance_axis import ChanceAxis, chance_axis
from loftwright.report.program_page import program_page, replay_page
from loftwright.report.rehearse_page import Pictures, rehearse_page
from loftwright.report.rehearse_terminal import print_rehearsal
from loftwright.report.study_front import WIDTHS
from loftwright.report.tune_page import draw_trade, trade_rows, tune_page


def made() -> dict[str, str]:
    """One page of every kind, and some with little on them."""
    known = rehearsed.rehearsal()
    bare = replace(
        known, faults=(), pairs=(), cut_sets=(), common_causes=(), mends=(), watched=(), wanted={},
        truth_from="dusk-2.csv",
        nominal=replace(known.nominal, payload={}, field={}, energy_j={}),
    )  # fmt: skip
    nasty = replace(known.faults[0], faults=(synthetic.NASTY,), says=synthetic.NASTY)
    campaign, made_by = synthetic.campaign(), synthetic.provenance(1, 10_000)
    return {
        "rehearsal": rehearse_page(synthetic.campaign("us"), known, rehearsed.pictures()),
        "bare": rehearse_page(campaign, bare, Pictures()),
        "nasty": rehearse_page(synthetic.campaign(name=synthetic.NASTY),
                               replace(known, faults=(nasty,)), None),
        "tune": tune_page(campaign, rehearsed.trade_off(), made_by),
        "program": program_page(
            rehearsed.picture(), rehearsed.READING, rehearsed.checks(), made_by
        ),
        "replay": replay_page(rehearsed.replayed(), "us", rehearsed.picture(), made_by, "pad.csv"),
    }  # fmt: skip


KINDS = ["rehearsal", "bare", "nasty", "tune", "program", "replay"]


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    return made()


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_is_whole_and_fetches_nothing(pages: dict[str, str], kind: str) -> None:
    reader = read(pages[kind])
    assert not reader.open
    assert [level for level, _ in reader.headings].count(1) == 1
    assert all(caution in reader.text for caution in CAUTIONS)
    fetched = [
        value for _, attrs in reader.tags for name, value in attrs.items()
        if name in ("src", "href") and not (value or "").startswith(("data:", "#"))
    ]  # fmt: skip
    assert not fetched
    assert "nan" not in reader.text.lower().split()
    assert "<b>&" not in pages[kind]


@pytest.mark.parametrize("kind", KINDS)
def test_every_drawing_is_well_formed_named_and_described(pages: dict[str, str], kind: str) -> None:
    drawings = re.findall(r"<svg.*?</svg>", pages[kind], re.DOTALL)
    assert len(drawings) % 3 == 0
    for drawing in drawings:
        root = ET.fromstring(drawing)
        assert root.find("{*}title").text
        assert root.find("{*}desc").text
        assert "nan" not in drawing


@pytest.mark.parametrize("kind", KINDS)
def test_every_link_leads_somewhere_and_no_name_stands_twice(
    pages: dict[str, str], kind: str
) -> None:
    names = re.findall(r' id="([^"]+)"', pages[kind])
    assert len(names) == len(set(names))
    assert set(re.findall(r'href="#([^"]+)"', pages[kind])) <= set(names)


def test_each_watched_fault_leads_to_its_flight(pages: dict[str, str]) -> None:
    table = pages["rehearsal"].split('<section id="faults"')[1].split("</section>")[0]
    links = re.findall(r'href="#([^"]+)"', table)
    assert "flight-411-main-cell-empty" in links
    # The anchor stands inside what is folded away, so that a browser unfolds it.
    folded = re.findall(r"<details.*?</details>", pages["rehearsal"], re.DOTALL)
    assert any('<div id="flight-411-main-cell-empty"' in each for each in folded)


def test_the_sections_stand_in_order(pages: dict[str, str]) -> None:
    heads = [
        words.removeprefix("! ").strip()
        for level, words in read(pages["rehearsal"]).headings
        if level == 2
    ]
    assert heads == [
        "Single points of failure", "Fault by fault", "One flight, no fault",
        "The worst flight of each fault", "What hangs together", "Two faults at once",
        "What loses the vehicle or endangers people", "What would mend it",
        "What the controllers do", "Energy at the ground", "What counts as what",
        "Before you pump", "Where this comes from",
    ]  # fmt: skip


def test_a_rehearsal_without_faults_or_payload_is_short_and_whole(pages: dict[str, str]) -> None:
    reader = read(pages["bare"])
    assert "No fault was tried." in reader.text
    assert "The pressures of dusk-2.csv stood in for the flight." in reader.text
    assert "Single points of failure" not in [words for _, words in reader.headings]
    assert "Payload" not in pages["bare"].split('<section id="faults"')[1].split("</section>")[0]


def test_a_broken_promise_shows_its_path(pages: dict[str, str]) -> None:
    text = read(pages["program"]).text
    assert "Five stages; 1 of 2 promises can be broken." in text
    assert "Climbing, until height < 2 m" in text
    kept = program_page(rehearsed.picture(), (), rehearsed.checks()[:1], synthetic.provenance())
    assert "Five stages; the promise holds, on every way through them." in read(kept).text
    none = program_page(rehearsed.picture(), (), (), synthetic.provenance())
    assert "nothing is promised of it" in read(none).text


def test_a_replay_says_what_it_ran_on(pages: dict[str, str]) -> None:
    assert "run on pad.csv" in read(pages["replay"]).text
    drawings = "".join(re.findall(r"<svg.*?</svg>", pages["replay"], re.DOTALL))
    assert ">believed</text>" in drawings
    assert ">flown</text>" not in drawings


# ---------------------------------------------------------------- trade-off


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_words_of_a_trade_off_stay_apart(width: str, system: str) -> None:
    drawn = draw_trade(rehearsed.trade_off(), system, WIDTHS[width])
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other, gap=-1.5), (one, other)


def test_the_chosen_point_is_named_and_told() -> None:
    drawn = draw_trade(rehearsed.trade_off(), "metric", WIDTHS["wide"])
    assert ">chosen</text>" in drawn
    assert ">as written</text>" in drawn
    heads, rows = trade_rows(rehearsed.trade_off(), "metric")
    assert heads == ["climb at which it lets go", "height at release",
                     "false release, in 100 flights", "is"]  # fmt: skip
    (chosen,) = [row for row in rows if row["chosen"]]
    assert chosen["cells"][2:] == ["0.09 (0.04 to 0.17)", "chosen"]
    assert "none (up to 0.04)" in {row["cells"][2] for row in rows}
    assert rows[-1]["rest"]


@pytest.mark.parametrize("most", [True, False])
def test_the_best_of_the_front_stands_first(most: bool) -> None:
    found = rehearsed.trade_off()
    aims = (replace(found.aims[0], most=most), *found.aims[1:])
    _, rows = trade_rows(replace(found, aims=aims), "metric")
    front = [row["cells"][1] for row in rows if not row["rest"]]
    told = [float(re.match(r"[\d.]+", cell)[0]) for cell in front]
    best = max if most else min
    assert told[0] == best(told)


def test_a_trade_off_of_one_point_is_drawn() -> None:
    found = rehearsed.trade_off()
    assert "nan" not in draw_trade(replace(found, points=found.points[:1]), "us", WIDTHS["narrow"])


@given(st.lists(st.floats(0, 1), min_size=1, max_size=9))
def test_chances_stand_in_order_inside_their_axis(values: list[float]) -> None:
    axis = chance_axis("false release", values, 40.0, 300.0)
    places = [axis.at(value) for value in sorted(values)]
    assert places == sorted(places)
    assert all(39.9 <= place <= 300.1 for place in places)
    marks = [place for place, _ in axis.ticks(5)]
    assert marks == sorted(marks)


def test_chances_that_run_far_are_shown_by_powers_of_ten() -> None:
    axis = chance_axis("false release", [0.0, 2e-4, 0.07], 0.0, 100.0)
    assert isinstance(axis, ChanceAxis)
    assert [words for _, words in axis.ticks(9)] == ["none", "0.01", "0.1", "1"]
    assert not isinstance(chance_axis("false release", [0.0, 0.03, 0.07], 0.0, 100.0), ChanceAxis)


# ---------------------------------------------------------------- terminal


@pytest.mark.parametrize("columns", [80, 120])
def test_a_rehearsal_fits_the_terminal(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("NO_COLOR", "1")
    out = Screen()
    print_rehearsal(rehearsed.rehearsal(), "metric", out)
    text = re.sub(r"\x1b\[[\d;]*m", "", out.getvalue())
    assert max(len(line.rstrip()) for line in text.splitlines()) <= columns
    for words in ("! main cell empty", "bay plug opens", "Mend: ", "71 in 100"):
        assert words in text
    assert text.startswith("Of 10")
    assert ("all never released" in text) is (columns >= 110)


def test_a_plain_terminal_gets_plain_characters() -> None:
    out = Ascii()
    print_rehearsal(rehearsed.rehearsal(), "us", out)
    out.getvalue().encode("ascii")
    assert SHORT.splitlines()[0] in out.getvalue()


def test_what_to_write_stands_there_as_it_is_to_be_written(pages: dict[str, str]) -> None:
    known = rehearsed.rehearsal()
    (mend,) = known.mends
    out, plain = io.StringIO(), Ascii()
    print_rehearsal(known, "metric", out)
    assert "".join(f"  {line}".rstrip() + "\n" for line in mend.how.splitlines()) in out.getvalue()
    spread = replace(mend, how='voltage = "3.0 V ± 0.1 V"\n')
    print_rehearsal(replace(known, mends=(spread,)), "metric", plain)
    assert '  voltage = "3.0 V +/- 0.1 V"\n' in plain.getvalue()
    shown = re.search(r'<pre class="stage-text">(.*?)</pre>', pages["rehearsal"], re.DOTALL)
    assert shown
    assert html.unescape(shown.group(1)) == mend.how


def test_a_rehearsal_without_faults_prints() -> None:
    out = io.StringIO()
    bare = replace(rehearsed.rehearsal(), faults=(), cut_sets=(), mends=(), common_causes=())
    print_rehearsal(bare, "metric", out)
    assert "No fault was tried." in out.getvalue()
