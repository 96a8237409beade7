"""The terminal's answers: plain when not on a screen, nothing heavy for a check."""

from __future__ import annotations

import io
import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import synthetic

from loftwright.report.cautions import CAUTIONS, SHORT, cautions_text
from loftwright.report.terminal import (
    print_check,
    print_firing,
    print_forecast,
    print_text,
    sparkline,
)


class Screen(io.StringIO):
    """A stream that says it is a terminal."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


class Ascii(io.StringIO):
    encoding = "ascii"


def test_a_check_prints_warnings_first_then_figures_then_caution() -> None:
    out = io.StringIO()
    print_check(synthetic.campaign(), synthetic.check(), out)
    text = out.getvalue()
    order = ["Tern 3", "! stability", "mend:", "explain check-stability", "liftoff mass", SHORT]
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert "\x1b" not in text


def test_a_check_is_quiet_when_all_is_well() -> None:
    out = io.StringIO()
    print_check(synthetic.campaign(), synthetic.check() | {"warnings": []}, out)
    assert "!" not in out.getvalue()


def test_colour_on_a_screen_but_not_against_the_users_wish(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    screen = Screen()
    print_check(synthetic.campaign(), synthetic.check(), screen)
    assert "\x1b[" in screen.getvalue()
    monkeypatch.setenv("NO_COLOR", "1")
    plain = Screen()
    print_check(synthetic.campaign(), synthetic.check(), plain)
    assert "\x1b[" not in plain.getvalue()


def test_a_name_cannot_drive_the_terminal() -> None:
    out = Screen()
    print_check(synthetic.campaign(), synthetic.check() | {
        "warnings": [{"code": "c", "message": "bad \x1b[2J\x07 news", "where": None, "mend": ""}]
    }, out)  # fmt: skip
    assert "\x1b[2J" not in out.getvalue()
    assert "\x07" not in out.getvalue()


def test_text_to_be_copied_is_folded_only_by_a_narrow_screen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    text = 'a = "1 m"\n\n[[b]]   # a comment that goes on beyond the screen\x1b\n'
    copied, screen = io.StringIO(), Screen()
    print_text(text, copied)
    assert copied.getvalue() == (
        '  a = "1 m"\n\n  [[b]]   # a comment that goes on beyond the screen?\n'
    )
    print_text(text, screen)
    assert max(map(len, screen.getvalue().splitlines())) <= 40
    assert screen.getvalue().startswith('  a = "1 m"\n\n  [[b]]   # a comment')


@pytest.mark.parametrize("spread", [True, False])
def test_a_forecast_prints_answer_curve_and_table(spread: bool) -> None:
    ensemble = synthetic.ensemble(60)
    out = io.StringIO()
    chosen = ensemble if spread else None
    print_forecast(synthetic.campaign(), ensemble.nominal, chosen, synthetic.check(), out)
    text = out.getvalue()
    assert text.startswith("About 4")
    assert "█" in text
    assert ("95 %" in text) is spread
    assert "touchdown" in text
    assert "\x1b" not in text
    assert SHORT in text


def test_a_firing_prints_its_figures() -> None:
    out = io.StringIO()
    print_firing(synthetic.campaign("us"), synthetic.firing(), synthetic.records(), out)
    assert "lbf s" in out.getvalue()
    assert "3 records average" in out.getvalue()


def test_a_terminal_without_blocks_gets_words_only() -> None:
    out = Ascii()
    print_forecast(synthetic.campaign(), synthetic.flight(), stream=out)
    out.getvalue().encode("ascii")
    assert "greatest height" in out.getvalue()


@given(st.lists(st.floats(0, 1e6), max_size=300), st.integers(1, 80))
def test_a_sparkline_keeps_its_peak_and_its_width(values: list[float], width: int) -> None:
    line = sparkline(values, width)
    if any(v > 0 for v in values):
        assert len(line) == min(width, len(values))
        assert "█" in line
    else:
        assert line == ""


def test_a_sparkline_leaves_gaps_where_nothing_is_known() -> None:
    assert sparkline([math.nan, 8.0, math.nan, 4.0], 4) == " █ ▄"


def test_the_cautions_are_text() -> None:
    text = cautions_text(60)
    assert all(len(line) <= 60 for line in text.splitlines())
    assert text.count("\n- ") + 1 == len(CAUTIONS)


def test_a_check_loads_nothing_heavy() -> None:
    program = (
        "import sys; import loftwright.report.terminal, loftwright.report.cautions; "
        "from loftwright.report.terminal import print_check; import io; "
        "from types import SimpleNamespace as N; "
        "c = N(vehicle=N(name='v'), head=N(units='metric')); "
        "print_check(c, {'dry_mass_kg': 0.2, 'warnings': []}, io.StringIO()); "
        "print([m for m in ('numpy', 'scipy', 'numba', 'rich', 'jinja2') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, text=True
    )
    assert done.stdout.strip() == "[]"
