"""``loftwright whatif``: what the sliders show, in a terminal."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
LESS = "vehicle.fill.water_volume=0.8 L"
LATER = "program.board.climbing.climb=8 m/s"


@pytest.fixture
def mended(tmp_path):
    """A copy of the demo's mend, in which a program decides."""
    return Path(shutil.copytree(EXAMPLES / "sedge-lift-mended", tmp_path / "sedge-lift-mended"))


def test_both_sides_are_forecasts(loftwright, demo):
    words = ("--flights", 30, "--seed", 7, "--json")
    answer = loftwright("whatif", demo, "--set", LESS, *words).answer
    assert answer["decided_by"] == "documents"
    for side, settings in (("figures", ("--set", LESS)), ("baseline", ())):
        alone = loftwright("forecast", demo, *settings, *words).answer
        for key in ("apogee_m", "release_climb_m_s", "hold_load_n"):
            for part in ("p05", "p50", "p95"):
                assert answer[side][key][part] == pytest.approx(alone[key][part], rel=1e-12)
    told = answer["differences"]["guide_exit_speed_m_s"]
    assert told["told_apart"]
    assert told["median"] > 0.0  # lighter, it leaves faster


def test_with_nothing_set_there_is_no_baseline(loftwright, demo):
    answer = loftwright("whatif", demo, "--flights", 8, "--json").answer
    assert answer["baseline"] is None
    assert answer["differences"] == {}
    same = ("--set", LESS, "--against", LESS)
    assert loftwright("whatif", demo, *same, "--flights", 8, "--json").answer["baseline"] is None


def test_the_baseline_may_be_other_values(loftwright, demo):
    ends = {"--set": "0.8 L", "--against": "1.1 L"}
    words = [f"{word}" for option, text in ends.items()
             for word in (option, f"vehicle.fill.water_volume={text}")]  # fmt: skip
    one = loftwright("whatif", demo, *words, "--flights", 8, "--json").answer
    back = ("--set", words[3], "--against", words[1])
    other = loftwright("whatif", demo, *back, "--flights", 8, "--json").answer
    assert one["figures"] == other["baseline"]
    assert one["baseline"] == other["figures"]
    for key, told in one["differences"].items():
        assert told["median"] == pytest.approx(-other["differences"][key]["median"], abs=1e-9)


def test_a_number_of_a_program_has_it_decide(loftwright, mended):
    answer = loftwright("whatif", mended, "--set", LATER, "--flights", 16, "--json").answer
    assert answer["decided_by"] == "programs"
    climbs = {side: answer[side]["release_climb_m_s"]["p50"] for side in ("figures", "baseline")}
    assert climbs["figures"] < climbs["baseline"]  # it waits until it climbs more slowly
    assert answer["differences"]["release_time_s"]["median"] > 0.0
    plain = loftwright("whatif", mended, "--programs", "--flights", 16, "--json").answer
    assert plain["figures"] == answer["baseline"]


def test_the_terminal_and_the_page_say_the_same(loftwright, mended, tmp_path):
    page, strips = tmp_path / "what.html", tmp_path / "strips"
    files = ("--report", page, "--strips", strips)
    ended = loftwright("whatif", mended, "--set", LESS, "--flights", 16, *files)
    assert ended.code == 0
    text = page.read_text(encoding="utf-8")
    lead = ended.out.splitlines()[0]
    assert lead.startswith("About ")
    assert f'<p class="lead">{lead.replace(" ", " ")}' in text.replace("\u00a0", " ")
    assert "beside as written" in ended.out
    assert f"With {LESS.replace('=', ' = ')}. Beside the campaign as it is written." in text
    assert text.count('class="strip') == 6  # two, each at three widths
    assert {each.name for each in strips.iterdir()} == {"0.npz", "1.npz", "index.json"}


@pytest.mark.parametrize(
    ("words", "code", "value"),
    [
        (("--set", "0.8 L"), "command-setting", "0.8 L"),
        (("--against", "=0.8 L"), "command-setting", "=0.8 L"),
        (("--set", "vehicle.fill.beer=0.8 L"), "study-unknown-path", "0.8 L"),
        (("--set", "vehicle.fill.water_volume=much"), "quantity-unreadable", "much"),
    ],
)
def test_what_cannot_be_asked_is_told_at_its_place(loftwright, demo, words, code, value):
    ended = loftwright("whatif", demo, *words, "--json")
    assert ended.code == 2
    (problem,) = ended.answer["problems"]
    assert problem["code"] == code
    assert problem["where"]["value"] == value
    assert problem["mend"]


def test_programs_that_are_not_there_are_told(loftwright, demo):
    home = demo.parent / "stand-bottle"
    shutil.copytree(EXAMPLES / "stand-bottle", home)
    ended = loftwright("whatif", home, "--programs", "--json")
    assert ended.code == 2
    assert [each["code"] for each in ended.answer["problems"]] == ["avionics-none"]
