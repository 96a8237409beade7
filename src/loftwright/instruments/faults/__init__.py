"""The fault library: one small file a fault, found by being here.

A file holds ``FAULT``, a ``Fault``; files that begin with an underscore hold what several of them
share. See docs, "Add a fault".
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from loftwright.instruments.fault import GROUPS, Fault

__all__ = ["library"]


@cache
def library() -> dict[str, Fault]:
    """Return every fault by its name, group by group.

    Raises
    ------
    ValueError
        If two files declare a fault of one name.
    """
    names = sorted(each.name for each in iter_modules(__path__) if not each.name.startswith("_"))
    faults: list[Fault] = [import_module(f"{__name__}.{name}").FAULT for name in names]
    found: dict[str, Fault] = {}
    for fault in sorted(faults, key=lambda each: GROUPS.index(each.group)):
        if fault.name in found:
            raise ValueError(f"two faults are called {fault.name!r}")
        found[fault.name] = fault
    return found
