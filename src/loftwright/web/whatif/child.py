"""The process that keeps the engine loaded: ``python -m loftwright.web.whatif.child DIR``.

It reads questions from standard input and writes answers to standard output, a JSON object a line.
Of the questions of one page the newest wins: an older one that waits is answered ``stale`` at once,
and one that is being flown finer is broken off. It ends when standard input does.

A question::

    {"id": 7, "who": "page", "values": {"vehicle.fill.water_volume": "0.8 L"}, "programs": false,
     "pinned": null, "against": "baseline", "width": "wide", "fine": false}

Its answer has the same ``id``, and ``html`` (with ``flights``, ``ms`` and, as ``of``, a digest of
the documents), ``problems`` or ``stale``. Before a quick one, ``flown`` tells that it is only drawn
any more: the next question, if it is there by then, is flown at once. A fault is answered as
``fault`` and ends nothing.
``{"who": "page", "hush": true}`` lets be what that page has asked. Called with ``beside`` after
DIR, the process lets others come first.
"""

from __future__ import annotations

import gc
import json
import os
import sys
import threading
import time
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loftwright.web.whatif.answering import Answering

__all__ = ["Waiting", "main"]

NICE = 10


class Waiting:
    """Questions that wait, the newest of each page; one thread reads them, another answers."""

    def __init__(self) -> None:
        self._there = threading.Condition()
        self._questions: dict[str, dict[str, Any]] = {}
        self._taken = ""  # the page whose question is being answered
        self._hushed = False
        self._ended = False

    def put(self, question: dict[str, Any]) -> dict[str, Any] | None:
        """Add a question; return the one of the same page that it stands in for."""
        with self._there:
            old = self._questions.pop(question["who"], None)
            self._questions[question["who"]] = question
            self._there.notify()
            return old

    def hush(self, who: str) -> dict[str, Any] | None:
        """Let be what a page has asked; return its question where that was still waiting."""
        with self._there:
            self._hushed = self._hushed or who == self._taken
            return self._questions.pop(who, None)

    def put_back(self, question: dict[str, Any]) -> bool:
        """Let a question wait again; False where its page has moved on, or nobody listens."""
        with self._there:
            if question["who"] in self._questions or self._hushed or self._ended:
                return False
            self._questions[question["who"]] = question
            return True

    def take(self) -> dict[str, Any] | None:
        """Wait for the next question, quick ones first; None when there will be no more."""
        with self._there:
            self._there.wait_for(lambda: self._questions or self._ended)
            if not self._questions:
                return None
            who = min(self._questions, key=lambda name: self._questions[name]["fine"])
            self._taken, self._hushed = who, False
            return self._questions.pop(who)

    def quiet(self) -> bool:
        """Tell whether what was taken may go on: no hand waits, and its own page has not moved on.

        A finer question of another page waits its turn, or two would break each other off for ever.
        """
        with self._there:
            hands = (not each["fine"] for each in self._questions.values())
            gone = self._taken in self._questions or self._hushed or self._ended
            return not gone and not any(hands)

    def waits(self) -> bool:
        """Tell whether there is a question that nobody has taken."""
        with self._there:
            return bool(self._questions)

    def end(self) -> None:
        """Say that there will be no more questions."""
        with self._there:
            self._ended = True
            self._questions.clear()
            self._there.notify()


def main(home: Path, asked: IO[str], said: IO[str]) -> None:
    """Answer questions about the campaign in ``home`` until there are no more."""
    writing = threading.Lock()

    def say(answer: dict[str, Any]) -> None:
        with writing:
            said.write(json.dumps(answer) + "\n")
            said.flush()

    waiting = Waiting()
    threading.Thread(target=_listen, args=(asked, waiting, say), daemon=True).start()
    from loftwright.web.whatif.answering import Answering

    answering = Answering(home)
    ready = answering.warm()
    # What is loaded stays: to look through it for garbage would hold up an answer now and then.
    gc.collect()
    gc.freeze()
    say({"ready": ready})
    while (question := waiting.take()) is not None:
        say_what = _answer(answering, question, waiting, say)
        if say_what is not None:
            say(say_what)


def _listen(asked: IO[str], waiting: Waiting, say: Any) -> None:
    for line in asked:
        said = json.loads(line)
        old = waiting.hush(said["who"]) if said.get("hush") else waiting.put(said)
        if old is not None:
            say({"id": old["id"], "stale": True})
    waiting.end()


def _answer(
    answering: Answering, question: dict[str, Any], waiting: Waiting, say: Any
) -> dict[str, Any] | None:
    """Answer a question; None where it was broken off for another page, and waits again."""
    from loftwright.errors import ProblemError, as_dict

    begin = time.perf_counter()
    own = {"id": question["id"]}
    try:
        found = answering.answer(question, waiting.quiet, lambda: say(own | {"flown": True}))
    except ProblemError as error:
        return own | {"problems": [as_dict(problem) for problem in error.problems]}
    except Exception as error:  # the process goes on, and the page says what has happened
        import traceback

        traceback.print_exc()
        return own | {"fault": f"{type(error).__name__}: {error}"}
    if found is None:
        return None if waiting.put_back(question) else own | {"stale": True}
    return own | found | {"ms": round(1e3 * (time.perf_counter() - begin), 1)}


if __name__ == "__main__":
    # What anything prints must not stand among the answers.
    answers, sys.stdout = sys.stdout, sys.stderr
    if sys.argv[2:] == ["beside"] and hasattr(os, "nice"):
        os.nice(NICE)
    main(Path(sys.argv[1]), sys.stdin, answers)
