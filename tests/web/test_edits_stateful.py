"""Two pages, commands and an editor change the same documents in any order; no edit is lost.

What stands in the documents is known after every step: an edit that was answered with yes is in
them until another is made over it on purpose or it is taken back on purpose; one that was not is
shown as a conflict, and has changed nothing.
"""

from __future__ import annotations

import copy
import re
import shutil
import tempfile
import tomllib
from hashlib import sha256
from html import unescape
from pathlib import Path
from typing import Any

from hypothesis import event, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from web.asking import Answer, ask
from web.serving import copied

from loftwright.cli.main import BAD_INPUT
from loftwright.cli.main import ask as command
from loftwright.documents.edit import with_values
from loftwright.web.app import create_app
from loftwright.web.config import Config

TOKEN = "t" * 43
INPUT = re.compile(r'<(?:input|select|textarea)[^>]*name="(f:[^"]+)"[^>]*data-was="([^"]*)"')
HIDDEN = re.compile(r'type="hidden" name="([^"]+)" value="([^"]*)"')
# By document: fields, and values that each may have.
FIELDS = {
    "vehicle": {
        "name": ["Reed", "Rush", "Sedge <1>"],
        "fill.water_volume": ["0.8 L", "0.9 L ± 0.01 L", "1.1 L"],
        "fill.gauge_pressure": ["35 psi", "2.5 bar"],
    },
    "campaign": {"name": ["Here", "There \u00b1"], "question": ["How high?", "How far?"]},
}
EVERY = [(doc, field) for doc, own in FIELDS.items() for field in own]
CHANGES = st.sampled_from(
    [(doc, field, text) for doc, field in EVERY for text in FIELDS[doc][field]]
)
PAGES = st.sampled_from(["one", "other"])


def put(data: dict[str, Any], field: str, text: str) -> dict[str, Any]:
    """Return parsed data with one field another."""
    made = copy.deepcopy(data)
    *tables, last = field.split(".")
    at = made
    for table in tables:
        at = at[table]
    at[last] = text
    return made


def at(data: dict[str, Any], field: str) -> str:
    for part in field.split("."):
        data = data[part]
    return str(data)


