"""A campaign as three flat maps from the path of a field to its number, its spread or its word.

Paths are made of the words that stand in the files: ``"vehicle.vessel.0.volume"``,
``"site.wind.from"``. This is where nested documents end and numbers begin.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.documents.fields import FieldRule, rules
from loftwright.units import Quantity

__all__ = ["flatten", "leaves"]


def leaves(document: Any, path: str) -> Iterator[tuple[str, FieldRule, Any]]:
    """Yield ``(path, rule, value)`` of every field that is present in ``document`` and below it.

    Corners on the ground are neither a number nor a word, and are left out.
    """
    for word, (name, rule, _) in rules(type(document)).items():
        value = getattr(document, name)
        here = f"{path}.{word}"
        if value is None:
            continue
        if rule.kind == "table":
            yield from leaves(value, here)
        elif rule.kind == "tables":
            for index, each in enumerate(value):
                yield from leaves(each, f"{here}.{index}")
        elif rule.kind != "corners":
            yield here, rule, value


def flatten(
    campaign: Campaign,
) -> tuple[dict[str, float], dict[str, float], dict[str, str | int]]:
    """Return ``(values, sds, words)`` of the vehicle, the payload and the site.

    ``values`` and ``sds`` hold every quantity in SI (each path stands in both; sd 0 is exact),
    ``words`` every text, choice, whole number and flag. Optional fields that were left out are
    absent from all three; defaults are present.
    """
    values: dict[str, float] = {}
    sds: dict[str, float] = {}
    words: dict[str, str | int] = {}
    documents = {
        "vehicle": campaign.vehicle,
        "payload": campaign.payload,
        "site": campaign.site,
    }
    for root, document in documents.items():
        if document is None:
            continue
        for path, _, value in leaves(document, root):
            if isinstance(value, Quantity):
                values[path], sds[path] = value.value, value.sd
            else:
                words[path] = value
    return values, sds, words
