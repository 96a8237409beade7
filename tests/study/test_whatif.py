"""What would be if: the flights of a forecast with the same values, in whatever order asked."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study.cases import PRESSURE, WATER, bare_lift, codes

from loftwright.cli.overrides import read_with
from loftwright.documents import read_campaign
from loftwright.errors import ProblemError
from loftwright.flight.check import check
from loftwright.flight.forecast import forecast
from loftwright.study.asked import asked_campaign
from loftwright.study.whatif import WhatIf

EXAMPLES = Path(__file__).parents[2] / "examples"

ASKED = {
    "sedge-lift-mended": {
        WATER: "0.8 L ± 20 mL",
        PRESSURE: "68 psi",
        "payload.mass": "1.1 oz ± 2 %",
        "site.wind.from": "200 deg ± 15 deg",
        "vehicle.fins.0.count": "4",
        "payload.release.climb": "12 m/s",
    },
    "terrace-stages": {WATER: "0.5 L", "upper.fill.gauge_pressure": "45 psi ± 1 psi"},
    "stand-bottle": {WATER: "0.4 L"},
}


@pytest.mark.parametrize("name", ASKED)
def test_it_is_the_forecast_with_set_flight_by_flight(name: str) -> None:
    asked = ASKED[name]
    words = [f"{path}={text}" for path, text in asked.items()]
    known = forecast(read_with(EXAMPLES / name, words), flights=40)
    found = WhatIf(read_campaign(EXAMPLES / name)).answer(asked, 40)
    assert set(found.columns) == set(known.columns)
    for key, column in found.columns.items():
        np.testing.assert_array_equal(column, known.columns[key], err_msg=key)
    assert set(found.band.lanes) == set(known.band.lanes)
    for lane, rows in found.band.lanes.items():
        np.testing.assert_array_equal(rows, known.band.lanes[lane], err_msg=lane)


def test_its_campaign_is_that_of_set() -> None:
    asked = ASKED["sedge-lift-mended"]
    home = EXAMPLES / "sedge-lift-mended"
    known = read_with(home, [f"{path}={text}" for path, text in asked.items()])
    found = asked_campaign(read_campaign(home), asked)
    assert found.documents == known.documents
    told = [(each.code, each.message) for each in check(found).warnings]
    assert sorted(told) == sorted((each.code, each.message) for each in check(known).warnings)


def test_a_longer_answer_begins_with_the_shorter_one() -> None:
    question = WhatIf(bare_lift()).ask({})
    question.fly(20)
    short = question.answer()
    question.fly(50)
    longer = question.answer()
    assert (short.flights, longer.flights) == (20, 50)
    for key, column in short.columns.items():
        np.testing.assert_array_equal(column, longer.columns[key][:20], err_msg=key)


@settings(max_examples=8)
@given(st.permutations(["0.5 L", "0.7 L ± 20 mL", "0.9 L"]))
def test_the_order_of_questions_does_not_matter(order: list[str]) -> None:
    engine = WhatIf(bare_lift())
    known = {text: WhatIf(bare_lift()).answer({WATER: text}, 18) for text in order}
    for text in order:
        found = engine.answer({WATER: text}, 18)
        for key, column in found.columns.items():
            np.testing.assert_array_equal(column, known[text].columns[key], err_msg=key)


def test_a_question_that_nobody_waits_for_is_broken_off() -> None:
    question = WhatIf(bare_lift()).ask({})
    looks = iter([True, True, False])
    assert not question.fly(400, lambda: next(looks))
    assert 0 < question.done < 400
    assert question.fly(question.done)


@pytest.mark.parametrize(
    ("path", "text", "code"),
    [
        (WATER, "0.8 gal", "quantity-unclear-unit"),
        (WATER, "-1 L", "doc-out-of-bounds"),
        (WATER, "", "quantity-unreadable"),
        (WATER, "9 L", "vehicle-too-much-water"),
        ("vehicle.fins.0.count", "3.5", "doc-wrong-kind"),
        ("vehicle.name", "Other", "study-unknown-path"),
        ("vehicle.fins.9.count", "3", "study-unknown-path"),
    ],
)
def test_a_value_that_cannot_be_is_told_at_its_field(path: str, text: str, code: str) -> None:
    with pytest.raises(ProblemError) as caught:
        WhatIf(bare_lift()).ask({path: text})
    assert codes(caught.value) == [code]
    assert caught.value.problems[0].where.field == path


def test_all_that_is_wrong_is_told_at_once() -> None:
    with pytest.raises(ProblemError) as caught:
        WhatIf(bare_lift()).ask({WATER: "much", PRESSURE: "60"})
    assert [each.where.field for each in caught.value.problems] == [WATER, PRESSURE]


def test_what_the_documents_refuse_with_set_is_refused_alike(tmp_path: Path) -> None:
    home = tmp_path / "lift"
    shutil.copytree(EXAMPLES / "sedge-lift", home)
    for setting in ("vehicle.body.diameter=1 mm", "payload.carried.from_nose=9 m"):
        with pytest.raises(ProblemError) as known:
            read_with(home, [setting])
        path, _, text = setting.partition("=")
        with pytest.raises(ProblemError) as found:
            asked_campaign(read_campaign(home), {path: text})
        assert sorted(codes(found.value)) == sorted(codes(known.value))
