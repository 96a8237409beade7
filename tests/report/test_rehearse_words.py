"""A rehearsal in words: exact, never certain of what was only counted."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import rehearsed, synthetic
from report.rehearsed import chance

from loftwright.rehearsal.results import Rehearsal, Shift
from loftwright.report.rehearse_means import definitions, wanted_rows
from loftwright.report.rehearse_rows import anchor, case_row, cut_rows, energy_rows, mend_rows
from loftwright.report.rehearse_words import (
    cause_words,
    happens_words,
    level_words,
    rehearse_answer,
    share_words,
    shift_words,
)


def plain(words: str) -> str:
    return words.replace("\u00a0", " ").replace("\u202f", " ")


def nominal_with(released: int) -> Rehearsal:
    known = rehearsed.rehearsal()
    payload = known.nominal.payload | {"released well": chance(released)}
    return replace(known, nominal=replace(known.nominal, payload=payload))


def test_the_answer_comes_first_with_its_exact_interval() -> None:
    lead = plain(rehearse_answer(rehearsed.rehearsal(), "metric").lead)
    # Clopper and Pearson's interval of 9710 in 10 000, from scipy's beta distribution.
    assert lead == (
        "Of 10 000 flights without a fault 97.1 in 100 release well (exact 95 %: 96.8 to 97.4). "
        "Two single faults lose the vehicle: main cell empty and bay plug opens."
    )


@pytest.mark.parametrize(
    ("released", "start"),
    [
        (
            10_000,
            "All 10 000 flights without a fault release well (exact 95 %: at least 99.96 in 100)",
        ),
        (0, "None of 10 000 flights without a fault release well (exact 95 %: up to 0.04 in 100)"),
        (9_999, "Of 10 000 flights without a fault 99.99 in 100 release well"),
    ],
)
def test_counts_of_all_and_none_are_not_certainties(released: int, start: str) -> None:
    assert plain(rehearse_answer(nominal_with(released), "metric").lead).startswith(start)


@given(st.integers(0, 10_000))
def test_no_count_is_told_as_nought_or_a_hundred(count: int) -> None:
    said = " ".join(share_words(chance(count)))
    numbers = [float(n) for n in re.findall(r"[\d.]+", said)]
    assert all(0.0 < number < 100.0 for number in numbers)


def test_without_a_payload_the_flight_is_told() -> None:
    known = rehearsed.rehearsal()
    bare = replace(known, nominal=replace(known.nominal, payload={}))
    assert "97.1 in 100 go as wanted" in rehearse_answer(bare, "metric").lead


def test_no_single_point_is_said_as_such() -> None:
    known = rehearsed.rehearsal()
    harmless = tuple(replace(case, is_single_point=False) for case in known.faults)
    answer = rehearse_answer(replace(known, faults=harmless), "metric")
    told = "None of the 6 faults tried loses the vehicle or endangers people by itself in more than"
    assert f"{told} 1.0 in 100 of its flights." in answer.lead
    alone = answer.verdicts[1]
    assert not alone.warn
    assert alone.sentences == ("None of those tried, in more than 1.0 in 100 of its flights.",)
    untried = rehearse_answer(replace(known, faults=()), "metric")
    assert "No fault was tried." in untried.lead
    assert not [each for each in untried.verdicts if each.question == alone.question]


def test_what_endangers_people_is_told_apart_from_what_loses_the_vehicle() -> None:
    known = rehearsed.rehearsal()
    loose = replace(known.faults[4], endangers=chance(2_000), is_single_point=True)
    answer = rehearse_answer(replace(known, faults=(loose,)), "metric")
    assert "One single fault endangers people: latch sticks." in answer.lead


def test_a_site_without_people_is_not_called_safe() -> None:
    known = rehearsed.rehearsal()
    blind = [replace(each, endangers=None) for each in (known.nominal, *known.faults)]
    answer = rehearse_answer(replace(known, nominal=blind[0], faults=tuple(blind[1:])), "metric")
    told = {verdict.question: verdict for verdict in answer.verdicts}
    assert told["Is anybody endangered?"].warn
    assert told["Is anybody endangered?"].sentences[0].startswith("Not told:")
    assert "Does any fault by itself lose the vehicle?" in told
    assert "people endangered" not in {key.name for key in answer.keys}


def test_many_single_points_are_counted_and_not_all_named() -> None:
    known = rehearsed.rehearsal()
    many = tuple(
        replace(known.faults[0], faults=(f"fault {k}",), is_single_point=True) for k in range(12)
    )
    lead = rehearse_answer(replace(known, faults=many), "metric").lead
    assert (
        "12 single faults lose the vehicle: fault 0, fault 1, fault 2, fault 3 and 8 more" in lead
    )


def test_names_with_an_and_in_them_do_not_run_into_each_other() -> None:
    known = rehearsed.rehearsal()
    both = [replace(known.faults[0], faults=(name,), is_single_point=True)
            for name in ("controllers swapped: timer and board", "vessel leaks")]  # fmt: skip
    lead = rehearse_answer(replace(known, faults=tuple(both)), "metric").lead
    assert lead.endswith("lose the vehicle: controllers swapped: timer and board; vessel leaks.")


def test_each_question_is_answered() -> None:
    answer = rehearse_answer(rehearsed.rehearsal(), "us")
    said = {v.question: " ".join(v.sentences) for v in answer.verdicts}
    assert "released well 97.1, too fast 1.8" in said["What happens when nothing fails?"]
    alone = said["Does any fault by itself lose the vehicle or endanger people?"]
    assert "the vehicle is lost in all 10000 flights (at least 99.96 in 100)" in alone
    assert "no canopy opens without it" in said["What takes several things along at once?"]
    assert "99.96 fewer in 100" in said["What would mend it?"]
    assert plain(answer.keys[-1].value) == "2.3 ft lbf"


def test_a_cause_says_its_kind_once() -> None:
    battery, _, bay = rehearsed.rehearsal().common_causes
    assert cause_words(battery) == (
        "Main cell (battery) takes along main, canopy and latch; no canopy opens without it."
    )
    assert cause_words(bay) == "Nose bay takes along baro and second baro."


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        ((-0.12, -0.15, -0.09), "12 fewer in 100 (9.0 to 15)"),
        ((0.031, 0.02, 0.04), "3.1 more in 100 (2.0 to 4.0)"),
        ((0.0, -0.0004, 0.0003), "no change that can be told (less than 0.04 in 100)"),
        ((0.0, 0.0, 0.0), "no change"),
        ((-1.0, -1.0, -0.9996), "at least 99.96 fewer in 100"),
        ((-0.9999, -1.0, -0.999), "99.99 fewer in 100 (99.90 or more)"),
    ],
)
def test_a_difference_says_no_more_than_is_known(
    shift: tuple[float, float, float], words: str
) -> None:
    assert shift_words(Shift(chance(1), chance(1), *shift)) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [(1.0, "always"), (0.004, "0.40 in 100"), (3e-6, "0.0003 in 100"), (float("nan"), "not known"),
     (0.0, "not known")],
)  # fmt: skip
def test_how_likely_a_fault_is(share: float, words: str) -> None:
    assert happens_words(share) == words


def test_what_is_too_often_in_words() -> None:
    assert level_words(0.01) == "more than 1.0 in 100 of its flights"
    assert level_words(0.0) == "any flight"


def test_every_outcome_is_defined() -> None:
    known = rehearsed.rehearsal()
    told = {kind: {word for word, _ in rows} for kind, rows in definitions(known)}
    assert len(told["payload"]) == len(known.nominal.payload)
    assert len(told["vehicle"]) == len(known.nominal.vehicle)
    assert len(told["field"]) == len(known.nominal.field)
    assert len(told["severity"]) == 4
    bare = replace(known, nominal=replace(known.nominal, payload={}, field={}))
    assert [kind for kind, _ in definitions(bare)] == ["vehicle", "severity", "likelihood"]


def test_what_is_wanted_is_told_in_the_persons_units() -> None:
    wanted = rehearsed.rehearsal().wanted | {"apogee_m": 30.48}
    rows = wanted_rows(wanted, synthetic.campaign("us"))
    assert [(words, plain(value)) for words, value in rows] == [
        ("Wren leaves no faster than", "59.1 ft/s"),
        ("Wren leaves while it climbs faster than", "6.56 ft/s"),
        ("Wren leaves no lower than", "32.8 ft"),
        ("Wren leaves with the vehicle leaning no more than", "45°"),
        ("Canopy opens no faster than", "82 ft/s"),
        ("Canopy opens no lower than", "16.4 ft"),
        ("Greatest height", "100 ft"),
    ]


# ---------------------------------------------------------------- rows


def test_a_row_tells_the_most_frequent_outcomes_and_the_rest_together() -> None:
    row = case_row(rehearsed.rehearsal().nominal, {})
    assert [(share.value, share.words) for share in row.payload] == [
        ("97.1", "released well"), ("1.8", "too fast"), ("0.62", "slow or inverted"),
        ("0.28", "too low"), ("0.19", "other"),
    ]  # fmt: skip
    assert sum(share.share for share in row.payload) == pytest.approx(1.0)


def test_a_row_knows_its_worst_flight_only_if_it_was_watched() -> None:
    first = rehearsed.rehearsal().faults[0]
    assert case_row(first, {"main cell empty": "flight-411-main-cell-empty"}).flight
    assert case_row(first, {}).flight == ""


@given(st.text(), st.integers(0, 10**6))
def test_an_anchor_is_one_word_of_plain_letters(case: str, number: int) -> None:
    assert re.fullmatch(r"[a-z0-9-]+", anchor(case, number))


@pytest.mark.parametrize(
    ("part", "shown"),
    [("baro", "baro"), ("vehicle", "the vehicle itself"), ("", "the vehicle itself")],
)
def test_a_fault_happens_to_a_part_or_to_the_vehicle_itself(part: str, shown: str) -> None:
    known = rehearsed.rehearsal()
    assert case_row(replace(known.faults[0], part=part), {}).part == shown
    assert case_row(known.nominal, {}).part == ""
    assert case_row(replace(known.pairs[0], part=""), {}).part == ""


def test_sets_mends_and_energies_as_rows() -> None:
    known = rehearsed.rehearsal()
    assert cut_rows(known)[0] == ("bay plug opens", "1.00 in 100", "71 in 100")
    ((words, how, rows),) = mend_rows(known)
    assert words == "a second cell for the canopy's controller"
    assert "[[battery]]" in how
    assert (rows[0].before, rows[0].after) == ("all (at least 99.96)", "0.04 (0.01 to 0.10)")
    assert rows[-1].what == "as wanted"
    names, energies = energy_rows(
        (known.nominal, *known.single_points), synthetic.campaign(), "metric"
    )
    assert names == ["Tern 3", "Wren"]
    assert [plain(cell) for cell in energies[1].cells[0]] == ["92 J", "121 J"]
