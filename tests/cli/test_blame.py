"""Problems of a changed campaign name the setting that brought them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.cli.blame import Blame
from loftwright.errors import Problem, Where

NAMES = {"campaign": "campaign.toml", "vehicle": "vehicle.toml", "site": "site.toml"}
VOLUME = "vehicle.vessel.0.volume=1 L"
WIND = "site.wind.speed=9 m/s"


def problem(file, field, code="made-up"):
    return Problem(code, "something is off", Where(file=file, line=3, column=1, field=field), "do")


@pytest.mark.parametrize(
    ("field", "settings", "value"),
    [
        ("vessel.0.volume", [WIND, VOLUME], VOLUME),
        ("vessel.0", [WIND, VOLUME], VOLUME),
        ("vessel.0.volume.deep", [WIND, VOLUME], VOLUME),
        ("vessel.01", [WIND, VOLUME], f"{WIND} {VOLUME}"),
        ("fill.water_volume", [VOLUME], VOLUME),
    ],
)
def test_the_setting_of_the_field_is_named_or_else_all(demo, field, settings, value):
    (placed,) = Blame(demo, settings, NAMES).placed([problem("vehicle.toml", field)])
    assert placed.where == Where(field="--set", value=value)
    if len(settings) > 1 and placed.where.value == VOLUME:
        assert placed.message == "something is off"
    else:
        assert "something is off" in placed.message


def test_what_no_setting_names_says_which_field_it_is_about(demo):
    (placed,) = Blame(demo, [WIND], NAMES).placed([problem("vehicle.toml", "fill.water_volume")])
    assert placed.message == "vehicle.toml fill.water_volume: something is off"


def test_what_is_told_without_settings_stays(demo):
    vehicle = demo / "vehicle.toml"
    vehicle.write_text(f"what = 1\n{vehicle.read_text(encoding='utf-8')}", encoding="utf-8")
    found = problem("vehicle.toml", "what", "doc-unknown-field")
    assert Blame(demo, [WIND], NAMES).placed([found]) == (found,)


@given(st.text(), st.text(), st.sampled_from(sorted(NAMES.values())))
def test_every_problem_keeps_its_code_and_severity(tmp_path_factory, setting, field, file):
    blame = Blame(tmp_path_factory.getbasetemp() / "none", [setting], NAMES)
    given_ = problem(file, field)
    (placed,) = blame.placed([given_])
    assert (placed.code, placed.severity) == (given_.code, given_.severity)
    assert given_.message in placed.message
