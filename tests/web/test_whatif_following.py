"""What follows the hand: the next question before the last is drawn, and never an older picture."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from browsing import look, needs_browser, waiting
from web.serving import copied

from loftwright.web.pages import forecast
from loftwright.web.whatif.engine import Asked, Engine

WATER = "vehicle.fill.water_volume"
PATIENCE = 90.0
QUESTION = {
    "who": "page", "values": {WATER: "0.5 L"}, "pinned": None, "against": "baseline",
    "width": "narrow", "fine": False, "programs": False,
}  # fmt: skip
ANSWER = {"id": 1, "glance": "", "html": "", "flights": 32, "decided_by": "documents"}


def headers(served: Any) -> dict[str, str]:
    return {"X-Loftwright-Token": served.token, "Content-Type": "application/json"}


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    made = Engine(copied("stand-bottle", tmp_path / "bottle"))
    yield made
    made.end()


def test_flights_are_told_before_they_are_drawn(engine: Engine) -> None:
    told: list[str] = []
    asked = engine.begin(QUESTION)
    asked.flown.add_done_callback(lambda _: told.append("flown"))
    asked.answer.add_done_callback(lambda _: told.append("drawn"))
    assert asked.flown.result(PATIENCE)
    assert "<svg" in asked.answer.result(PATIENCE)["html"]
    assert told == ["flown", "drawn"]


@pytest.mark.parametrize("more", [{"values": {WATER: "much"}}, {"fine": True}])
def test_nothing_is_told_of_what_is_not_drawn_soon(engine: Engine, more: dict[str, Any]) -> None:
    asked = engine.begin(QUESTION | more)
    assert asked.answer.result(PATIENCE).keys() & {"problems", "rest"}
    assert not asked.flown.result()


class Held:
    """An engine whose answers come when a test says so."""

    def __init__(self) -> None:
        self.asked: list[Asked] = []
        self.ended = False

    def begin(self, question: dict[str, Any]) -> Asked:
        self.asked.append(Asked(self, None))  # type: ignore[arg-type]
        if not question["fine"]:
            self.asked[-1].flown.set_result(True)
        return self.asked[-1]

    def end(self) -> None:
        self.ended = True


@pytest.fixture
def held(serve: Any, monkeypatch: pytest.MonkeyPatch) -> tuple[Any, Held]:
    served, engine = serve("stand-bottle"), Held()
    monkeypatch.setattr(served.bench.engine, "begin", engine.begin)
    return served, engine


def test_the_head_of_an_answer_comes_while_it_is_drawn(held: tuple[Any, Held]) -> None:
    served, engine = held
    url = f"{served.url}/forecast/whatif"
    with httpx.stream("POST", url, json=QUESTION, headers=headers(served)) as reply:
        assert reply.status_code == 200
        assert not engine.asked[0].answer.done()
        engine.asked[0].settle(dict(ANSWER))
        reply.read()
    assert reply.json()["flights"] == 32
    assert reply.json()["numbers"] == {WATER: 0.5}


def test_an_engine_that_ends_while_it_draws_is_told(held: tuple[Any, Held]) -> None:
    served, engine = held
    url = f"{served.url}/forecast/whatif"
    with httpx.stream("POST", url, json=QUESTION, headers=headers(served)) as reply:
        engine.asked[0].settle({"died": "it ended with code 1"})
        reply.read()
    (problem,) = reply.json()["problems"]
    assert problem["code"] == "whatif-engine-ended"
    assert "code 1" in problem["message"]


def test_a_page_that_has_gone_holds_nothing_up(held: tuple[Any, Held]) -> None:
    served, engine = held
    url = f"{served.url}/forecast/whatif"
    with httpx.stream("POST", url, json=QUESTION, headers=headers(served)):
        pass  # it does not wait for the rest
    engine.asked[0].settle(dict(ANSWER))  # is handed on to nobody, and that is no fault
    assert engine.asked[0].answer.result()["flights"] == 32


def test_an_engine_that_says_nothing_is_ended_and_told(
    held: tuple[Any, Held], monkeypatch: pytest.MonkeyPatch
) -> None:
    served, engine = held
    monkeypatch.setattr(forecast, "PATIENCE", 0.0)
    reply = httpx.post(
        f"{served.url}/forecast/whatif", json=QUESTION | {"fine": True}, headers=headers(served)
    )
    assert reply.status_code == 422
    assert "no answer within" in reply.json()["problems"][0]["message"]
    assert engine.ended


# ---------------------------------------------------------------- in a browser

# What the page asks is answered when the test says so: first that it is flown, then the answer.
HOLD = """
window.held = [];
const real = window.fetch;
window.fetch = (path, options) => {
  if (!String(path).includes("/forecast/whatif")) return real(path, options);
  const one = { asked: JSON.parse(options.body), said: false };
  window.held.push(one);
  const body = new Promise((done) => { one.draw = done; });
  return new Promise((done) => { one.fly = () => done({ ok: true, json: () => body }); });
};
"""
DRAW = """
const [which, height] = arguments;
window.held[which].draw({ glance: `<p class="lead">${height}</p>`, flights: 32,
  html: `<svg><title>one</title><path d="M0,${height}"/></svg>`, numbers: {} });
