"""``loftwright ledger``, as people and scripts see it."""

from __future__ import annotations

import shutil

import pytest
from cli.test_answers import assert_problems
from ledger import campaigns

from loftwright.cli import ledger_ask, ledger_write
from loftwright.cli.ledger import SUBCOMMANDS
from loftwright.ledger.counting import COUNTS
from loftwright.ledger.entries import SURENESS
from loftwright.ledger.functions import FUNCTIONS, OUTCOMES
from loftwright.ledger.reliability import Asked


@pytest.fixture
def flown(demo):
    """The demo after two flights: in the first the glider was not let go."""
    campaigns.add_flight(
        demo,
        "first-lift",
        title="First lift",
        flown="2026-05-03",
        outcome="failure",
        saw=campaigns.saw("liftoff") + campaigns.saw("release", "no", of="payload", by="Ben"),
        files={"board.csv": b"time_s,height_m\n0,0\n"},
    )
    campaigns.change(demo / "payload.toml", 'strength = "11 N', 'strength = "22 N')
    campaigns.add_flight(
        demo, "second-lift", title="Second lift", flown="2026-05-17", outcome="success",
        saw='[[stopwatch]]\nend = "apogee"\ntime = "3.9 s"\n'
        '[[landed]]\ndistance = "48 m"\nbearing = "60 deg"\n',
    )  # fmt: skip
    return demo


def lines(ended) -> list[str]:
    assert (ended.code, ended.err) == (0, "")
    return [" ".join(line.split()) for line in ended.out.splitlines()]


def test_the_words_of_the_options_are_those_of_the_ledger():
    assert ledger_write.SURE == SURENESS
    assert ledger_write.FUNCTIONS == ledger_ask.FUNCTIONS == FUNCTIONS
    assert tuple(each.replace("-", " ") for each in ledger_write.OUTCOMES) == OUTCOMES
    count = next(each for each in ledger_ask.reliability.params if each.name == "count")
    assert tuple(count.type.choices) == COUNTS
    defaults = {each.name: each.default for each in ledger_ask.reliability.params}
    asked = Asked()
    assert float(defaults["wanted"]) == asked.wanted
    assert float(defaults["confidence"]) == asked.confidence
    assert float(defaults["weight"]) == asked.weight
    assert (defaults["count"], defaults["may_fail"]) == (asked.count, asked.may_fail)


def test_the_group_lists_its_commands_and_hints_at_the_nearest(loftwright):
    ended = loftwright("ledger")
    assert ended.code == 0
    for name, (_, line) in SUBCOMMANDS.items():
        assert name in ended.out
        assert line in " ".join(ended.out.split())
    wrong = loftwright("ledger", "lst", ".")
    assert wrong.code == 2
    assert "Did you mean list?" in wrong.err


def test_flights_are_taken_in_by_themselves(loftwright, flown):
    said = lines(loftwright("ledger", "list", flown))
    assert "first-lift 2026-05-03 failure worked failed not known not known" in said
    assert "second-lift 2026-05-17 success worked worked worked worked" in said
    assert lines(loftwright("ledger", "take-in", flown)) == ["Nothing new."]


def test_taking_in_says_what_came(loftwright, flown):
    answer = loftwright("ledger", "take-in", flown, "--json").answer
    assert answer["new"] == ["first-lift", "second-lift"]
    assert answer["problems"] == []


def test_a_bad_record_is_told_and_the_others_come_in(loftwright, flown):
    campaigns.change(flown / "flights" / "first-lift" / "flight.toml", "outcome", "outcmoe")
    ended = loftwright("ledger", "take-in", flown)
    assert ended.code == 2
    assert "Taken in: second-lift." in ended.out
    assert "flights/first-lift/flight.toml" in ended.err
    assert loftwright("ledger", "list", flown, "--json").answer["flights"][0]["name"] == (
        "second-lift"
    )