class Edits(RuleBasedStateMachine):
    """A campaign that many hands change."""

    @initialize()
    def begin(self) -> None:
        self.scratch = Path(tempfile.mkdtemp())
        self.home = copied("stand-bottle", self.scratch / "bottle")
        self.app = create_app(self.home, Config(port=8765, token=TOKEN))
        self.known = {doc: self.content(doc) for doc in FIELDS}
        self.made: list[tuple[str, bytes, bytes]] = []  # what undo would take back, the last first
        self.undone: list[tuple[str, bytes, bytes]] = []
        self.forms: dict[tuple[str, str], dict[str, str]] = {}
        self.texts: dict[tuple[str, str], tuple[str, str]] = {}
        self.seen: dict[str, tuple[str, tuple[str, bytes, bytes] | None]] = {}
        self.count = 0
        for page in ("one", "other"):
            for doc in FIELDS:
                self.open_form(page, doc)
                self.open_text(page, doc)

    def teardown(self) -> None:
        self.app.state.bench.close()
        shutil.rmtree(self.scratch)

    # ---------------------------------------------------------------- looking

    def content(self, doc: str) -> bytes:
        return (self.home / f"{doc}.toml").read_bytes()

    def data(self, doc: str) -> dict[str, Any]:
        return tomllib.loads(self.known[doc].decode("utf-8"))

    def get(self, path: str) -> str:
        answer = ask(self.app, "GET", path)
        assert answer.status == 200, (answer.status, answer.text)
        return answer.text

    def post(self, path: str, fields: list[tuple[str, str]]) -> Answer:
        from urllib.parse import urlencode

        body = urlencode([("token", TOKEN), *fields]).encode()
        kind = {"content-type": "application/x-www-form-urlencoded"}
        length = {"content-length": str(len(body))}
        return ask(self.app, "POST", path, kind | length, body)

    def came(self, doc: str, field: str, text: str) -> None:
        """Note a change through Loftwright, which is held to be that one and no other."""
        before, now = self.known[doc], self.content(doc)
        assert tomllib.loads(now.decode("utf-8")) == put(self.data(doc), field, text)
        self.known[doc] = now
        if now != before:
            self.made.append((doc, before, now))
            self.undone.clear()

    @invariant()
    def nothing_else_has_changed(self) -> None:
        if hasattr(self, "known"):
            assert {doc: self.content(doc) for doc in FIELDS} == self.known

    # ---------------------------------------------------------------- forms

    @rule(page=PAGES, doc=st.sampled_from(list(FIELDS)))
    def open_form(self, page: str, doc: str) -> None:
        text = self.get(f"/describe/{doc}")
        fields = {name: unescape(said) for name, said in INPUT.findall(text)}
        for field in FIELDS[doc]:
            assert fields[f"f:{field}"] == at(self.data(doc), field)
        (based_on,) = re.findall(r'name="based_on" value="(\w+)"', text)
        self.forms[page, doc] = fields | {"based_on": based_on}

    @rule(page=PAGES, change=CHANGES, pick=st.sampled_from(["yours", "theirs", "leave"]))
    def save_form(self, page: str, change: tuple[str, str, str], pick: str) -> None:
        doc, field, text = change
        form = self.forms[page, doc]
        was, now = form[f"f:{field}"], at(self.data(doc), field)
        answer = self.post(f"/describe/{doc}", list((form | {f"f:{field}": text}).items()))
        if text == was:
            assert "nothing had to be written" in self.get(answer.headers["location"])
        elif now in (was, text):
            assert answer.status == 303, answer.text
            self.came(doc, field, text)
        else:
            self.decide(doc, field, text, answer, pick)
        if answer.status == 303 or pick != "leave":
            self.open_form(page, doc)  # where the browser is led to

    def decide(self, doc: str, field: str, text: str, answer: Answer, pick: str) -> None:
        """Hold a conflict to show both, and decide it."""
        event(f"conflict, {pick}")
        said = unescape(answer.text)
        assert answer.status == 409
        assert text in said
        assert at(self.data(doc), field) in said
        self.nothing_else_has_changed()
        if pick == "leave":
            return
        fields = {name: unescape(value) for name, value in HIDDEN.findall(answer.text)}
        del fields["token"]
        decided = self.post(f"/describe/{doc}", [*fields.items(), (f"pick:{field}", pick)])
        assert decided.status == 303, decided.text
        if pick == "yours":
            self.came(doc, field, text)

    # ---------------------------------------------------------------- texts

    @rule(page=PAGES, doc=st.sampled_from(list(FIELDS)))
    def open_text(self, page: str, doc: str) -> None:
        (based_on,) = re.findall(
            r'name="based_on" value="(\w+)"', self.get(f"/describe/{doc}/text")
        )
        assert based_on == sha256(self.known[doc]).hexdigest()
        self.texts[page, doc] = based_on, self.known[doc].decode("utf-8")

    @rule(page=PAGES, change=CHANGES)
    def save_text(self, page: str, change: tuple[str, str, str]) -> None:
        doc, field, text = change
        based_on, old = self.texts[page, doc]
        mine = with_values(old, {field: text})
        answer = self.post(f"/describe/{doc}/text", [("based_on", based_on), ("text", mine)])
        if old.encode("utf-8") == self.known[doc]:
            assert answer.status == 303, answer.text
            self.came(doc, field, text)
            self.open_text(page, doc)
        elif mine.encode("utf-8") != self.known[doc]:
            event("two texts")
            assert answer.status == 409
            assert "neither edit is lost" in answer.text

    # ---------------------------------------------------------------- others

    @rule(page=PAGES, change=CHANGES)
    def write_what_if(self, page: str, change: tuple[str, str, str]) -> None:
        doc, field, text = change
        form = self.forms[page, doc]
        if not field.startswith("fill."):  # sliders are quantities
            return
        fields = [("set", f"{doc}.{field}={text}"), ("based_on", f"{doc}.toml={form['based_on']}")]
        answer = self.post("/forecast/write", fields)
        if at(self.data(doc), field) in (form[f"f:{field}"], text):
            assert answer.status == 303, answer.text
            self.came(doc, field, text)
        else:
            event("a what-if comes too late")
            assert answer.status == 409
            assert text in unescape(answer.text)

    @rule(change=CHANGES)
    def set_by_command(self, change: tuple[str, str, str]) -> None:
        doc, field, text = change
        code, answer = command(["set", str(self.home), f"{doc}.{field}={text}", "--json"])
        assert code == 0, answer
        self.came(doc, field, text)

    @rule(change=CHANGES)
    def edit_by_hand(self, change: tuple[str, str, str]) -> None:
        doc, field, text = change
        self.count += 1
        made = with_values(self.known[doc].decode("utf-8"), {field: text})
        self.known[doc] = f"{made}\n# by hand, {self.count}\n".encode()
        (self.home / f"{doc}.toml").write_bytes(self.known[doc])

    # ---------------------------------------------------------------- back and forth

    def moved(self, *, again: bool) -> None:
        """Hold what was taken back, or made again, to be the last change and nothing else."""
        doc, before, after = (self.undone if again else self.made).pop()
        assert self.known[doc] == (before if again else after)
        self.known[doc] = after if again else before
        self.nothing_else_has_changed()
        (self.made if again else self.undone).append((doc, before, after))

    def may_move(self, *, again: bool) -> bool:
        stack = self.undone if again else self.made
        return bool(stack) and self.known[stack[-1][0]] == stack[-1][1 if again else 2]

    @rule(again=st.booleans())
    def step_by_command(self, again: bool) -> None:
        code, answer = command(["undo", str(self.home), *["--redo"][: int(again)], "--json"])
        assert code == (0 if self.may_move(again=again) else BAD_INPUT), answer
        event(f"{'redo' if again else 'undo'}, {'done' if code == 0 else 'refused'}")
        if code == 0:
            self.moved(again=again)

    @rule(page=PAGES)
    def look_at_the_last_change(self, page: str) -> None:
        found = re.findall(r'name="change" value="(\w+)"><button>Undo', self.get("/describe"))
        assert bool(found) is self.may_move(again=False)
        if found:
            self.seen[page] = found[0], self.made[-1]

    @precondition(lambda self: getattr(self, "seen", None))
    @rule(page=PAGES)
    def take_back_what_was_seen(self, page: str) -> None:
        key, change = self.seen.pop(page, ("", None))
        if not key:
            return
        answer = self.post("/describe/undo", [("change", key)])
        assert answer.status == (303 if self.may_move(again=False) and self.made[-1] is change
                                 else 409), answer.text  # fmt: skip
        event(f"undo that was seen, {'done' if answer.status == 303 else 'refused'}")
        if answer.status == 303:
            self.moved(again=False)


Edits.TestCase.settings = settings(max_examples=30, stateful_step_count=30, deadline=None)
TestEdits = Edits.TestCase
