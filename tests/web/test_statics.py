"""What others wrote is what was taken in, with its licence."""

from __future__ import annotations

import base64
import hashlib

import pytest

from loftwright.web.statics import FOLDER, VENDORED, vendored


@pytest.mark.parametrize("name", VENDORED)
def test_a_vendored_script_is_the_one_that_was_taken_in(name: str) -> None:
    content = (FOLDER / name).read_bytes()
    digest = "sha384-" + base64.b64encode(hashlib.sha384(content).digest()).decode()
    assert VENDORED[name] == digest
    assert f'integrity="{digest}"' in vendored(name)


def test_every_vendored_script_is_named_and_has_its_licence() -> None:
    scripts = {f"vendor/{path.name}" for path in (FOLDER / "vendor").glob("*.js")}
    assert scripts == set(VENDORED)
    for name in scripts:
        project = name.removeprefix("vendor/").partition("-")[0]
        licences = list((FOLDER / "vendor").glob(f"{project}*LICEN[CS]E*"))
        assert licences, project
        assert all(path.read_text(encoding="utf-8").strip() for path in licences)
