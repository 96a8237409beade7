"""``loftwright compare``."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
STRONGER = "payload.hold.strength=22 N ± 1.4 N"


@pytest.fixture
def mended(tmp_path):
    """A copy of the demo's mend."""
    return Path(shutil.copytree(EXAMPLES / "sedge-lift-mended", tmp_path / "sedge-lift-mended"))


def test_a_second_hook_keeps_the_payload_on(loftwright, demo):
    ended = loftwright("compare", demo, "--set", STRONGER, "--flights", 40)
    assert ended.code == 0
    first = ended.out.splitlines()[0]
    assert first == (
        "With 22 N ± 1.4 N as strength of the hold, Reedling holds on in all "
        "40 flights (as it is: in none of 40 flights)."
    )
    assert "11 N ± 1 N" in ended.out
    assert "Paired: each of the 40 flights met the same wind" in ended.out
    assert "! only as it is: the hold gives way" in " ".join(ended.out.split())


def test_each_side_is_the_forecast_of_that_campaign(loftwright, demo):
    words = ("--flights", 30, "--seed", 7, "--json")
    answer = loftwright("compare", demo, "--set", STRONGER, *words).answer
    for side, settings in (("one", ()), ("other", ("--set", STRONGER))):
        alone = loftwright("forecast", demo, *settings, *words).answer
        for key in ("apogee_m", "release_climb_m_s", "hold_load_n", "veer_m"):
            if key in answer["figures"]:
                assert answer["figures"][key][side] == pytest.approx(alone[key]["p50"], rel=1e-12)
    assert {"apogee_m", "release_climb_m_s", "hold_load_n"} <= set(answer["figures"])
    # What would have been with a hold that bears anything is the same.
    assert "veer_m" not in answer["figures"]


def test_two_folders_are_called_by_their_names(loftwright, demo, mended):
    answer = loftwright("compare", demo, mended, "--flights", 40, "--json").answer
    assert answer["schema"] == "loftwright/compare/1"
    assert answer["names"] == ["Sedge lift", "Sedge lift, mended"]
    assert answer["lead"].startswith("Sedge lift, mended: Reedling holds on")
    assert [each["path"] for each in answer["differs"]][-1] == "payload2"
    veer = answer["figures"]["veer_m"]
    assert veer["told_apart"]
    assert veer["interval"][1] < 0.0
    assert veer["pairs"] == 40
    clay = answer["figures"]["payload2_torn_off"]
    assert (clay["one"], clay["other"], clay["difference"]) == (None, 0.0, None)
    assert [each["seed"] for each in answer["provenance"]] == [1, 1]


def test_the_page_has_two_strips_and_two_plans(loftwright, demo, mended, tmp_path):
    page = tmp_path / "compare.html"
    ended = loftwright("compare", demo, mended, "--report", page)
    assert ended.code == 0
    assert f"Written: {page}" in ended.out
    text = page.read_text(encoding="utf-8")
    assert text.count('class="strip') == 6  # two, each at three widths
    assert text.count('class="scatter') == 4
    assert 'id="trees-wide"' in text
    assert 'id="trees-wide-other"' in text
    assert "One flight each, as written" in text


def test_both_strips_have_the_same_scales(demo, mended):
    from loftwright.documents import read_campaign
    from loftwright.flight.forecast import forecast
    from loftwright.report.compare import Side
    from loftwright.report.pair import side_strips

    sides = [
        Side(name, campaign, forecast(campaign))
        for name, campaign in (("one", read_campaign(demo)), ("other", read_campaign(mended)))
    ]
    one, other = side_strips(sides, "us")
    assert (one.start, one.end) == (other.start, other.end)
    for mine, theirs in zip(one.lanes, other.lanes, strict=True):
        assert reach(mine) == reach(theirs)


def reach(lane):
    numbers = [*lane.reach, *(v for curve in lane.curves for v in curve.value.tolist())]
    return min(numbers), max(numbers)


def test_what_changes_nothing_is_said_and_not_flown(loftwright, demo):
    ended = loftwright("compare", demo, "--set", "payload.hold.strength=11 N ± 1 N")
    assert ended.code == 0
    assert ended.out.startswith("Nothing differs")
    assert "figure" not in ended.out
    answer = loftwright("compare", demo, "--set", "site.launch.guide_length=90 cm", "--json").answer
    assert answer["differs"] == []
    assert answer["figures"] == {}


def test_what_moves_no_figure_is_said(loftwright, demo):
    ended = loftwright("compare", demo, "--set", "vehicle.vessel.0.wall=0.3 mm", "--flights", 6)
    assert ended.out.startswith("With 0.3 mm as vessel 1: wall, no figure of the flight changes.")


def test_campaigns_may_carry_different_things(loftwright, demo, stand):
    ended = loftwright("compare", demo, stand)
    assert ended.code == 0
    assert "Reedling tears off" in ended.out
    assert "part 1 " in ended.out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ((), "command-usage", "nothing to compare with"),
        (("OTHER", "--set", STRONGER), "command-usage", "not both"),
        (("SAME",), "command-same-campaign", "the same campaign"),
        (("SAME/campaign.toml",), "command-same-campaign", "the same campaign"),
        (("--set", "payload.hold.strength=-3 N"), "doc-out-of-bounds", "more than 0 N"),
        (("--set", "hold.strength=3 N"), "command-setting", "PATH=VALUE"),
        (("nowhere",), "file-no-folder", "no such folder"),
        (("OTHER", "--report", "OTHER/payload.toml"), "command-output", "document of"),
    ],
)
def test_bad_input_is_told(loftwright, demo, mended, words, code, said):
    names = {"OTHER": str(mended), "SAME": str(demo)}
    given = [
        next((word.replace(key, name) for key, name in names.items() if word.startswith(key)), word)
        for word in words
    ]
    ended = loftwright("compare", demo, *given, "--json")
    assert ended.code == 2
    (problem,) = ended.answer["problems"]
    assert problem["code"] == code
    assert said in problem["message"]


def test_what_is_wrong_with_the_second_folder_is_placed_there(loftwright, demo, mended):
    text = (mended / "payload.toml").read_text(encoding="utf-8")
    (mended / "payload.toml").write_text(text.replace("28 g", "28 pots"), encoding="utf-8")
    ended = loftwright("compare", demo, mended, "--json")
    assert ended.code == 2
    assert ended.answer["problems"][0]["where"]["file"] == str(mended / "payload.toml")
