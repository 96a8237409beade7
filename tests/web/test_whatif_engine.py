"""The process of the what-if: the newest question of a page wins, and a death is told."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from web.serving import copied

from loftwright.web.whatif.child import Waiting
from loftwright.web.whatif.engine import Engine
from loftwright.web.whatif.engines import Engines
from loftwright.web.whatif.live_strips import MOST, LiveStrips, folder_of

WATER = "vehicle.fill.water_volume"
Ask = Callable[..., dict[str, Any]]


def question(who: str = "page", *, fine: bool = False, **values: str) -> dict[str, Any]:
    named = {WATER: values["water"]} if values else {}
    return {
        "who": who, "values": named, "pinned": None, "against": "baseline", "width": "narrow",
        "fine": fine, "programs": False,
    }  # fmt: skip


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    made = Engine(copied("stand-bottle", tmp_path / "bottle"))
    yield made
    made.end()


def test_strips_are_kept_of_the_pages_that_asked_last(tmp_path: Path) -> None:
    def keep(who: str, when: float) -> Path:
        LiveStrips(tmp_path, who).keep([])
        os.utime(folder_of(tmp_path) / who, (when, when))
        return folder_of(tmp_path) / who

    oldest, *others = [keep(f"page-numbered-{n}", 1000.0 + n) for n in range(MOST)]
    LiveStrips(tmp_path, oldest.name).keep([])  # its hand has moved again
    LiveStrips(tmp_path, "page-that-is-new").keep([])
    assert oldest.is_dir()
    assert [each.is_dir() for each in others] == [False] + [True] * (MOST - 2)


@given(st.lists(st.tuples(st.sampled_from("abc"), st.booleans()), min_size=1))
def test_of_each_page_the_newest_question_waits(asked: list[tuple[str, bool]]) -> None:
    waiting, dropped = Waiting(), []
    for number, (who, fine) in enumerate(asked):
        old = waiting.put({"id": number, "who": who, "fine": fine})
        dropped += [] if old is None else [old["id"]]
    newest = {who: number for number, (who, _) in enumerate(asked)}
    taken = []
    while waiting.waits():
        taken.append(waiting.take())
    assert {each["who"]: each["id"] for each in taken} == newest
    assert sorted([*dropped, *newest.values()]) == list(range(len(asked)))
    fines = [each["fine"] for each in taken]
    assert fines == sorted(fines)  # quick ones first


def test_what_was_broken_off_waits_again_unless_its_page_asks_anew() -> None:
    waiting = Waiting()
    fine = {"id": 1, "who": "a", "fine": True}
    assert waiting.put_back(fine)
    assert waiting.take() == fine
    waiting.put({"id": 2, "who": "a", "fine": False})
    assert not waiting.put_back(fine)
    waiting.end()
    assert not waiting.put_back({"id": 3, "who": "b", "fine": True})
    assert waiting.take() is None


def test_two_pages_at_rest_do_not_break_each_other_off() -> None:
    waiting = Waiting()
    for who in "ab":
        waiting.put({"id": who, "who": who, "fine": True})
    waiting.take()
    assert waiting.quiet()  # the other page waits its turn
    waiting.put({"id": 3, "who": "c", "fine": False})
    assert not waiting.quiet()  # a hand comes first


def test_what_a_hand_has_left_behind_is_let_be() -> None:
    waiting = Waiting()
    first, second = ({"id": k, "who": who, "fine": True} for k, who in enumerate("ab"))
    waiting.put(second)
    assert waiting.hush("a") is None
    assert waiting.take() == second
    assert waiting.quiet()
    assert waiting.hush("b") is None  # it is being answered: it is broken off
    assert not waiting.quiet()
    assert not waiting.put_back(second)
    waiting.put(first)
    assert waiting.hush("a") == first  # it was still waiting
    waiting.end()
    assert waiting.take() is None


def test_the_finer_one_does_not_hold_up_the_hand(tmp_path: Path) -> None:
    engines = Engines(copied("stand-bottle", tmp_path / "bottle"))
    try:
        engines.fine.ask(question(water="0.4 L", fine=True))
        with ThreadPoolExecutor() as pool:
            late: Future[dict[str, Any]] = pool.submit(
                engines.ask, question(water="0.6 L", fine=True)
            )
            while not engines.fine.waits:
                pass
            assert "html" in engines.ask(question(water="0.7 L"))
            assert "html" in late.result() or late.result()["stale"]
    finally:
        engines.end()


def test_it_answers_with_a_picture_and_finer_at_rest(engine: Engine) -> None:
    quick = engine.ask(question(water="0.5 L"))
    fine = engine.ask(question(water="0.5 L", fine=True))
    assert "<svg" in quick["html"]
    assert quick["flights"] < fine["flights"] == 400
    assert "Think twice" in fine["rest"]["html"] or "nothing to say" in fine["rest"]["html"]


def test_what_is_wrong_with_a_value_comes_back_with_its_field(engine: Engine) -> None:
    answer = engine.ask(question(water="0.5 gal"))
    assert [each["where"]["field"] for each in answer["problems"]] == [WATER]


def test_changed_documents_are_read_anew(engine: Engine) -> None:
    before = engine.ask(question())["glance"]
    vehicle = engine.home / "vehicle.toml"
    text = vehicle.read_text(encoding="utf-8")
    vehicle.write_text(text.replace("water_volume", "nonsense", 1), encoding="utf-8")
    assert engine.ask(question())["problems"]
    vehicle.write_text(text, encoding="utf-8")
    assert engine.ask(question())["glance"] == before


def test_a_process_that_dies_is_told_and_started_again(engine: Engine) -> None:
    with ThreadPoolExecutor() as pool:
        assert "html" in engine.ask(question())
        first = engine.pid
        assert first is not None
        os.kill(first, signal.SIGSTOP)  # so that it cannot answer before it dies
        answer: Future[dict[str, Any]] = pool.submit(engine.ask, question(water="0.4 L"))
        while not engine.waits:
            os.sched_yield()
        os.kill(first, signal.SIGKILL)
        assert "died" in answer.result()
    assert "html" in engine.ask(question(water="0.4 L"))
    assert engine.pid not in (None, first)


@pytest.mark.skipif(os.name != "posix", reason="the process is a shell script")
def test_an_answer_that_is_cut_off_is_told_as_a_death(tmp_path: Path, monkeypatch: Any) -> None:
    half = tmp_path / "half"
    half.write_text('#!/bin/sh\nread question\nprintf \'{"id": 1, "html": "<sv\'\n', "utf-8")
    half.chmod(0o700)
    monkeypatch.setattr("loftwright.web.whatif.engine.sys", SimpleNamespace(executable=str(half)))
    made = Engine(tmp_path)
    assert made.ask(question()) == {"died": "it ended with code 0"}
    assert not made.waits


@pytest.mark.skipif(os.name != "posix", reason="the process is a shell script")
def test_a_process_that_nobody_asks_is_ended_and_another_answers(
    tmp_path: Path, monkeypatch: Any
) -> None:
    script = tmp_path / "patient"
    script.write_text(
        '#!/bin/sh\nwhile read q; do n=$((n+1)); echo "{\\"id\\": $n}"; done\n', "utf-8"
    )
    script.chmod(0o700)
    monkeypatch.setattr("loftwright.web.whatif.engine.sys", SimpleNamespace(executable=str(script)))
    made = Engine(tmp_path, idle=0.0)
    assert made.ask(question()) == {"id": 1}
    while made.pid is not None:
        os.sched_yield()
    assert not made.waits
    made.end()


def test_answers_are_those_of_the_question_whoever_asks_at_once(engine: Engine) -> None:
    waters = ["0.3 L", "0.4 L", "0.5 L", "0.6 L"]
    alone = [engine.ask(question(water=water))["glance"] for water in waters]
    with ThreadPoolExecutor(4) as pool:
        together = pool.map(
            lambda pair: engine.ask(question(f"page {pair[0]}", water=pair[1])),
            enumerate(waters),
        )
        assert [each["glance"] for each in together] == alone


@pytest.mark.parametrize(
    "body",
    [b"", b"[]", b"{", b'{"values": 3}', b'{"values": {"a": 1}}', b'{"who": []}', b"x" * 70_000,
     b'{"values": {"vehicle.fill.water_volume": "%s"}}' % (b"9" * 200), b"[" * 5000],
)  # fmt: skip
def test_what_is_no_question_is_refused_in_words(serve: Any, body: bytes) -> None:
    served = serve("stand-bottle")
    reply = httpx.post(
        f"{served.url}/forecast/whatif",
        content=body,
        headers={"X-Loftwright-Token": served.token, "Content-Type": "application/json"},
    )
    assert reply.status_code == 400
    assert reply.json()["problems"][0]["message"]


@pytest.mark.parametrize(
    ("path", "form"),
    [
        ("fly", {"flights": "many", "seed": "1"}),
        ("fly", {}),
        ("write", {"set": "vehicle.fill.water_volume=9 gal"}),
        ("write", {"set": "nonsense=1"}),
        ("write", {}),
        ("undo", {}),
        ("best", {"flights": "x"}),
        ("more/compare", {"flights": ""}),
        ("more/explore", {"flights": "x"}),
        ("more/explore", {"path1": "--report", "from1": "out", "to1": "html"}),
    ],
)
def test_bad_forms_are_refused_in_words(serve: Any, path: str, form: dict[str, str]) -> None:
    served = serve("stand-bottle")
    before = {file: file.read_bytes() for file in served.home.glob("*.toml")}
    reply = httpx.post(f"{served.url}/forecast/{path}", data={"token": served.token, **form})
    assert 400 <= reply.status_code < 500
    assert "wrong" in reply.text
    assert {file: file.read_bytes() for file in served.home.glob("*.toml")} == before


def test_the_page_opens_whatever_its_address_says(serve: Any) -> None:
    served = serve("stand-bottle")
    for query in (
        "set=vehicle.fill.water_volume=<script>&pin=a=b&range=x=1..y&show=nowhere&name=<b>",
        "show=vehicle.fill.water_volume&range=vehicle.fill.water_volume=nan..inf&programs=1",
        "set=&show=&pin=&range=",
    ):
        reply = httpx.get(f"{served.url}/forecast?{query}")
        assert reply.status_code == 200
        assert "<script>&" not in reply.text
    assert httpx.get(f"{served.url}/forecast/slider?path=nowhere").status_code == 422
    assert httpx.get(f"{served.url}/forecast/more?set=a=b").status_code == 200
