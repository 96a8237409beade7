"""Text in tables that a spreadsheet may open: none of it is taken for a formula."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

__all__ = ["cell", "cells"]

# What begins a formula, or is passed over before one (OWASP, "CSV Injection").
_BEGINS = ("=", "+", "-", "@", "\t", "\r", "\n")
Value = TypeVar("Value")


def cell(value: Value) -> Value | str:
    """Return a value as it stands in a table that is written.

    Text that begins like a formula and is no number gets an apostrophe before it, by which
    spreadsheets know text; what is no text stays what it is.
    """
    if not isinstance(value, str) or not value.startswith(_BEGINS) or _is_number(value):
        return value
    return f"'{value}"


def cells(values: Iterable[Value]) -> list[Value | str]:
    """Return a row of a table, each value as `cell` does."""
    return [cell(each) for each in values]


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
