"""Words as the pages put them."""

from __future__ import annotations

import pytest

from loftwright.report.templating import capitalize_first


@pytest.mark.parametrize(
    ("words", "begun"),
    [
        ("it is so", "It is so"),
        ("vehicle.toml is still mostly the example", "vehicle.toml is still mostly the example"),
        ("flights/a/flight.toml: gone", "flights/a/flight.toml: gone"),
        ("e.g. so", "E.g. so"),
        ("", ""),
    ],
)
def test_a_sentence_begins_large_and_a_file_keeps_its_name(words: str, begun: str) -> None:
    assert capitalize_first(words) == begun
