"""Signs that UTF-8 has not, in names of folders and in JSON: shown escaped, never a fault."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest
from web.asking import ask
from web.serving import copied

from loftwright.web.app import create_app
from loftwright.web.config import Config
from loftwright.web.encoded import PlainJSON

HERE = [("Host", "127.0.0.1:8042"), ("Accept", "text/html")]
HALF = "\ud83d"  # the first half of a sign, as JSON may have it (RFC 8259, 8.2)


@pytest.fixture
def app(tmp_path: Path):
    return create_app(tmp_path, Config(port=8042, token="right"))


@pytest.mark.skipif(sys.platform != "linux", reason="names of others are text")
def test_a_folder_whose_name_is_no_text_has_its_pages(tmp_path: Path) -> None:
    home = copied("sedge-lift-flown", tmp_path / os.fsdecode(b"a\xff"))
    app = create_app(home, Config(port=8042, token="right"))
    for path in ("/", "/describe", "/ledger", "/phone", "/work", "/rehearse", "/api/check"):
        said = ask(app, "GET", path, HERE)
        assert said.status == 200, path
    assert "a\\udcff" in ask(app, "GET", "/phone", HERE).text


@pytest.mark.parametrize(
    "asked",
    [{"who": HALF}, {"against": HALF}, {"values": {HALF: "1 L"}}, {"values": {"a": HALF}},
     {"pinned": {HALF: HALF}}],
)  # fmt: skip
def test_half_a_sign_is_no_question(app, asked) -> None:
    kind = [("Content-Type", "application/json"), ("X-Loftwright-Token", "right")]
    body = json.dumps(asked).encode()
    said = ask(app, "POST", "/forecast/whatif", [*HERE, *kind], body)
    assert said.status == 400
    assert json.loads(said.body)["problems"][0]["code"] == "whatif-question"


def test_json_says_what_it_was_given() -> None:
    given = {"a": f"½ {HALF}", "b": [1.5, None]}
    assert json.loads(PlainJSON(given).body) == given
