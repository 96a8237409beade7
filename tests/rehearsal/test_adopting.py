"""What was tried and is written into the documents is what was flown."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from flight.campaigns import EXAMPLES, example
from hypothesis import given
from hypothesis import strategies as st
from rehearsal.loops import MENDED, plan_for

from loftwright.documents import read_campaign
from loftwright.documents.history import undo
from loftwright.errors import ProblemError
from loftwright.program.assemble import assemble
from loftwright.rehearsal.adopting import adopt
from loftwright.rehearsal.failure_table import case_of
from loftwright.rehearsal.knobs import knobs_of, turned, writings_of
from loftwright.rehearsal.mending import timings
from loftwright.rehearsal.mends import proposals
from loftwright.rehearsal.results import Writing
from loftwright.rehearsal.run import Trial
from loftwright.rehearsal.trials import count_trials


@pytest.fixture
def home(tmp_path) -> Path:
    return Path(shutil.copytree(EXAMPLES / MENDED, tmp_path / "lift"))


@pytest.fixture(scope="module")
def proposed():
    """Every change that the library knows, for faults of each group."""
    plan = plan_for(MENDED)
    (tally,) = count_trials(plan, [Trial()], 2)
    groups = {"battery flat: cell": "supply", "sensor frozen: baro": "sensing",
              "leak into the bay in flight: nose bay": "bay"}  # fmt: skip
    weak = [
        case_of([name], "", 0.1, name.rpartition(": ")[2], tally, 0.1) for name in groups
    ]  # fmt: skip
    return list(proposals(plan.campaign, weak, groups, timings(plan)))


def told(error) -> list[str]:
    return [problem.code for problem in error.value.problems]


def test_the_library_has_a_change_of_each_kind(proposed):
    assert [each.words.split()[0] for each in proposed] == ["a", "windows", "vents"]


@pytest.mark.parametrize("number", range(3))
def test_what_is_written_is_what_was_flown(home, proposed, number):
    before = {each.name: each.read_bytes() for each in home.glob("*.toml")}
    mend = proposed[number]
    adopt(home, mend.writings, mend.words, read_campaign(home).hashes)
    found, wanted = read_campaign(home), mend.campaign
    assert found.avionics == wanted.avionics or number == 2  # vents are written to 0.1 mm
    assert {name: assemble(each) for name, each in found.programs.items()} == {
        name: assemble(each) for name, each in wanted.programs.items()
    }
    if number == 2:
        wide, shown = (c.avionics.bay[0].vent_diameter.value for c in (wanted, found))
        assert shown == pytest.approx(wide, abs=0.05e-3)
    # Nothing but what is added was touched, and all of it can be taken back.
    for writing in mend.writings:
        if not writing.is_new and not writing.values:
            assert (home / writing.file).read_bytes().startswith(before[writing.file])
    assert undo(home).what == mend.words
    assert {each.name: each.read_bytes() for each in home.glob("*.toml")} == before


def test_nothing_is_written_over_what_somebody_changed(home, proposed):
    based_on = read_campaign(home).hashes
    for file, mend in (("avionics.toml", proposed[0]), ("program-board.toml", proposed[1])):
        text = (home / file).read_text(encoding="utf-8")
        (home / file).write_text(f"{text}# mine\n", encoding="utf-8")
        with pytest.raises(ProblemError) as caught:
            adopt(home, mend.writings, mend.words, based_on)
        assert told(caught) == ["adopt-changed-since"]
        assert (home / file).read_text(encoding="utf-8") == f"{text}# mine\n"
        assert not (home / "program-timer.toml").exists()


def test_a_new_file_never_takes_the_place_of_another(home, proposed):
    (home / "program-timer.toml").write_text("mine", encoding="utf-8")
    with pytest.raises(ProblemError) as caught:
        adopt(home, proposed[0].writings, "timer", read_campaign(home).hashes)
    assert told(caught) == ["adopt-changed-since"]
    assert (home / "program-timer.toml").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    "writing",
    [
        Writing("../x.toml", added="a = 1", is_new=True),
        Writing("/x.toml", added="a = 1", is_new=True),
        Writing("a\\x.toml", added="a = 1", is_new=True),
        Writing(".x.toml", added="a = 1", is_new=True),
        Writing("x.sh", added="a = 1", is_new=True),
        Writing("../vehicle.toml", {"name": "x"}),
        Writing("none.toml", {"name": "x"}),
    ],
)
def test_nothing_outside_the_documents_is_written(home, writing):
    before = sorted(home.parent.rglob("*"))
    with pytest.raises(ProblemError) as caught:
        adopt(home, [writing], "x", {**read_campaign(home).hashes, writing.file: ""})
    assert told(caught) == ["adopt-refused"]
    assert [each for each in sorted(home.parent.rglob("*")) if ".loftwright" not in each.parts] == [
        each for each in before if ".loftwright" not in each.parts
    ]  # fmt: skip


def test_what_would_not_read_is_not_written(home):
    text = (home / "avionics.toml").read_bytes()
    wrong = Writing("avionics.toml", {"bay.0.vent_diameter": "three"})
    with pytest.raises(ProblemError):
        adopt(home, [wrong], "x", read_campaign(home).hashes)
    assert (home / "avionics.toml").read_bytes() == text
    with pytest.raises(ProblemError) as caught:
        adopt(home, [], "x", read_campaign(home).hashes)
    assert told(caught) == ["adopt-nothing"]


KNOBS = list(knobs_of(example(MENDED).programs))


@given(st.lists(st.sampled_from(KNOBS), min_size=1, max_size=4, unique=True), st.floats(0.8, 1.25))
def test_knobs_are_written_as_they_are_turned(tmp_path_factory, some, times):
    home = Path(
        shutil.copytree(EXAMPLES / MENDED, tmp_path_factory.mktemp("lift") / "l")
    )  # fmt: skip
    campaign = read_campaign(home)
    values = {knob: knob.now * times for knob in some}
    writings = writings_of(campaign, values)
    try:
        adopt(home, writings, "turned", campaign.hashes)
    except ProblemError as error:
        # Some values are out of the bounds of their field; they are refused by its reader.
        if any(each.code.startswith("adopt-") for each in error.problems):
            raise
        return
    found = {knob.path: knob.now for knob in knobs_of(read_campaign(home).programs)}
    wanted = {knob.path: knob.now for knob in knobs_of(turned(campaign.programs, values))}
    for path, value in wanted.items():
        assert found[path] == pytest.approx(value, rel=1e-3), path