def test_the_bookkeeping_of_a_campaign(loftwright, flown):
    """A flight fails, the cause is found, something is done, the next flight shows it."""
    found = loftwright(
        "ledger", "finding", flown, "The hook slipped at 11 N", "--flight", "first-lift",
        "--evidence", "board.csv", "--explains", "release", "--unsettled", "--by", "Ana",
    )  # fmt: skip
    assert "Noted: F1  The hook slipped at 11 N" in found.out
    assert "Shown by first-lift/board.csv" in found.out
    loftwright(
        "ledger", "action", flown, "Fit a second hook", "--who", "Ben", "--due", "2026-05-10",
        "--finding", "F1",
    )  # fmt: skip
    loftwright("ledger", "decision", flown, "Fly on", "--why", "It is mended")
    said = "\n".join(lines(loftwright("ledger", "list", flown)))
    assert "A1 Fit a second hook (Ben, due 2026-05-10, for F1)" in said
    assert "not settled" in said
    assert "D1 Fly on. Because: It is mended." in said
    assert loftwright("ledger", "close", flown, "A1", "--flight", "Second lift").code == 0
    closed = loftwright("ledger", "close", flown, "f1", "--flight", "second-lift", "--json")
    assert closed.answer["finding"]["closed_by"] == "second-lift"
    said = "\n".join(lines(loftwright("ledger", "list", flown)))
    assert "A1" not in said
    assert "F1" not in said
    said = "\n".join(lines(loftwright("ledger", "list", flown, "--closed")))
    assert "A1" in said
    assert "F1" in said
    shown = loftwright("ledger", "show", flown, "A1").out
    assert "closed" in shown
    assert "by second-lift" in shown


def test_what_was_judged_counts(loftwright, flown):
    loftwright("ledger", "judge", flown, "first-lift", "canopy", "not-tried", "--why", "taped")
    answer = loftwright("ledger", "show", flown, "first-lift", "--json").answer
    assert answer["flight"]["functions"]["canopy"] == {
        "outcome": "not tried", "says": "as it was judged", "judged": True,
    }  # fmt: skip
    assert answer["judgements"][0]["why"] == "taped"
    assert set(answer["build"]) >= {"campaign.toml", "payload.toml"}


def test_a_flight_is_shown_in_the_persons_units(loftwright, flown):
    said = "\n".join(lines(loftwright("ledger", "show", flown, "Second lift")))
    assert "vehicle came down from the pad 157 ft" in said
    assert "liftoff to apogee, by watch 3.9 s" in said


def test_two_flights_side_by_side(loftwright, flown):
    said = "\n".join(lines(loftwright("ledger", "compare", flown, "first-lift", "second-lift")))
    assert "strength of the hold 11 N ± 1 N 22 N ± 1 N" in said
    assert "release failed worked" in said
    answer = loftwright("ledger", "compare", flown, "first-lift", "second-lift", "--json").answer
    assert answer["differs"] == [
        {"path": "payload.hold.strength", "one": "11 N ± 1 N", "other": "22 N ± 1 N"}
    ]
    same = loftwright("ledger", "compare", flown, "first-lift", "first-lift").out
    assert "flew the same build" in same


def test_what_is_not_what_it_was_fails_the_verification(loftwright, flown):
    assert loftwright("ledger", "verify", flown).code == 0
    (flown / "flights" / "first-lift" / "evidence" / "board.csv").write_bytes(b"else")
    ended = loftwright("ledger", "verify", flown)
    assert ended.code == 1
    assert "ledger-evidence-changed" in ended.err
    assert "Not all is as it was" in ended.out
    answer = loftwright("ledger", "verify", flown, "--json")
    assert (answer.code, answer.answer["is_whole"]) == (1, False)


def test_an_export_goes_into_a_new_campaign(loftwright, flown, tmp_path):
    loftwright("ledger", "action", flown, "Fit a second hook")
    assert loftwright("ledger", "export", flown, tmp_path / "out").code == 0
    other = tmp_path / "other"
    shutil.copytree(flown, other, ignore=shutil.ignore_patterns("ledger.sqlite*"))
    count = loftwright("ledger", "import", other, tmp_path / "out", "--json").answer["entries"]
    assert count == 18  # two flights and builds of six documents, evidence, an action
    assert loftwright("ledger", "list", other).out == loftwright("ledger", "list", flown).out
    assert_problems(loftwright("ledger", "import", other, tmp_path / "out", "--json"))


def test_reliability_is_told_with_what_counts(loftwright, flown):
    said = " ".join(lines(loftwright("ledger", "reliability", flown)))
    assert "first-lift worked, × 1 failed, × 0.5 not known not known" in said
    assert "release 1 of 1 2 to 100 % 1 of 1.5 8 to 99 %" in said  # ends rounded outward
    assert "15 more by the success-run formula, 15 by simulation" in said
    assert "Since changed: strength of the hold." in said
    assert "Pressurised bottles burst" in said
    same = loftwright("ledger", "reliability", flown, "--count", "same", "--json").answer
    weights = [each["weight"] for each in same["functions"]["release"]["flights"]]
    assert weights == [0.0, 1.0]


