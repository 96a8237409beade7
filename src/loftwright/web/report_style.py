"""The style sheet of reports, as the workbench uses it: one look for both."""

from __future__ import annotations

from loftwright.report.theme import DARK, LIGHT, css_variables

__all__ = ["report_style"]

SHEETS = ("style.css.j2", "rehearse.css.j2", "flight.css.j2")


def report_style() -> str:
    """Return the style sheets of all reports in one."""
    from loftwright.report.styles import sheet

    colours = {"light": css_variables(LIGHT), "dark": css_variables(DARK)}
    return "\n".join(sheet(name, colours) for name in SHEETS)
