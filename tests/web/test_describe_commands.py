"""What a form shows as a command does to the documents what saving the form does."""

from __future__ import annotations

import shlex
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from web.serving import copied

from loftwright.cli.main import BAD_INPUT, ask
from loftwright.documents.change import change
from loftwright.documents.named import documents_named
from loftwright.errors import ProblemError
from loftwright.web.describe.asked import Asked
from loftwright.web.describe.commands import deciding_command, editing_command, example_command
from loftwright.web.describe.draft import Draft, edit_of
from loftwright.web.describe.form import addable, sections

ODD = ["--remove", "a=b", 'it\'s "so"', "eins\nzwei", "3 m ± 1 m", "0.8", "-1", "true", "[]", "ä €"]
ROOTS = ("campaign", "vehicle", "payload", "avionics", "site")


def asked_in(home: Path, root: str) -> Asked:
    named = documents_named(home)[root]
    bench: Any = SimpleNamespace(home=home)
    return Asked(bench, named, root, (home / named.file).read_bytes())


def some(of: list[Any], most: int) -> st.SearchStrategy[list[Any]]:
    return st.lists(st.sampled_from(of), max_size=most, unique_by=id) if of else st.just([])


@st.composite
def drafts(draw, home: Path, root: str) -> Draft:
    """Draw edits of a form: fields typed, emptied, tables added and left out."""
    asked = asked_in(home, root)
    draft, model = Draft(asked.digest), asked.named.model
    for each in draw(some(addable(model, asked.now, draft), 2)):
        draft = draft.with_table(each.path)
    made = sections(model, asked.now, draft)
    for path in draw(some([each.path for each in made if each.removable], 2)):
        draft = draft.without(path)
    fields = [field for each in sections(model, asked.now, draft) for field in each.fields]
    values = {}
    for field in draw(some(fields, 6)):
        choices = [field.was, field.example, *(choice for choice, _ in field.choices), "", *ODD]
        values[field.path] = draw(st.sampled_from(choices))
    return Draft(draft.based_on, values, draft.added, draft.gone)


def saved(asked: Asked, draft: Draft) -> bool:
    """Save a draft as the page does; False where it is refused."""
    edit = edit_of(draft, asked.now, asked.named.model)
    file = asked.named.file
    try:
        assert change(asked.bench.home, {file: edit}, {file: asked.named.model}).conflicts == ()
    except ProblemError:
        return False
    return True


def done(command: str) -> bool:
    """Run a command; False where it is refused in words."""
    code, answer = ask([*shlex.split(command)[1:], "--json"])
    assert code in (0, BAD_INPUT), answer
    return code == 0


def documents(home: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in home.glob("*.toml")}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_the_command_changes_what_the_form_does(tmp_path_factory, data) -> None:
    folder = tmp_path_factory.mktemp("two")
    page, terminal = (copied("sedge-lift", folder / name) for name in ("page", "terminal"))
    root = data.draw(st.sampled_from(ROOTS))
    draft = data.draw(drafts(page, root))
    asked = asked_in(terminal, root)
    edit = edit_of(draft, asked.now, asked.named.model)
    command = editing_command(asked, edit)
    is_saved = saved(asked_in(page, root), draft)
    if command is None:
        assert is_saved
    else:
        assert done(command) is is_saved
    assert documents(page) == documents(terminal)


@pytest.mark.parametrize("text", ODD)
@pytest.mark.parametrize("path", ["name", "fill.water_volume", "tube.length"])
def test_whatever_is_typed_is_the_same_by_command(tmp_path: Path, path: str, text: str) -> None:
    page, terminal = (copied("sedge-lift", tmp_path / name) for name in ("page", "terminal"))
    draft = Draft(values={path: text})
    asked = asked_in(terminal, "vehicle")
    command = editing_command(asked, edit_of(draft, asked.now, asked.named.model))
    assert command is not None
    assert done(command) is saved(asked_in(page, "vehicle"), draft)
    assert documents(page) == documents(terminal)


@pytest.mark.parametrize("root", ROOTS)
def test_the_example_sets_what_stands_there(tmp_path: Path, root: str) -> None:
    home = copied("sedge-lift", tmp_path / "lift")
    before, asked = documents(home), asked_in(home, root)
    assert done(example_command(asked, sections(asked.named.model, asked.now, Draft())))
    assert documents(home) == before


def test_a_decision_is_made_by_its_command(tmp_path: Path) -> None:
    home = copied("sedge-lift", tmp_path / "lift")
    opened = asked_in(home, "vehicle")
    opened.read()
    values = {"name": "Mine -x 'y'", "fill.water_volume": "0.7 L"}
    edit = edit_of(Draft(opened.digest, values), opened.now, opened.named.model)
    water = "vehicle.fill.water_volume=0.9 L"
    assert done(shlex.join(["loftwright", "set", str(home), "vehicle.name=Theirs", water]))
    models = {"vehicle.toml": opened.named.model}
    clash = change(home, {"vehicle.toml": edit}, models)
    assert {each.path for each in clash.conflicts} == set(values)
    asked = asked_in(home, "vehicle")
    assert done(shlex.join(deciding_command(asked, clash.conflicts)))
    now = asked_in(home, "vehicle").now.decode("utf-8")
    assert "Mine -x 'y'" in now
    assert '"0.7 L"' in now
    # It is of what stood there when it was shown, and of nothing later.
    assert done(shlex.join(["loftwright", "set", str(home), "vehicle.name=Later"]))
    assert not done(shlex.join(deciding_command(asked, clash.conflicts)))