"""


class Hand:
    """A hand on the slider of a page whose answers are held."""

    def __init__(self, browser: Any) -> None:
        self.browser = browser

    def until(self, found: Callable[[Any], Any]) -> Any:
        return waiting(self.browser, PATIENCE).until(found)

    def move(self, value: float) -> None:
        self.browser.execute_script(
            "const box = document.querySelector(`[data-path='${arguments[0]}']`);"
            "const thumb = box.querySelector('input[type=range]');"
            "thumb.value = arguments[1];"
            "thumb.dispatchEvent(new Event('input', { bubbles: true }));",
            WATER,
            value,
        )

    def asked(self) -> list[str]:
        script = "return held.map((each) => each.asked.values[arguments[0]] ?? '')"
        return [str(each).partition(" ")[0] for each in self.browser.execute_script(script, WATER)]

    def fly(self, which: int) -> None:
        self.browser.execute_script("held[arguments[0]].fly()", which)

    def draw(self, which: int, height: int) -> None:
        self.browser.execute_script(DRAW, which, height)

    def lead(self) -> str:
        script = "return document.querySelector('#glance .lead').textContent"
        return str(self.browser.execute_script(script))


@pytest.fixture
def hand(serve: Any, browser: Any) -> Hand:
    served = serve("stand-bottle")
    look(browser, f"{served.url}/forecast")
    made = Hand(browser)
    flights = "return document.querySelector('#picture').dataset.flights"
    made.until(lambda b: b.execute_script(flights) == "400")
    browser.execute_script(HOLD)
    return made


@needs_browser
def test_the_next_question_goes_out_while_the_last_is_drawn(hand: Hand) -> None:
    hand.move(0.6)
    hand.move(0.7)
    hand.move(0.8)
    assert hand.asked() == ["0.6"]  # one at a time
    hand.fly(0)
    hand.until(lambda _: hand.asked() == ["0.6", "0.8"])  # only the newest
    hand.draw(0, 60)
    hand.until(lambda _: hand.lead() == "60")
    hand.move(0.9)
    assert hand.asked() == ["0.6", "0.8"]
    hand.fly(1)
    hand.until(lambda _: hand.asked() == ["0.6", "0.8", "0.9"])


@needs_browser
def test_an_older_answer_never_takes_the_place_of_a_newer_one(hand: Hand) -> None:
    hand.move(0.6)
    hand.fly(0)
    hand.until(lambda b: b.execute_async_script("setTimeout(arguments[0], 0, true)"))
    hand.move(0.7)
    assert hand.asked() == ["0.6", "0.7"]
    hand.fly(1)
    hand.draw(1, 70)
    hand.until(lambda _: hand.lead() == "70")
    hand.draw(0, 60)
    hand.browser.execute_async_script("setTimeout(arguments[0], 0, true)")
    assert hand.lead() == "70"
    # At rest a finer answer is asked for, once, and of what was moved last.
    hand.until(lambda _: len(hand.asked()) == 3)
    assert hand.asked()[2] == "0.7"
    assert hand.browser.execute_script("return held[2].asked.fine")


PATCH = """
const done = arguments[arguments.length - 1];
const [before, after] = arguments;
const script = document.querySelector("script[src*=whatif]").src;
import(script.replace("whatif.js", "whatif-patch.js")).then(({ patch }) => {
  const [root, fresh] = ["div", "div"].map((name) => document.createElement(name));
  root.innerHTML = before;
  const [first, strip] = [root.firstElementChild, root.querySelector("[data-strip]")];
  patch(root, after);
  fresh.innerHTML = after;
  const stays = root.firstElementChild === first;
  done([root.isEqualNode(fresh), stays, root.contains(strip) && strip !== null]);
});
"""
PLAIN = '<figure class="a"><svg viewBox="0 0 9 9"><path d="M0,0"/><text>1</text></svg></figure><p>x'
LIVE = PLAIN.replace('class="a"', 'class="a" data-strip="0"')


@needs_browser
def test_a_patched_picture_is_the_new_one(serve: Any, browser: Any) -> None:
    look(browser, f"{serve('stand-bottle').url}/forecast")
    for before, after, kept in (
        (PLAIN, PLAIN.replace("M0,0", "M1,1").replace("1</text>", "2</text>"), True),
        (PLAIN, PLAIN.replace('class="a"', 'id="b" title="c"'), True),
        (PLAIN, PLAIN.replace("<text>1</text>", "<g><text>1</text></g><path/>"), True),
        (PLAIN, "<p>y</p>", False),
        (PLAIN, "", False),
        (PLAIN, LIVE, False),  # a figure with a life of its own is put in whole
        (LIVE, PLAIN, False),
    ):
        same, stays, strip_stays = browser.execute_async_script(PATCH, before, after)
        assert same, after
        assert stays == kept, after
        assert not strip_stays
