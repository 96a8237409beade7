"""What people write is shown as they wrote it, and never becomes a part of a page."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from importlib import resources

import pytest
from web.asking import ask
from web.every_page import FLIGHT, WORDS, page_paths
from web.serving import copied

from loftwright.cli import main
from loftwright.web.app import create_app
from loftwright.web.config import Config

MARK = "<b id=planted>'&amp; {{7*7}}"  # closes nothing that it has not opened
CLOSES = "\"'></textarea></script></title></svg><i id=planted>"
TEXTS = re.compile(r'^(name|question|asked|note) = "([^"]*)"', re.MULTILINE)
# Names that documents call each other by stay; all else that is text has markup in it.
FILES = ("campaign.toml", "vehicle.toml", "payload.toml", "counterweight.toml", "site.toml")
HERE = [("Host", "127.0.0.1:8042"), ("Accept", "text/html")]


class Elements(HTMLParser):
    """Collects every id, and what scripts and event handlers stand in a page."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.handlers: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.handlers += [f"{tag} {name}" for name, _ in attrs if name.startswith("on")]
        if tag == "style" or (tag == "script" and not dict(attrs).get("src")):
            self.handlers.append(tag)


@pytest.fixture(scope="module")
def app(tmp_path_factory):
    home = copied("sedge-lift-flown", tmp_path_factory.mktemp("escaping") / "home")
    planted = [home / file for file in FILES]
    planted += home.glob("flights/*/flight.toml")
    for path in planted:
        escaped = (MARK + CLOSES).replace("\\", "\\\\").replace('"', '\\"')
        text = path.read_text(encoding="utf-8")
        path.write_text(TEXTS.sub(rf'\1 = "\2 {escaped}"', text), encoding="utf-8")
    for words in (
        ["finding", MARK + CLOSES, "--flight", FLIGHT, "--unsettled", "--by", MARK],
        ["action", CLOSES + MARK, "--who", MARK, "--finding", "F1"],
        ["decision", MARK, "--why", CLOSES, "--by", CLOSES],
    ):
        assert main.run(["ledger", words[0], str(home), *words[1:]]) == 0
    return create_app(home, Config(port=8042, token="right"))


def paths():
    for path in page_paths():
        words = re.findall(r"\{(\w+)", path)
        if all(word in WORDS for word in words):
            yield re.sub(r"\{(\w+)[^}]*\}", lambda found: WORDS[found[1]], path)


@pytest.mark.parametrize("path", sorted(paths()))
def test_no_text_becomes_markup(app, path):
    answer = ask(app, "GET", path, HERE)
    page = answer.text
    assert answer.status in {200, 303, 404, 422}
    found = Elements()
    found.feed(page)
    assert "planted" not in found.ids
    assert found.handlers == []
    assert "&amp;amp; 49" not in page  # nor is it a template
    assert "<i id=planted>" not in page
    assert "<b id=planted>" not in page


def test_the_texts_are_there_all_the_same(app):
    shown = sum("id=planted" in ask(app, "GET", path, HERE).text for path in paths())
    assert shown >= 12


def test_addresses_and_searches_are_shown_as_text(app):
    word = "%3Cb%20id=planted%3E"
    for target in (f"/none/{word}", f"/ledger/{word}", f"/ledger?what={word}", f"/debrief/{word}"):
        found = Elements()
        found.feed(ask(app, "GET", target, HERE).text)
        assert "planted" not in found.ids


def test_every_form_that_changes_has_the_token_and_no_other() -> None:
    templates = resources.files("loftwright.web") / "templates"
    forms = [
        (template.name, form)
        for template in templates.iterdir()
        for form in re.findall(r"<form\b.*?</form>", template.read_text("utf-8"), re.DOTALL)
    ]
    assert len(forms) > 40
    for name, form in forms:
        posts = 'method="post"' in form.partition(">")[0]
        # The page for the code is seen by who has no token yet: the code stands for it.
        assert ("token_field" in form or name == "enter.html.j2") is posts, (name, form)