def test_what_is_wanted_can_be_said_in_per_cent(loftwright, flown):
    words = ("ledger", "reliability", flown, "--wanted", "95%", "--confidence", "0.9", "--json")
    answer = loftwright(*words, "--may-fail", "1", "--function", "launch").answer
    assert (answer["asked"]["wanted"], answer["asked"]["confidence"]) == (0.95, 0.9)
    assert answer["functions"]["launch"]["more"]["total"] == 77
    assert list(answer["functions"]) == ["launch"]


def test_dependence_and_prior_can_be_said(loftwright, flown):
    answer = loftwright(
        "ledger", "reliability", flown, "--depends", "release=avionics.*, program.*",
        "--prior", "4,1", "--json",
    ).answer  # fmt: skip
    release = answer["functions"]["release"]
    assert [each["weight"] for each in release["flights"]] == [1.0, 1.0]
    assert release["prior"][0] > release["jeffreys"][0]


def test_not_yet_is_said_with_reasons_and_what_to_do(loftwright, flown):
    ended = loftwright("ledger", "ready", flown)
    assert ended.code == 1
    assert ended.out.startswith("Not yet: ")
    for words in ("nobody knows why", "To do: ", "local codes", "Pressurised bottles burst"):
        assert words in " ".join(ended.out.split())
    answer = loftwright("ledger", "ready", flown, "--json").answer
    assert answer["nothing_against"] is False
    assert {each["kind"] for each in answer["reasons"]} >= {"failure", "record", "reliability"}
    assert all(each["do"] for each in answer["reasons"])


def test_nothing_against_it_is_still_no_promise(loftwright, demo):
    campaigns.add_flight(demo, "one", outcome="success")
    ended = loftwright("ledger", "ready", demo, "--wanted", "30%", "--confidence", "50%")
    assert ended.code == 0
    assert ended.out.startswith("Nothing in this ledger speaks against it; it does not say that")
    assert "whoever is licensed" in " ".join(ended.out.split())


@pytest.mark.parametrize(
    "words",
    [
        ("list", "nowhere"),
        ("show", ".", "A1"),
        ("show", ".", "third"),
        ("finding", ".", " "),
        ("action", ".", "x", "--due", "tomorrow"),
        ("action", ".", "x", "--finding", "A2"),
        ("decision", ".", "x"),
        ("close", ".", "A1"),
        ("close", ".", "D1", "--why", "x"),
        ("close", ".", "A1", "--why", "x"),
        ("judge", ".", "first-lift", "boost", "worked"),
        ("judge", ".", "third", "launch", "worked"),
        ("compare", ".", "first-lift", "third"),
        ("reliability", ".", "--wanted", "nine"),
        ("reliability", ".", "--wanted", "90"),
        ("reliability", ".", "--wanted", "nan"),
        ("reliability", ".", "--wanted", "1"),
        ("reliability", ".", "--prior", "1"),
        ("reliability", ".", "--prior", "0,0"),
        ("reliability", ".", "--depends", "boost=x"),
        ("import", ".", "nowhere"),
        ("export", ".", "flights"),
    ],
)
def test_bad_input_is_told_and_nothing_is_written(loftwright, flown, words, monkeypatch):
    monkeypatch.chdir(flown)
    before = loftwright("ledger", "list", ".", "--closed", "--json").answer
    assert_problems(loftwright("ledger", *words, "--json"))
    assert loftwright("ledger", *words).code == 2
    assert loftwright("ledger", "list", ".", "--closed", "--json").answer == before


@pytest.mark.parametrize(
    "words", [("list",), ("take-in",), ("action", "x"), ("import", "."), ("ready",)]
)
def test_a_folder_that_is_no_campaign_gets_no_ledger(loftwright, tmp_path, words):
    ended = loftwright("ledger", words[0], tmp_path, *words[1:])
    assert ended.code == 2
    assert "file-missing" in ended.err
    assert list(tmp_path.iterdir()) == []


def test_signs_that_drive_a_terminal_are_not_printed(loftwright, flown):
    bad = "a\x1b[2Jb"
    for words in (
        ("action", bad, "--who", bad),
        ("finding", bad, "--flight", "first-lift", "--by", bad),
        ("decision", bad, "--why", bad),
        ("close", "A1", "--why", bad),
        ("list", "--closed"),
        ("show", "A1"),
        ("show", "F1"),
        ("show", "first-lift"),
        ("compare", "first-lift", "second-lift"),
        ("ready",),
        ("reliability",),
    ):
        ended = loftwright("ledger", words[0], flown, *words[1:])
        assert ended.code in (0, 1)
        assert "\x1b" not in ended.out + ended.err
