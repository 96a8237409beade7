"""Names of columns taken apart."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.evidence.labels import FORCE_UNITS, TIME_UNITS, known_words, read_label


@pytest.mark.parametrize(
    ("text", "name", "kind", "unit"),
    [
        ("Summed Load (lbf)", "Summed Load", "sum", "lbf"),
        ("Load Cell 2 [N]", "Load Cell 2", "force", "N"),
        ("Force, kgf", "Force", "force", "kgf"),
        ("thrust_n", "thrust_n", "force", None),
        ("Thrust_N", "Thrust", "force", "N"),
        ("Thrust N", "Thrust", "force", "N"),
        ("Time (ms)", "Time", "time", "ms"),
        ("Elapsed time/s", "Elapsed time", "time", "s"),
        ("t (s)", "t", "time", "s"),
        ("t", "t", "time", None),
        ("N", "N", "index", "N"),
        ("lbf", "lbf", "force", "lbf"),
        ("(lbf)", "lbf", "force", "lbf"),
        ("Sample", "Sample", "index", None),
        ("Chamber pressure (psi)", "Chamber pressure", "other", "psi"),
        ("Bridge (mV)", "Bridge", "other", "mV"),
        ("Total", "Total", "sum", None),
        ("Kraft {N}", "Kraft", "force", "N"),
        ("remarks", "remarks", "other", None),
    ],
)
def test_a_name_taken_apart(text: str, name: str, kind: str, unit: str | None) -> None:
    label = read_label(text)
    assert (label.name, label.kind, label.unit) == (name, kind, unit)


def test_case_is_folded_only_where_nothing_can_be_mistaken() -> None:
    assert read_label("Force (LBF)").unit == "lbf"
    assert read_label("Force (KGF)").unit == "kgf"
    # Not newtons, not meganewtons, not gauss.
    assert read_label("Force (n)").unit not in FORCE_UNITS
    assert read_label("Force (MN)").unit not in FORCE_UNITS
    assert read_label("Force (G)").unit not in FORCE_UNITS


def test_kind_and_unit_count_as_known_words() -> None:
    assert known_words("Force (N)") == 2
    assert known_words("Force") == 1
    assert known_words("Bench in the yard") == 0


@given(st.text(max_size=80))
def test_any_name_is_taken_apart(text: str) -> None:
    label = read_label(text)
    assert label.kind in {"time", "index", "force", "sum", "other"}


@pytest.mark.parametrize("units", [FORCE_UNITS, TIME_UNITS])
def test_every_unit_is_read_in_brackets(units: dict[str, float]) -> None:
    for unit in units:
        assert read_label(f"column ({unit})").unit == unit
