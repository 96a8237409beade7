"""The bodies of a flight: what each is called, and how it is told apart on a page."""

from __future__ import annotations

import re
from collections.abc import Iterable

from loftwright.documents.campaign import PAYLOADS, Campaign

__all__ = ["body_name", "body_names", "dash_of", "in_order", "role_of", "root_of", "short_names"]

# Colour alone tells no body from another: each has a dash of its own, or none.
_DASHES = {
    "vehicle": "",
    "upper": "12 3",
    "boosters": "3 3",
    "payload": "6 4",
    "payload2": "2 3",
    "payload3": "9 3 2 3",
}
_ORDER = ("vehicle", "upper", "boosters", *PAYLOADS)


def root_of(body: str) -> str:
    """Return the document of a body: ``"boosters"`` for ``"booster2"``, else the body itself."""
    return "boosters" if re.fullmatch(r"booster\d+", body) else body


def body_name(campaign: Campaign, body: str) -> str:
    """Return what the documents call a body; boosters are numbered."""
    root = root_of(body)
    document = getattr(campaign, root, None)
    name = getattr(document, "name", None)
    if not name:
        return body
    return f"{name} {body.removeprefix('booster')}" if root != body else str(name)


def body_names(campaign: Campaign) -> dict[str, str]:
    """Return names by root, of every document that flies."""
    return {
        root: str(document.name)
        for root, document in campaign.documents.items()
        if root not in ("avionics", "site")
    }


def short_names(campaign: Campaign) -> dict[str, str]:
    """Return labels by body and root: plain words where there is one vehicle and one payload."""
    names = body_names(campaign)
    if set(names) <= {"vehicle", "payload"}:
        return {root: root for root in names}
    count = campaign.boosters.attach.count if campaign.boosters else 0
    boosters = [f"booster{number + 1}" for number in range(count)]
    return names | {body: body_name(campaign, body) for body in boosters}


def in_order(bodies: Iterable[str]) -> list[str]:
    """Return bodies in the order in which people ask for them: stages, then what is carried."""

    def place(body: str) -> tuple[int, str]:
        root = root_of(body)
        return (_ORDER.index(root) if root in _ORDER else len(_ORDER), body)

    return sorted(bodies, key=place)


def role_of(body: str) -> str:
    """Return the colour role of a body: a payload's for what is carried, else the vehicle's."""
    return "payload" if body in PAYLOADS else "vehicle"


def dash_of(body: str) -> str:
    """Return the dashes of a body's line; none for the vehicle."""
    return _DASHES.get(root_of(body), "")
